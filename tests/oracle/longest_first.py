"""The order of the files of tests: those that take long first, so that workers side by side end together.

Without it the files of few tests come last, and those are the ones that take long: one worker was alone with the last
of them. A file that is missing in the list costs time and nothing else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

Item = TypeVar("Item")

# Over some ten seconds of processor time or waiting each, the longest first.
LONGEST = (
    "sim/variants/test_agreement.py",
    "sim/layouts/test_window.py",
    "sim/test_text_is_text.py",
    "sim/views/web/test_browser_current.py",
    "sim/views/web/test_browser_open.py",
    "sim/views/web/test_browser_forms.py",
    "sim/views/test_texts_apart.py",
    "sim/commands/test_first_setups.py",
    "sim/commands/test_hard_use.py",
    "sim/layouts/test_search.py",
    "sim/layouts/test_confirmed_window.py",
    "sim/views/web/test_browser_picture.py",
    "sim/views/web/test_browser_access.py",
    "sim/views/web/test_page_data.py",
    "sim/setup_sheet/test_two_pages.py",
    "sim/views/web/test_browser_review.py",
    "sim/views/web/test_browser_manual.py",
    "sim/commands/test_studies.py",
    "sim/commands/test_layouts.py",
    "sim/commands/test_new.py",
    "sim/views/web/test_browser_hands.py",
    "sim/views/test_picture.py",
    "sim/views/web/test_browser_shape.py",
    "sim/views/web/test_browser_bore.py",
    "sim/drawing/test_dimensions.py",
    "scenarios/test_verdicts.py",
    "sim/views/web/test_browser_sheet.py",
    "sim/views/web/test_browser_first_setups.py",
    "test_dependencies.py",
    "sim/clearance/test_oracle.py",
    "sim/assessment/test_not_judged.py",
    "sim/test_worse_never_passes.py",
    "sim/commands/test_streams.py",
    "properties/test_clearance.py",
    "sim/readings/test_fit.py",
    "sim/contact/test_preview.py",
    "sim/test_renamed_verdicts.py",
    "sim/layouts/test_shelf.py",
    "sim/views/test_review.py",
    "sim/assessment/test_clamping.py",
    "sim/clearance/test_standing.py",
    "reference/test_window_borders.py",
    "properties/test_worst_state.py",
)


def longest_first(items: Sequence[Item], file_of: Callable[[Item], Path], tests: Path) -> list[Item]:
    """Return tests by files: those of `LONGEST` in its order, then the others, those of many tests first.

    Parameters
    ----------
    items : sequence
        Tests as they were found, those of a file one after the other.
    file_of : callable
        From a test to its file.
    tests : Path
        Folder of all tests.
    """
    place = {tests / name: number for number, name in enumerate(LONGEST)}
    count = Counter(map(file_of, items))
    return sorted(items, key=lambda item: (place.get(file_of(item), len(place)), -count[file_of(item)]))
