"""A set-up is two pages at most, on any paper and in any language, and all of it can be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
import shapely
from pypdfium2 import raw

from sim.assessment.figures.cut import CutHolding
from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.letters import CAPITALS
from sim.drawing.primitives import Group, Words, flat
from sim.setup_sheet.appendix import appendix
from sim.setup_sheet.bundle import bundled
from sim.setup_sheet.code_text import code_texts
from sim.setup_sheet.document import MOST_PAGES, Handed, pages
from sim.setup_sheet.form import Form
from sim.setup_sheet.gripping import MOST_CUTS, _cuts
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


def test_appendix_has_every_verdict_behind_the_two_pages(
    quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.setup_sheet.document.drawing_blocks", lambda *_: [])
    judged = quickly_judged("cast_hub_program_touches")
    plain, whole = (pages([judged], Asked(), [Handed(appendix=asked)]) for asked in (False, True))
    assert len(plain) <= MOST_PAGES < len(whole)
    words = [
        i.words for sheet in whole[len(plain) :] for i in flat(list(sheet.items)) if isinstance(i, Words)
    ]
    assert words.count("FAILS") == sum(one.status == "fail" for one in judged.verdicts)
    assert words.count("passes") == sum(one.status == "pass" for one in judged.verdicts)
    said = "".join(words).replace(" ", "")
    for one in judged.verdicts:
        for part in (one.name, one.basis.split(".")[0]):
            assert part.replace(" ", "") in said, one.key


def _held(holding: CutHolding, factor: float) -> CutHolding:
    return replace(holding, turn=replace(holding.turn, limit=replace(holding.turn.limit, factor=factor)))


def test_of_many_cuts_those_stand_on_the_sheet_that_are_held_least(
    quickly_judged: Callable[[str], Assessment],
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    figures = judged.operations[0]
    cut, demand, holding = figures.operation.cuts[0], figures.demands[0], figures.holdings[0]
    factors = [9.0, 2.0, *([8.0] * 12), 3.0, float("nan")]
    many = replace(
        figures,
        operation=figures.operation.model_copy(
            update={"cuts": tuple(cut.model_copy(update={"name": f"cut {k}"}) for k in range(len(factors)))}
        ),
        demands=(demand,) * len(factors),
        holdings=tuple(_held(holding, factor) for factor in factors),
    )
    rows = _cuts(judged, many, Form())
    labels = [row.label for row in rows]
    assert len(rows) == MOST_CUTS + 1
    assert {"cut: cut 1", "cut: cut 14", "cut: cut 15"} <= set(labels)
    assert "cut: cut 0" not in labels
    assert labels[:-1] == sorted(labels[:-1], key=lambda one: int(one.split()[-1]))
    assert rows[-1].told[0].startswith("4 more")
    (_, section) = appendix(replace(judged, operations=(many,)), Form())
    assert len(section.entries) == len(factors)
