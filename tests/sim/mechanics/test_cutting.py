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
    groove_forces,
    kienzle_forces,
    part_load,
    spindle_speed,
    turning_forces,
)
from sim.mechanics.kienzle import Kind, own_metal

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


def test_a_drills_side_force_acts_on_its_own_axis() -> None:
    """200 N across, 35 mm over the held middle, pull the part aside and over; 900 N along, 20 mm off, tip it too."""
    forces = CutForces(500.0, 900.0, 200.0, 20.0, 50.0, "chuck", "drilling", off_axis=20.0)
    found = cut_wrench(forces, 35.0)
    assert found[:3] == pytest.approx((-200.0, 0.0, -900.0))
    moment = np.cross([0.0, 0.0, 35.0], [-200.0, 0.0, 0.0]) + np.cross([20.0, 0.0, 0.0], [0.0, 0.0, -900.0])
    assert found[3:] == pytest.approx((0.0, moment[1], -5000.0))


def test_a_blade_by_hand() -> None:
    """3 mm at 0.1 mm and 150 m/min: kc1.1 b h^0.8 over its edge, 1.3 of a groove; half of it twice, square to it."""
    found = groove_forces(
        own_metal(1500.0, 0.2, 0.0),
        150.0,
        feed=0.1,
        width=3.0,
        rake_angle=0.0,
        wear_factor=1.0,
        diameter=80.0,
        height=20.0,
        feed_towards="axis",
        kind="grooving",
    )
    assert found.tangential == pytest.approx(1500.0 * 3.0 * 0.1**0.8 * 1.3 * 1.380 / 150.0**0.07)
    assert found.feed == pytest.approx(math.hypot(0.5, 0.5) * found.tangential)
    assert (found.passive, found.diameter, found.height) == (0.0, 80.0, 20.0)


def test_a_turning_cut_by_hand() -> None:
    """75 deg, 2 mm at 0.3 mm, 80 mm at 600 rev/min: 150.8 m/min; feed and passive force half of it, the upper end."""
    found = kienzle_forces(
        own_metal(1800.0, 0.25, 0.0),
        600.0,
        feed=0.3,
        depth_of_cut=2.0,
        approach_angle=math.radians(75.0),
        rake_angle=math.radians(-6.0),
        wear_factor=1.4,
        diameter=80.0,
        height=20.0,
        feed_towards="chuck",
        kind="turning",
    )
    sine, speed = math.sin(math.radians(75.0)), math.pi * 0.08 * 600.0
    by_hand = 1800.0 * (2.0 / sine) * (0.3 * sine) ** 0.75 * 1.06 * 1.4 * 1.380 / speed**0.07
    assert found.tangential == pytest.approx(by_hand)
    assert (found.feed, found.passive) == pytest.approx((0.5 * by_hand, 0.5 * by_hand))


def test_a_bar_bends_as_a_cantilever() -> None:
    """1 kN at 100 mm of a steel bar of 20 mm: I = 7854 mm^4 (any table), 1e9 / (3 x 210e3 x 7854) = 0.2021 mm."""
    assert bar_bend(1000.0, 100.0, 210e3, 20.0) == pytest.approx(0.2021, rel=1e-3)


def test_a_share_of_a_cuts_forces_acts_where_they_act() -> None:
    forces = CutForces(900.0, 300.0, 150.0, 80.0, 20.0, "chuck", "boring")
    assert forces.times(1.5) == CutForces(1350.0, 450.0, 225.0, 80.0, 20.0, "chuck", "boring")
    assert forces.times(1.0) == forces
