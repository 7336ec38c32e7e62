"""Pages of the shipped scenarios, and their rows as somebody reads them off the paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

import pytest

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.primitives import Sheet, Words, flat
from sim.setup_sheet import document
from sim.setup_sheet.blocks import LABEL, TITLE, columns, halves
from sim.setup_sheet.document import pages
from sim.setup_sheet.runs import BODY, FAR, STRONG

A4 = Asked()
Rows = dict[tuple[str, str], str]


@pytest.fixture(scope="session")
def pages_of(quickly_judged: Callable[[str], Assessment]) -> Callable[..., tuple[Sheet, ...]]:
    """Lay out a shipped scenario, each only once in a run; without its drawings where they are not asked for."""

    @cache
    def laid_out(name: str, asked: Asked = A4, *, drawn: bool = False) -> tuple[Sheet, ...]:
        with pytest.MonkeyPatch.context() as patch:
            if not drawn:
                patch.setattr(document, "drawing_blocks", lambda *_: [])
            return pages([quickly_judged(name)], asked)

    return laid_out


@pytest.fixture(scope="session")
def read_rows() -> Callable[[tuple[Sheet, ...], Asked], Rows]:
    return _rows


def _rows(sheets: tuple[Sheet, ...], asked: Asked) -> Rows:
    """Return what stands beside each label, by the step's title, by where the words stand."""
    at = columns(asked)
    first, second = halves(at)
    title, label, labelled = "", "", False
    found: Rows = {}
    for item in (item for sheet in sheets for item in flat(list(sheet.items))):
        if not isinstance(item, Words) or item.upwards or item.anchor != "left":
            continue
        x = item.at[0]
        if x == at.label and item.height == TITLE:
            title, label = item.words, ""
        elif x in (first.label, second.label) and item.height == LABEL:
            label = f"{label} {item.words}" if labelled else item.words
            labelled = True
        elif item.height in (BODY, STRONG, FAR) and at.told <= x < second.right and title:
            # What stands out has a run of its own, and what follows it is not parted from it by a space.
            found[title, label] = f"{found.get((title, label), '')} {item.words}".strip()
            labelled = False
    return {place: re.sub(r"(?<=Ø) | (?=[,;.:])", "", words) for place, words in found.items()}
