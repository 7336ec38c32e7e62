"""Forces of drills and taps."""

from __future__ import annotations

import math

import pytest

from sim.mechanics.cutting import part_load
from sim.mechanics.drilling import breaking_through, drill_forces, drilling_forces, opening, tap_forces
from sim.mechanics.kienzle import own_metal

STATED = own_metal(1500.0, 0.2, 0.0)  # kc1.1 and mc of a shop's own


def test_a_drill_makes_torque_and_thrust_only() -> None:
    forces = drilling_forces(0.25, 20.0, 1780.0, 0.17, 0.0)
    load = part_load(forces)
    # Two lips, each with half the feed over half the diameter, at a quarter of the diameter from the axis.
    h, b = 0.125 * math.sin(math.radians(59.0)), 10.0 / math.sin(math.radians(59.0))
    per_lip = b * h ** (1 - 0.17) * 1780.0
    assert load.torque == pytest.approx(2.0 * per_lip * 5.0)
    assert load.radial == 0.0
    assert load.towards_chuck > per_lip
    assert forces.off_axis == 0.0


def test_a_drills_thrust_is_its_lips_across_the_point() -> None:
    """Two lips of a point of 60 deg push with half their force each: with sin 30 deg as much in all as one cuts."""
    forces = drilling_forces(0.25, 20.0, 1780.0, 0.17, 0.0, point_angle=math.radians(60.0))
    assert forces.feed == pytest.approx(forces.tangential)


def test_a_worn_drill_at_its_speed_by_hand() -> None:
    """20 mm at 0.2 mm and 40 m/min, worn by 1.3: kc1.1 b h^0.8 with K_v = 2.023 / 40^0.153, 1.2 of a drill's chips."""
    found = drill_forces(
        STATED,
        40.0,
        feed=0.2,
        rake_angle=math.radians(10.0),
        wear_factor=1.3,
        diameter=20.0,
        height=15.0,
        feed_towards="tailstock",
        off_axis=30.0,
    )
    sine = math.sin(math.radians(59.0))
    raked = 1.0 - 0.10  # 1 % a degree
    per_lip = 1500.0 * (10.0 / sine) * (0.1 * sine) ** 0.8 * raked * 1.3 * 2.023 / 40.0**0.153 * 1.2
    assert found.tangential == pytest.approx(per_lip)
    assert part_load(found).away_from_chuck == pytest.approx(2.0 * per_lip * sine)
    assert (found.diameter, found.height, found.off_axis, found.passive) == (20.0, 15.0, 30.0, 0.0)


def test_a_drill_that_opens_a_hole_turns_at_its_rim() -> None:
    """From 20 to 30 mm each lip cuts 5 mm as a drill of 10 mm does, its middle at 12.5 mm instead of 2.5 mm."""
    whole = drilling_forces(0.25, 10.0, 1780.0, 0.17, 0.0)
    opened = opening(whole, 30.0)
    assert part_load(opened).torque == pytest.approx(2.0 * whole.tangential * 12.5)
    assert part_load(opened).towards_chuck == whole.feed
    # a drill no wider than what is cut has no hole before it
    assert opening(whole, 8.0).diameter == 10.0


def test_a_drill_breaking_through_pulls_as_it_pushed() -> None:
    pushing = drilling_forces(0.25, 20.0, 1780.0, 0.17, 0.0)
    pulling = part_load(breaking_through(pushing))
    assert (pulling.away_from_chuck, pulling.towards_chuck) == (pushing.feed, 0.0)
    assert pulling.torque == part_load(pushing).torque


def test_a_tap_by_its_makers_handbooks() -> None:
    """M10 x 1.5: torque kc P^2 D / 8 at 0.045 mm of chip and 20 m/min, 1.3 of its chips' room; T / R of pull."""
    found = tap_forces(
        STATED, pitch=1.5, rake_angle=0.0, wear_factor=1.5, diameter=10.0, height=8.0, off_axis=25.0
    )
    torque = 1500.0 * 0.045**-0.2 * 1.5**2 * 10.0 / 8.0 * 1.3 * 1.5 * 2.023 / 20.0**0.153
    load = part_load(found)
    assert load.torque == pytest.approx(torque)
    assert (load.towards_chuck, load.radial) == (0.0, 0.0)
    assert load.away_from_chuck == pytest.approx(torque / 5.0)
    assert (found.diameter, found.height, found.off_axis) == (10.0, 8.0, 25.0)
    central = tap_forces(STATED, pitch=1.5, rake_angle=0.0, wear_factor=1.5, diameter=10.0, height=8.0)
    assert (central.off_axis, central.tangential) == (0.0, found.tangential)
