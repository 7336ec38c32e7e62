"""How the spindle lies: where the part's weight goes. By hand: friction carries mu F along the axis."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sim.assessment.holding import grip_asked_for, hold_cut, hold_weight
from sim.assessment.results import Assessment
from sim.assessment.side import PartWeight, worst_side_load
from sim.assessment.stages import assess
from sim.assessment.verdicts.grip import GRIP_AT_REST, HOLDING_FACTOR
from sim.assessment.verdicts.supports import WEIGHT_HELD_BY_THE_JAWS
from sim.contact.face import FaceGrid
from sim.holding import BackFace, evenly_pressed, holding
from sim.mechanics.cutting import CutForces
from sim.scenario import Scenario
from sim.setup.held import HeldZone
from sim.variants import judged, variants

HUB = "cast_hub_on_ring"
FACES = evenly_pressed(FaceGrid(np.linspace(-0.4, 0.4, 9), np.linspace(30.0, 54.0, 5), 60.0, False))
GRIP, MU, WEIGHT = 40e3, 0.1, 1500.0
BACK = BackFace(45.0, 30.0, 0.3)
AXIS = "machine.spindle_axis"


def weight(axis: str, amount: float = WEIGHT) -> PartWeight:
    return PartWeight(amount, 60.0, axis)  # type: ignore[arg-type]


@pytest.mark.parametrize("pull", [1.0, -1.0])
def test_weight_along_the_spindle_takes_friction_by_hand(pull: float) -> None:
    """Friction carries mu F = 4000 N: of a cut of 1000 N along the axis less the weight, or that much the other way.

    The weight that helps against a cut is not counted: chips take it off.
    """
    cut = np.array([0.0, 0.0, 1000.0 * pull, 0.0, 0.0, 0.0])
    hanging = hold_cut(FACES, None, weight("hanging"), cut, GRIP, MU, 0.0).factor
    upright = hold_cut(FACES, None, weight("upright"), cut, GRIP, MU, 0.0).factor
    against, along = (hanging, upright) if pull > 0.0 else (upright, hanging)
    assert against == pytest.approx((4000.0 - 1500.0) / 1000.0, rel=1e-6)
    assert along == pytest.approx(4000.0 / 1000.0, rel=1e-6)


def test_a_part_that_stands_upright_is_held_no_better_than_without_weight() -> None:
    cut = np.array([-300.0, -1000.0, 900.0, 40e3, 8e3, -50e3])
    found = hold_cut(FACES, BACK, weight("upright"), cut, GRIP, MU, 0.0).factor
    assert found == pytest.approx(holding(FACES, GRIP, MU, cut, None, BACK).factor, rel=1e-7)
    pressed_home = holding(FACES, GRIP, MU, cut, np.array([0.0, 0.0, -WEIGHT, 0.0, 0.0, 0.0]), BACK).factor
    assert pressed_home > found


def test_weight_alone_in_the_jaws_by_hand() -> None:
    assert hold_weight(FACES, None, weight("hanging"), GRIP, MU).factor == pytest.approx(
        4000.0 / 1500.0, rel=1e-6
    )
    # The jaws' back face only pushes away from the chuck.
    assert hold_weight(FACES, BACK, weight("hanging"), GRIP, MU).factor == pytest.approx(
        4000.0 / 1500.0, rel=1e-6
    )
    assert hold_weight(FACES, BACK, weight("upright"), GRIP, MU).factor == math.inf
    assert hold_weight(FACES, None, weight("hanging"), 0.0, MU).factor == 0.0


def test_only_a_level_spindles_weight_lies_across_it() -> None:
    zone = HeldZone(30.0, 32.0, 52.0, 30.0)
    forces = CutForces(1000.0, 300.0, 400.0, 80.0, 50.0, "chuck", "turning")
    across = {axis: worst_side_load(weight(axis), zone, [forces]) for axis in ("level", "upright", "hanging")}
    assert across["level"].amount == pytest.approx(across["hanging"].amount + WEIGHT)
    assert across["upright"] == across["hanging"]
    assert across["hanging"].weight == 0.0


def test_grip_that_a_weight_takes_does_not_shrink_with_the_cut() -> None:
    """A cut of 2 kN along the axis beside 500 N of weight is held once at (A + W) / mu = 4.5 kN, mu = 0.55.

    10 kN hold it (mu F - W) / A = 2.5 times: 4 kN, their share, would not do.
    """
    cut = np.array([0.0, 0.0, 2000.0, 0.0, 0.0, 0.0])
    hanging = weight("hanging", 500.0)
    assert hold_cut(FACES, None, hanging, cut, 10e3, 0.55, 0.0).factor == pytest.approx(2.5, rel=1e-6)
    assert grip_asked_for(FACES, None, hanging, cut, 0.55) == pytest.approx(2500.0 / 0.55, rel=1e-6)
    # A cut that lifts the part is no help before it begins, and chips take the weight off.
    assert grip_asked_for(FACES, None, hanging, -0.4 * cut, 0.55) == pytest.approx(800.0 / 0.55, rel=1e-6)
    assert grip_asked_for(FACES, None, hanging, -0.1 * cut, 0.55) == pytest.approx(500.0 / 0.55, rel=1e-6)


@pytest.fixture(scope="module")
def hung(varied: Callable[..., Scenario]) -> dict[str, Assessment]:
    return {
        axis: assess(varied(HUB, {AXIS: axis}), contact_model="foundation")
        for axis in ("level", "upright", "hanging")
    }


def margin(found: Assessment, key: str) -> float:
    return min(v.margin for v in found.verdicts if v.key == key)


def test_a_hanging_part_is_held_less_and_asked_whether_its_weight_is(hung: dict[str, Assessment]) -> None:
    assert margin(hung["hanging"], HOLDING_FACTOR.key) < margin(hung["upright"], HOLDING_FACTOR.key)
    # The cut that asks for most pushes the part home with more than its weight: it turns it, hanging or not.
    asked = margin(hung["hanging"], GRIP_AT_REST.key)
    assert asked <= margin(hung["upright"], GRIP_AT_REST.key) * (1.0 + 1e-9)
    asked = {
        axis: [v for v in a.verdicts if v.key == WEIGHT_HELD_BY_THE_JAWS.key] for axis, a in hung.items()
    }
    assert (len(asked["level"]), len(asked["upright"])) == (0, 0)
    (verdict,) = asked["hanging"]
    (figures,) = hung["hanging"].operations
    assert figures.alone is not None
    held = figures.grip.friction * figures.grip.counted_total / figures.alone.weight
    assert verdict.value == pytest.approx(held, rel=1e-6)
    assert verdict.status == "pass"


def test_a_heavy_hanging_part_falls(varied: Callable[..., Scenario]) -> None:
    """Little pressure, high speed: the jaws do not hold the weight S_z times, and no cut decides that."""
    changes: dict[str, Any] = {AXIS: "hanging", "limits.holding_factor": 400.0}
    found = assess(varied(HUB, changes), contact_model="foundation")
    (verdict,) = (v for v in found.verdicts if v.key == WEIGHT_HELD_BY_THE_JAWS.key)
    assert verdict.status == "fail"
    assert verdict.advice


def test_variants_agree_on_a_hanging_part(hung: dict[str, Assessment]) -> None:
    first = hung["hanging"]
    ready = variants(first)
    pressure = first.operations[0].operation.gripping.pressure
    keys = {"operations.0.gripping.pressure": np.array([pressure, 1.2 * pressure])}
    found = judged(ready, keys)
    for key in (HOLDING_FACTOR.key, GRIP_AT_REST.key, WEIGHT_HELD_BY_THE_JAWS.key):
        column = found.keys.index(key)
        (mine,) = (v for v in first.verdicts if v.key == key)
        assert found.value[0, column] == pytest.approx(mine.value, rel=0.02)
        assert found.limit[0, column] == pytest.approx(mine.limit, rel=0.02)
        assert found.value[1, column] > found.value[0, column]
    less = judged(ready, {"operations.0.gripping.friction": np.array([0.08])})
    column = found.keys.index(WEIGHT_HELD_BY_THE_JAWS.key)
    assert less.value[0, column] == pytest.approx(
        found.value[0, column] * 0.08 / first.operations[0].grip.friction, rel=0.01
    )


def test_another_axis_is_no_word(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(Exception, match=r"machine\.spindle_axis"):
        varied(HUB, {AXIS: "inverted"})


def test_replaced_weight_keeps_its_axis() -> None:
    assert replace(weight("hanging"), amount=1.0).along == 1.0
