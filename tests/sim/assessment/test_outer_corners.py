"""A program under G41 or G42 is judged with its outer corners run in both ways, unless the scenario states one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.assessment.machining import part_program
from sim.assessment.read_program import ReadProgram
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.scenario import Scenario
from sim.setup import parts

FIELD = "operations.0.program"
HEAD = "T0303\nG97 S500 M3\nG0 X60. Z20.\n"
CORNER = "G42 G1 X40. Z10. F.1\nX80.\nZ-20.\nG40 G0 X124.\nX300. Z150.\nM30\n"
ROLLED, ON = "outer corners rolled round", "outer corners run to where the parallels meet"
Readings = Callable[..., tuple[ReadProgram, ...]]


@pytest.fixture
def readings(varied: Callable[..., Scenario], tmp_path: Path) -> Readings:
    """Ways of running a text as the part's program."""

    def read(text: str, corners: str | None = None) -> tuple[ReadProgram, ...]:
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        scenario = varied("cast_hub_by_program", {f"{FIELD}.file": str(file), f"{FIELD}.corners": corners})
        program = part_program(parts.build(scenario), 0)
        assert program is not None
        return program.readings

    return read


def tips(way: ReadProgram) -> list[tuple[float, float]]:
    return [move.end for run in way.runs for move in run.moves]


def test_both_ways_are_judged_where_none_is_stated(readings: Readings) -> None:
    """The nose of 0.8 mm runs to (80, 10) and on down, or leaves the face 0.8 mm before and rolls round."""
    rolled, on = readings(HEAD + CORNER)
    assert (rolled.reading, on.reading) == (ROLLED, ON)
    zero = tips(on)[0][1] - 20.0
    assert (40.0, zero + 10.0) in [tuple(round(v, 9) for v in tip) for tip in tips(on)]
    assert (39.2, round(zero + 10.0, 9)) in [tuple(round(v, 9) for v in tip) for tip in tips(rolled)]
    assert any(f"judged in 2 ways ({ROLLED}; {ON})" in note for note in rolled.notes)


@pytest.mark.parametrize(("stated", "other"), [("rolled", 0), ("intersection", 1)])
def test_one_way_is_judged_where_it_is_stated(readings: Readings, stated: str, other: int) -> None:
    (way,) = readings(HEAD + CORNER, stated)
    assert tips(way) == tips(readings(HEAD + CORNER)[other])
    assert not any("judged in" in note for note in way.notes)


def test_what_has_no_outer_corner_is_judged_once(readings: Readings) -> None:
    assert len(readings(HEAD + "G42 G1 X40. Z10. F.1\nX80.\nG40 G0 X124.\nX300. Z150.\nM30\n")) == 1
    assert len(readings(HEAD + CORNER.replace("G42 ", ""))) == 1


def test_a_computed_code_may_compensate_too(readings: Readings) -> None:
    assert len(readings("#1=42\n" + HEAD + CORNER.replace("G42 G1 ", "G#1 G1 "))) == 2


def test_optional_blocks_and_corners_are_told_apart(readings: Readings) -> None:
    ways = readings(HEAD + "/G0 X50.\n" + CORNER)
    assert {way.reading for way in ways} == {
        f"blocks behind / {how} and {corners}" for how in ("run", "skipped") for corners in (ROLLED, ON)
    }


def test_each_verdict_is_that_of_the_worse_way(varied: Callable[..., Scenario]) -> None:
    """Where the shipped program finishes, the longer way round the corner asks for more grip; not stated, it counts."""

    def held(corners: str | None) -> Verdict:
        scenario = varied("cast_hub_by_program", {f"{FIELD}.corners": corners})
        found = assess(scenario, contact_model="foundation").verdicts
        (verdict,) = (one for one in found if one.key == "holding_factor_each_move")
        return verdict

    rolled, on, both = held("rolled"), held("intersection"), held(None)
    assert both.value == min(rolled.value, on.value) < max(rolled.value, on.value)
    assert (
        both.message == f"with {ROLLED if rolled.value < on.value else ON}: {both.message.partition(': ')[2]}"
    )
