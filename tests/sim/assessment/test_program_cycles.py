"""A part's program with roughing and finishing cycles, judged move by move like one that is written out.

The part is the cast hub of `scenarios/cast_hub_by_program.toml`: a raw collar of radius 42.5 mm on a raw rim 30.5 mm
below the program's zero, turned to 40 mm and to 32 mm below it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.report.moves import move_rows
from sim.scenario import Scenario

FACED = """G21 G18 G40 G99
G50 S1000
T0303
G96 S160 M3
G0 X90. Z20.
Z0. M8
G1 X36. F0.25
G0 Z4.
X122.
"""
ROUGHED = "G71 U1.5 R0.5\nG71 P100 Q200 U0.6 W0.2 F0.25\n"
CONTOUR = """N100 G0 X76.
G1 G42 Z1. F0.15
X80. Z-1.
Z-31.2
G2 X81.6 Z-32. R0.8
G1 X116.
X118.4 Z-33.2
N200 G40 X122.
"""
FINISHED = "G70 P100 Q200\nG0 X300. Z150. M9\nM30\n"
GOOD = FACED + ROUGHED + CONTOUR + FINISHED
PROGRAMS = Path(__file__).parents[3] / "scenarios" / "programs"
Judged = Callable[..., Assessment]


@pytest.fixture
def judged(varied: Callable[..., Scenario], tmp_path: Path) -> Judged:
    def judge(text: str, changes: dict[str, Any] | None = None) -> Assessment:
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        scenario = varied("cast_hub_by_program", {"operations.0.program.file": str(file), **(changes or {})})
        return assess(scenario, contact_model="foundation")

    return judge


def machined(found: Assessment) -> MachiningFigures:
    path = found.machining[0]
    assert path is not None
    return path


def touching(found: Assessment) -> set[tuple[str, str]]:
    """What touches, and in which stage of the program, without the number of the pass."""
    path = machined(found)
    return {(touch.kind, path.moves[touch.move].stage.split(" pass")[0]) for touch in path.clearance.touches}


def test_a_good_program_with_cycles_passes(judged: Judged) -> None:
    """Nothing touches, the part comes out as drawn, and every pass has its depth, its speed and its grip."""
    found = judged(GOOD)
    path = machined(found)
    assert not path.clearance.touches
    assert not [v.key for v in found.verdicts if v.stage == "first side" and v.status == "fail"]
    assert path.clearance.gouge_depth == 0.0
    written_out = machined(judged((PROGRAMS / "cast_hub_first_side.nc").read_text(encoding="utf-8")))
    assert path.clearance.leftover_depth == pytest.approx(written_out.clearance.leftover_depth, abs=0.01)
    rows = [row for row in move_rows(path) if row.stage.startswith("rough pass") and row.depth > 0.0]
    assert {row.line for row in rows} == {11}
    # Levels from 61.3 down: the 14th, 40.3, takes all of its 1.5 mm off the collar, which the 13th left at 41.8.
    last = next(row for row in rows if row.stage == "rough pass 14 (G71)")
    assert (last.x, last.depth) == (pytest.approx(80.6), pytest.approx(1.5, abs=0.01))
    # Where a pass ends in the shoulder of the rim it takes the cusp of the one before too, under its nose's 0.8 mm.
    assert max(row.depth for row in rows) < 1.5 + 0.8
    assert all(row.speed is not None and row.factor is not None and row.factor > 1.0 for row in rows)
    # Constant cutting speed: faster where the pass is nearer to the axis.
    speeds = [row.speed or 0.0 for row in rows if row.kind == "feed"]
    assert speeds == sorted(speeds)


def test_twice_the_depth_of_a_pass_holds_less(judged: Judged) -> None:
    """U3 takes the collar's 2.2 mm in one pass where U1.5 takes two: deeper cuts, more force, less grip to spare."""
    least, deepest = [], []
    for depth in ("U1.5", "U3."):
        rows = move_rows(machined(judged(GOOD.replace("U1.5", depth))))
        roughing = [row for row in rows if row.stage.startswith("rough pass") and row.factor is not None]
        least.append(min(row.factor or 0.0 for row in roughing))
        deepest.append(max(row.depth for row in roughing))
    assert deepest[1] > deepest[0]
    assert least[1] < least[0]


def test_a_cycle_that_starts_within_the_part_is_a_rapid_contact(judged: Judged) -> None:
    """Started 2 mm below the face, passes step down at rapid into the collar."""
    text = GOOD.replace("Z4.\nX122.", "Z4.\nX122.\nZ-2.").replace("N100 G0 X76.", "N100 G0 X80.")
    found = judged(text.replace("G1 G42 Z1. F0.15\nX80. Z-1.\n", "G1 G42 Z-3. F0.15\n"))
    assert ("rapid contact", "rough") in touching(found)
    assert {v.key: v.status for v in found.verdicts if v.stage == "first side"}["tool_contact"] == "fail"


def test_a_contour_too_deep_along_the_spindle_runs_into_the_jaws(judged: Judged) -> None:
    """12 mm lower the passes over the rim meet the jaws, whose top lies 35 mm below the zero."""
    text = GOOD
    for z in ("31.2", "32.", "33.2"):
        text = text.replace(f"Z-{z}", f"Z-{float(z) + 12.0:g}" + ("." if z.endswith(".") else ""))
    bodies = {touch.body for touch in machined(judged(text)).clearance.touches}
    assert "soft jaws" in bodies


def test_a_contour_below_the_drawing_is_cut_below_the_shape_by_finishing(judged: Judged) -> None:
    """X79 for X80: 0.5 mm of radius too deep when finished; roughing with 0.3 mm of allowance cuts 0.2 mm too deep."""
    path = machined(judged(GOOD.replace("X80. Z-1.", "X79. Z-1.").replace("X81.6", "X80.6")))
    assert path.clearance.gouge_depth == pytest.approx(0.5, abs=0.02)


def test_the_retract_of_the_control_can_be_stated(judged: Judged) -> None:
    """A bore or a neck may be tighter than the retract: where the program has no R the scenario says how far it is."""
    text = GOOD.replace("U1.5 R0.5", "U1.5")
    plain = machined(judged(text))
    stated = machined(judged(text, {"operations.0.program.cycle_amounts.roughing_retract": "2 mm"}))
    assert any("retract amount taken as 0.5 mm" in note for note in plain.notes)
    assert any("retract amount 2 mm as the scenario states it" in note for note in stated.notes)
    assert stated.moves != plain.moves
