"""A set-up is two pages at most, on any paper and in any language, and all of it can be read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import shapely
from pypdfium2 import raw

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.letters import CAPITALS
from sim.drawing.primitives import Group, Words, flat
from sim.setup_sheet.bundle import bundled
from sim.setup_sheet.code_text import code_texts
from sim.setup_sheet.document import MOST_PAGES, Handed, pages
from sim.setup_sheet.runs import FAR, STRONG
from sim.setup_sheet.written import written

POINT = 25.4 / 72.0  # mm
# Both papers in both languages; lengths in inch are the longer ones to write.
TRIED = (
    Asked(),
    Asked("A4", "inch", language="de"),
    Asked("Letter", "inch"),
    Asked("Letter", "inch", language="de"),
)


@pytest.fixture(scope="module")
def handed(root: Path, quickly_judged: Callable[[str], Assessment]) -> Callable[[str], Handed]:
    """Return what goes along with a shipped scenario: the codes that hold it."""

    def along(name: str) -> Handed:
        judged = quickly_judged(name)
        codes = code_texts(bundled(root / "scenarios" / f"{name}.toml", judged.scenario))
        return Handed(codes.texts, codes.apart)

    return along


def test_two_pages_hold_a_set_up_with_its_drawings_and_codes(
    quickly_judged: Callable[[str], Assessment], handed: Callable[[str], Handed], scenario_name: str
) -> None:
    judged, along = quickly_judged(scenario_name), handed(scenario_name)
    for asked in TRIED:
        sheets = pages([judged], asked, [along])
        assert len(sheets) <= MOST_PAGES == 2, asked
        groups = [item for sheet in sheets for item in sheet.items if isinstance(item, Group)]
        assert sum(group.kind == "code" for group in groups) == len(along.codes) >= 1
        assert {"half diameter", "hatching", "radius"} <= {group.kind for group in groups}
        words = [i for sheet in sheets for i in flat(list(sheet.items)) if isinstance(i, Words)]
        # Nothing is smaller than 8 pt but what marks a jaw in a drawing; what stands out has 10 pt, what is set 12.
        small = {one.words for one in words if one.height / CAPITALS / POINT < 8.0}
        assert small <= {"1", "2", "3"}
        bold = {one.height for one in words if one.bold}
        assert {STRONG, FAR} <= bold
        assert STRONG / CAPITALS / POINT >= 10.0
        assert FAR / CAPITALS / POINT >= 12.0


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("valve_bonnet_two_steps", Asked("Letter", "inch", language="de")),
        ("cast_hub_program_touches", Asked()),
    ],
)
def test_another_reader_finds_all_words_inside_of_the_paper_and_apart(
    quickly_judged: Callable[[str], Assessment], handed: Callable[[str], Handed], name: str, asked: Asked
) -> None:
    """The boxes of letters are those that PDFium draws, not the widths that the lines were broken by."""
    sheets = pages([quickly_judged(name)], asked, [handed(name)])
    document = pypdfium2.PdfDocument(written(sheets, Path("a.pdf")))
    assert len(document) == len(sheets)
    for page, sheet in zip(document, sheets, strict=True):
        text = page.get_textpage()
        width, height = page.get_size()
        assert (width * POINT, height * POINT) == pytest.approx((sheet.width, sheet.height), abs=0.01)
        boxes = []
        for index in range(text.count_chars()):
            left, low, right, high = text.get_charbox(index)
            if raw.FPDFText_GetUnicode(text, index) > 32 and right > left and high > low:
                assert 19.9 <= left * POINT <= right * POINT <= sheet.width - 9.9
                assert 6.9 <= low * POINT <= high * POINT <= sheet.height - 7.7
                boxes.append(shapely.box(left, low, right, high).buffer(-0.3))
        assert len(boxes) > 800
        tree = shapely.STRtree(boxes)
        first, second = tree.query(boxes, predicate="intersects")
        met = [(a, b) for a, b in zip(first, second, strict=True) if a < b]
        assert met == [], [text.get_text_range(max(0, int(a) - 10), 20) for a, _ in met[:3]]
