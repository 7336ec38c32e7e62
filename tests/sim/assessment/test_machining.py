"""A program that machines the part: everything that turns, and the grip at each move's own speed.

The grip is checked by the closed forms of `sim.mechanics.cutting`, `hold` and `spin`, which have their own references.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment import move_demand
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import tables
from sim.base.errors import ScenarioError
from sim.mechanics import cutting, hold, kienzle, spin
from sim.scenario import Scenario

BY_PROGRAM = "cast_hub_by_program"
HEAD = "T0303\nG97 S800 M3\nG0 X100. Z5.\n"
Machined = Callable[..., MachiningFigures]


@pytest.fixture
def judged(varied: Callable[..., Scenario], tmp_path: Path) -> Callable[..., Assessment]:
    """Judge the scenario with another text of the part's program, contact by columns."""

    def judge(text: str, changes: dict[str, Any] | None = None) -> Assessment:
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        scenario = varied(BY_PROGRAM, {"operations.0.program.file": str(file), **(changes or {})})
        return assess(scenario, contact_model="foundation")

    return judge


@pytest.fixture
def machined(judged: Callable[..., Assessment]) -> Machined:
    def judge(text: str, changes: dict[str, Any] | None = None) -> MachiningFigures:
        path = judged(text, changes).machining[0]
        assert path is not None
        return path

    return judge


def test_all_that_turns_with_the_part_is_looked_at(machined: Machined) -> None:
    path = machined(HEAD)
    assert {body.name for body in path.bodies} == {
        "chuck body", "master jaws", "soft jaws", "jaw screw 1", "jaw screw 2", "T-nut 1", "T-nut 2",
    }  # fmt: skip
    stop = {"outer_diameter": "60 mm", "thickness": "10 mm", "height": "16 mm"}
    path = machined("T3 S500\nG0 X50. Z5.\nG1 X50. Z-70.", {"operations.0.back_stop": stop})
    # Straight down at radius 25 the holder and the insert go through the part; the stop ends 1 mm under it.
    assert path.bodies[-1].name == "back stop"
    assert {touch.body for touch in path.clearance.touches} >= {"back stop", "workpiece"}
    assert {touch.kind for touch in path.clearance.touches if touch.body == "back stop"} >= {"insert contact"}


def test_jaws_stand_at_the_grip_travel(machined: Machined, varied: Callable[..., Scenario]) -> None:
    """A part as large as the bore is gripped at nearly the boring travel of 3 mm: the jaws' corners by Pythagoras."""
    jaws = next(body.image for body in machined(HEAD).bodies if body.name == "soft jaws")
    jaw = varied(BY_PROGRAM).soft_jaw
    corner = math.hypot(jaw.mounting_radius - 3.0 + jaw.length, 0.5 * jaw.width)
    assert jaws.bounds[2] == pytest.approx(corner, abs=0.1)


def by_hand(
    found: Assessment, speed: float, depth: float, feed: float, diameter: float, height: float
) -> tuple[float, float]:
    """Grip left and needed of a cut towards the chuck."""
    figures = found.operations[0]
    scenario = found.scenario
    cuts = figures.operation.cuts
    kappa = math.radians(95.0)
    h, _ = kienzle.chip_section(feed, depth, kappa)
    group = tables.material("cast iron GJL-250").kienzle
    kc11, mc = tables.kienzle(group).unfavourable(h)
    rake, wear = min(c.rake_angle for c in cuts), max(c.wear_factor for c in cuts)
    factor = kienzle.correction(
        rake, wear, cutting.cutting_speed(diameter, speed), "turning", math.radians(2.0)
    )
    force = kienzle.cutting_force(feed, depth, kappa, kc11, mc, factor)
    needed = hold.needed_grip(
        force, 0.5 * force, 0.5 * force, diameter, 0.5 * (117.90 + 118.05), figures.grip.friction,
        abs(figures.zone.seat + height - figures.zone.middle), figures.zone.length, feed_on_back_face=True,
    )  # fmt: skip
    pull = 3.0 * spin.centrifugal_force(figures.grip.centrifugal_moment, speed)
    assert scenario.operations[0].gripping.direction == "outside"
    return figures.grip.rest_total - pull, needed.total


@pytest.mark.parametrize("speed", [300.0, 800.0, 1000.0])
def test_each_cut_is_judged_at_its_own_speed(judged: Callable[..., Assessment], speed: float) -> None:
    """2 mm off the collar of 85 mm, towards the chuck: worst where it is farthest from the jaws, at its start."""
    text = f"T0303 G97 S{speed:.0f}\nG0 X81. Z3.\nG1 Z-20. F.25\nG0 X100. S600"
    found = judged(text)
    path = found.machining[0]
    assert path is not None
    left, needed = by_hand(found, speed, 2.0, 0.25, 85.0, 58.0 + 3.0)
    assert path.grip.left[1] == pytest.approx(left, rel=1e-9)
    assert path.grip.needed[1] == pytest.approx(needed, rel=2e-3)
    assert path.grip.factor[1] == pytest.approx(left / needed, rel=2e-3)
    assert path.grip.needed[0] == path.grip.needed[2] == 0.0
    assert np.isinf(path.grip.factor[[0, 2]]).all()
    assert path.grip.speed.tolist() == [speed, speed, 600.0]


def test_constant_cutting_speed_is_looked_at_along_the_move(judged: Callable[..., Assessment]) -> None:
    """Facing at 160 m/min up to 1000 rpm: least grip is left at the axis, most is asked for at the rim."""
    found = judged("T0303 G50 S1000\nG96 S160\nG0 X90. Z0.\nG1 X36. F.25")
    path = found.machining[0]
    assert path is not None
    grip = found.operations[0].grip
    fastest = spin.centrifugal_force(grip.centrifugal_moment, 1000.0)
    slowest = spin.centrifugal_force(grip.centrifugal_moment, 160e3 / (math.pi * 90.0))
    assert path.grip.speed[1] == pytest.approx(1000.0)
    assert grip.rest_total - 3.0 * fastest - 1.0 <= path.grip.left[1] <= grip.rest_total - 3.0 * slowest + 1.0


def test_what_the_program_does_not_say_is_assumed_and_said(machined: Machined) -> None:
    path = machined("T0303\nG0 X81. Z3.\nG1 Z-20.")
    assert path.grip.assumed_speed == 1000.0
    assert path.grip.assumed_feed == 0.25
    assert any("without a speed are judged at 1000 rev/min" in note for note in path.notes)
    assert any("without a feed are judged at 0.25 mm/rev" in note for note in path.notes)


def test_a_finished_part_larger_than_the_raw_one_is_refused(judged: Callable[..., Assessment]) -> None:
    outline = [["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "70 mm"], ["20 mm", "70 mm"]]
    with pytest.raises(
        ScenarioError, match=r"operations\[0\]\.program\.finished_outline must lie within the raw"
    ):
        judged(HEAD, {"operations.0.program.finished_outline": outline})
    crossed = [["20 mm", "0 mm"], ["59 mm", "58 mm"], ["59 mm", "0 mm"], ["20 mm", "58 mm"]]
    with pytest.raises(ScenarioError, match=r"operations\[0\]\.program\.raw_outline: .*must not cross"):
        judged(HEAD, {"operations.0.program.raw_outline": crossed})


def test_material_goes_move_by_move(machined: Machined) -> None:
    """A rapid through the collar hits it before it is turned and passes after it."""
    through = "G0 X83. Z3.\nG0 Z-10.\n"
    before = machined(f"T0303 S500\n{through}")
    assert before.clearance.touches[0].kind == "rapid contact"
    after = machined(f"T0303 S500\nG0 X81. Z3.\nG1 Z-20. F.2\nG1 X90.\nG0 Z3.\n{through}")
    assert not [touch for touch in after.clearance.touches if touch.kind == "rapid contact"]


def test_cuts_with_the_feed_each_way_are_judged_by_everything_at_once(
    judged: Callable[..., Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Heavy cuts towards the chuck do not hide the one that pulls the part out of the jaws."""
    monkeypatch.setattr(move_demand, "LOOKED_AT", 2)
    monkeypatch.setattr(move_demand, "LOOKED_AT_EACH_WAY", 1)
    heavy = "".join(f"G0 X{122 - 8 * k}. Z3.\nG1 Z-20. F0.3\nG0 X130.\n" for k in range(1, 8))
    pull = "G0 X140. Z-20.2\nX60.\nG1 X55. F0.1\nZ-15.\nG0 X140. Z5.\n"
    found = judged(HEAD + heavy + pull)
    figures = found.machining[0]
    assert figures is not None
    (way,) = found.operations[0].moves
    worst = way.held
    assert [one.demand.forces.feed_towards for one in worst] == ["chuck", "chuck", "axis", "tailstock"]
    factors = [figures.grip.factor[one.move] for one in worst]
    assert factors == sorted(factors)
