"""Cutting forces and the load that they put on the grip."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.cutting import (
    CutForces,
    FeedTowards,
    bar_bend,
    cut_wrench,
    cutting_power,
    cutting_speed,
    part_load,
    spindle_speed,
    turning_forces,
)
from sim.mechanics.kienzle import Kind

RIGHT = math.pi / 2.0


def test_ratios() -> None:
    forces = turning_forces(
        0.2, 2.0, RIGHT, 1800.0, 0.2, 80.0, 30.0, "chuck", feed_ratio=0.4, passive_ratio=0.3
    )
    assert forces.feed == pytest.approx(0.4 * forces.tangential)
    assert forces.passive == pytest.approx(0.3 * forces.tangential)


@pytest.mark.parametrize(
    ("towards", "to_chuck", "away", "radial"),
    [
        ("chuck", 300.0, 0.0, math.hypot(1000.0, 200.0)),
        ("tailstock", 0.0, 300.0, math.hypot(1000.0, 200.0)),
        ("axis", 200.0, 0.0, math.hypot(1000.0, 300.0)),
        ("outward", 200.0, 0.0, math.hypot(1000.0, 300.0)),
    ],
)
def test_load_on_the_part(towards: FeedTowards, to_chuck: float, away: float, radial: float) -> None:
    load = part_load(CutForces(1000.0, 300.0, 200.0, 80.0, 30.0, towards))
    assert load.torque == pytest.approx(40_000.0)
    assert (load.towards_chuck, load.away_from_chuck) == (to_chuck, away)
    assert load.radial == pytest.approx(radial)


def test_speeds_and_power() -> None:
    assert spindle_speed(100.0, cutting_speed(100.0, 573.0)) == pytest.approx(573.0)
    assert cutting_power(60_000.0, 1.0) == 1.0


@pytest.mark.parametrize("towards", ["chuck", "tailstock", "axis", "outward"])
@pytest.mark.parametrize("kind", ["turning", "boring"])
def test_a_cuts_wrench_is_its_load_and_its_moment(kind: Kind, towards: FeedTowards) -> None:
    """Torque, axial and side force as `part_load` has them; the moment by a cross product at the tool."""
    forces = CutForces(1000.0, 400.0, 300.0, 90.0, 50.0, towards, kind)
    load, found = part_load(forces), np.array(cut_wrench(forces, 35.0))
    assert found[5] == pytest.approx(-load.torque)
    assert found[2] == pytest.approx(load.away_from_chuck - load.towards_chuck)
    assert math.hypot(found[0], found[1]) == pytest.approx(load.radial)
    assert found[3:] == pytest.approx(np.cross([45.0, 0.0, 35.0], found[:3]))


def test_a_drill_pushes_and_twists() -> None:
    forces = CutForces(500.0, 900.0, 0.0, 20.0, 50.0, "chuck", "drilling")
    assert cut_wrench(forces, 35.0) == pytest.approx((0.0, 0.0, -900.0, 0.0, 0.0, -5000.0))


def test_a_bar_bends_as_a_cantilever() -> None:
    """1 kN at 100 mm of a steel bar of 20 mm: I = 7854 mm^4 (any table), 1e9 / (3 x 210e3 x 7854) = 0.2021 mm."""
    assert bar_bend(1000.0, 100.0, 210e3, 20.0) == pytest.approx(0.2021, rel=1e-3)


def test_a_share_of_a_cuts_forces_acts_where_they_act() -> None:
    forces = CutForces(900.0, 300.0, 150.0, 80.0, 20.0, "chuck", "boring")
    assert forces.times(1.5) == CutForces(1350.0, 450.0, 225.0, 80.0, 20.0, "chuck", "boring")
    assert forces.times(1.0) == forces
