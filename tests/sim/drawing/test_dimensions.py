"""Every number on a drawing is the length that its arrows span in real size, and the one that the scenario states."""

from __future__ import annotations

import io
from collections.abc import Callable
from itertools import combinations

import ezdxf
import pytest
from PIL import ImageFont

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.dimensions import half_diameter, leader, length
from sim.drawing.letters import CAPITALS, font_file, words_width
from sim.drawing.numbers import length_text
from sim.drawing.primitives import Group, Sheet, Words, flat
from sim.drawing.written_dxf import as_dxf
from sim.drawing.written_svg import as_svg

ROUNDING = {"mm": 0.5e-3, "inch": 0.5e-4}
SUBJECTS = ("pocket", "jaws", "assembly")
ASKED = (Asked(), Asked("Letter", "inch", "third"))


@pytest.mark.parametrize("subject", SUBJECTS)
def test_number_is_what_is_spanned(
    sheet_of: Callable[..., Sheet],
    read_svg: Callable[[bytes], list],
    read_dxf: Callable[[bytes], list],
    scenario_name: str,
    subject: str,
) -> None:
    for asked in ASKED:
        sheet = sheet_of(scenario_name, subject, asked)
        off = ROUNDING[asked.units] + 1e-5
        per = 25.4 if asked.units == "inch" else 1.0
        in_svg, in_dxf = read_svg(as_svg(sheet)), read_dxf(as_dxf(sheet))
        assert len(in_svg) == len(in_dxf) > 2
        for one in in_svg:  # mm on the paper, whatever the numbers are in
            assert one.spans / per == pytest.approx(one.number, abs=off), one
        for one in in_dxf:
            assert one.spans == pytest.approx(one.number, abs=off), one


def test_dxf_has_its_unit_and_no_errors(sheet_of: Callable[..., Sheet]) -> None:
    for asked, unit in zip(ASKED, (4, 1), strict=True):
        content = as_dxf(sheet_of("cast_hub_on_ring", "pocket", asked))
        drawing = ezdxf.read(io.StringIO(content.decode("utf-8")))
        assert drawing.header["$INSUNITS"] == unit
        assert not drawing.audit().errors
        assert content == as_dxf(sheet_of("cast_hub_on_ring", "pocket", asked))


def test_pocket_has_what_the_scenario_states(
    sheet_of: Callable[..., Sheet],
    quickly_judged: Callable[[str], Assessment],
    read_svg: Callable[[bytes], list],
    scenario_name: str,
) -> None:
    """Each diameter and depth once, the blank, and a note on groove and chamfer of each pocket."""
    scenario, sheet = quickly_judged(scenario_name).scenario, sheet_of(scenario_name, "pocket")
    found = read_svg(as_svg(sheet))
    diameters = [one.number for one in found if one.kind == "half diameter"]
    lengths = [one.number for one in found if one.kind == "length"]
    for pocket in scenario.pockets:
        assert diameters.count(round(pocket.diameter, 3)) == 1
        assert round(pocket.depth, 3) in lengths
    for blank in (scenario.soft_jaw.length, scenario.soft_jaw.width, scenario.soft_jaw.height):
        assert round(blank, 3) in lengths
    notes = [item.name for item in sheet.items if isinstance(item, Group) and item.kind == "note"]
    chamfers = sorted(f"{length_text(p.chamfer, 'mm')} × 45°" for p in scenario.pockets if p.chamfer > 0.0)
    grooves = sorted(
        f"groove {length_text(p.groove_width, 'mm')} wide {length_text(p.groove_depth, 'mm')} deep, 30°"
        for p in scenario.pockets
        if p.groove_depth > 0.0
    )
    assert sorted(note for note in notes if "×" in note) == chamfers
    assert sorted(note for note in notes if "groove" in note) == grooves


@pytest.mark.parametrize("subject", SUBJECTS)
def test_words_neither_meet_nor_leave_the_paper(
    sheet_of: Callable[..., Sheet], scenario_name: str, subject: str
) -> None:
    for asked in ASKED:
        sheet = sheet_of(scenario_name, subject, asked)
        words = [item for item in flat(list(sheet.items)) if isinstance(item, Words) and item.words]
        boxes = [(item.words, item.box()) for item in words]
        for said, box in boxes:
            left, low, right, high = box.bounds
            assert left > 20.0, said
            assert low > 10.0, said
            assert right < sheet.width - 10.0, said
            assert high < sheet.height - 10.0, said
        for (one, first), (other, second) in combinations(boxes, 2):
            assert first.intersection(second).area < 1e-9, (one, other)


def test_width_of_words_is_that_of_the_font() -> None:
    """Against FreeType, which shares no code with the table that is read here."""
    font = ImageFont.truetype(str(font_file()), 2000, layout_engine=ImageFont.Layout.BASIC)
    for words in ("Ø125.97", "groove 2 wide", "DO NOT USE", "漢"):
        assert words_width(words, 2000.0 * CAPITALS) == pytest.approx(font.getlength(words), rel=2e-3)


def test_narrow_length_has_its_number_beside() -> None:
    group = length(((10.0, 0.0), (11.0, 0.0)), 9.0, "1", upright=False)
    (words,) = [item for item in group.items if isinstance(item, Words)]
    assert words.box().bounds[2] < 10.0


def test_half_diameter_passes_the_axis_and_notes_stand_over_their_line() -> None:
    group = half_diameter((0.0, 30.0), 0.0, 10.0, "Ø60")
    lows = [min(item.start[1], item.end[1]) for item in group.items if hasattr(item, "start")]
    assert min(lows) < 0.0
    note = leader((0.0, 0.0), ("above", "below"), (10.0, 5.0), leftwards=False)
    above, below = sorted((i for i in note.items if isinstance(i, Words)), key=lambda w: -w.at[1])
    assert (above.words, below.words) == ("above", "below")
    assert below.box().bounds[1] > 5.0 - 1e-9
