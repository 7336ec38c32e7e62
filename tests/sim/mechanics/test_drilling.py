"""Forces of drills and taps."""

from __future__ import annotations

import math

import pytest

from sim.mechanics.cutting import part_load
from sim.mechanics.drilling import drilling_forces


def test_a_drill_makes_torque_and_thrust_only() -> None:
    forces = drilling_forces(0.25, 20.0, 1780.0, 0.17, 0.0)
    load = part_load(forces)
    # Two lips, each with half the feed over half the diameter, at a quarter of the diameter from the axis.
    h, b = 0.125 * math.sin(math.radians(59.0)), 10.0 / math.sin(math.radians(59.0))
    per_lip = b * h ** (1 - 0.17) * 1780.0
    assert load.torque == pytest.approx(2.0 * per_lip * 5.0)
    assert load.radial == 0.0
    assert load.towards_chuck > per_lip


def test_a_drills_thrust_is_its_lips_across_the_point() -> None:
    """Two lips of a point of 60 deg push with half their force each: with sin 30 deg as much in all as one cuts."""
    forces = drilling_forces(0.25, 20.0, 1780.0, 0.17, 0.0, point_angle=math.radians(60.0))
    assert forces.feed == pytest.approx(forces.tangential)
