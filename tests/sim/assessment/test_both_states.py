"""What clamping does to a part counts in the state in which it is worst, at rest or at the highest speed.

Closed forms alone: a plane annulus is linear in the load, so that its figures follow the grip; an outside grip is
largest at rest, an inside grip at the highest speed, where three jaws press with 3 m r w^2 more.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.stages import assess
from sim.scenario import Scenario

OUTSIDE, INSIDE = "cast_hub_on_ring", "housing_gripped_inside"
SLOW = "30 rpm"  # takes and gives less than a thousandth of what the highest speed does
Varied = Callable[..., Scenario]


def judged(varied: Varied, name: str, speed: str | None = None) -> OperationFigures:
    """Return the first operation as stated, or with another highest speed."""
    gripping = "operations.0.gripping"
    changes = {} if speed is None else {f"{gripping}.speed_high": speed, f"{gripping}.speed_low": speed}
    return assess(varied(name, changes), contact_model="foundation").operations[0]


def linear(figures: ClampingFigures) -> tuple[float, ...]:
    """Return what is linear in the grip: out-of-roundness, stress around the wall, displacement."""
    return figures.roundness, figures.hoop_stress, figures.displacement


def risen(figures: ClampingFigures) -> tuple[float, ...]:
    """Return what rises with the grip, linear or not."""
    return *linear(figures), figures.band_peak, figures.stress_share


def test_outside_nothing_that_clamping_does_gets_less_with_speed(varied: Varied) -> None:
    fast, slow = judged(varied, OUTSIDE), judged(varied, OUTSIDE, SLOW)
    assert fast.grip.high_speed_total < 0.9 * fast.grip.rest_total
    assert risen(fast.clamping) == pytest.approx(risen(slow.clamping), rel=1e-9)
    assert min(risen(fast.clamping)) > 0.0


def test_inside_all_that_clamping_does_grows_with_speed(varied: Varied) -> None:
    fast, slow = judged(varied, INSIDE), judged(varied, INSIDE, SLOW)

    def pressed(figures: OperationFigures) -> float:
        speed = figures.operation.gripping.speed_high * math.pi / 30.0  # rad/s
        return figures.grip.rest_total + 3.0 * figures.grip.centrifugal_moment * 1e-3 * speed**2

    growth = pressed(fast) / pressed(slow)
    assert growth > 1.01
    for found, still in zip(linear(fast.clamping), linear(slow.clamping), strict=True):
        assert found / still == pytest.approx(growth, rel=1e-6)
    for found, still in zip(risen(fast.clamping), risen(slow.clamping), strict=True):
        assert found > 1.001 * still > 0.0
