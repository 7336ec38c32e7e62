"""Grip at speed and permissible speeds."""

from __future__ import annotations

import math

import pytest

from sim.mechanics import spin
from sim.mechanics.spin import (
    TurningMass,
    centrifugal_force,
    centrifugal_moment,
    grip_at_speed,
    permissible_speed,
    required_grip_at_rest,
    speed_at_grip,
)

JAW = (TurningMass(2.0, 90.0), TurningMass(1.5, 80.0), TurningMass(0.2, 85.0))


def test_one_kilogram_at_one_metre() -> None:
    """At 60/(2 pi) rev/min the angular speed is 1 rad/s: 1 kg at 1 m then pulls 1 N."""
    moment = centrifugal_moment([TurningMass(1.0, 1000.0)])
    assert centrifugal_force(moment, 30.0 / math.pi) == pytest.approx(1.0)


def test_moments_add() -> None:
    assert centrifugal_moment(JAW) == pytest.approx(180.0 + 120.0 + 17.0)


def test_outside_loses_what_inside_gains() -> None:
    assert grip_at_speed(10_000.0, 4000.0, "outside", 0.5) == 8000.0
    assert grip_at_speed(10_000.0, 4000.0, "inside", 0.5) == 12_000.0
    assert grip_at_speed(10_000.0, 40_000.0, "outside") == 0.0


def test_what_is_small_is_not_nothing() -> None:
    """0.05 N to spare is a speed: omega^2 = spare / moment."""
    omega = math.sqrt(0.05 / 1e-3 / 2.0)
    assert speed_at_grip(1.05, 1.0, 2.0) == pytest.approx(omega * 30.0 / math.pi)


def test_speed_at_grip_undoes_grip_at_speed() -> None:
    moment = centrifugal_moment(JAW)
    speed = speed_at_grip(20_000.0, 7000.0, moment, 0.8)
    left = grip_at_speed(20_000.0, centrifugal_force(moment, speed), "outside", 0.8)
    assert left == pytest.approx(7000.0)
    assert speed_at_grip(5000.0, 7000.0, moment) == 0.0
    assert speed_at_grip(20_000.0, 7000.0, 0.0) == math.inf


def test_required_grip_is_the_inverse_of_the_permissible_speed() -> None:
    moment = 3.0 * centrifugal_moment(JAW)
    found = permissible_speed(60_000.0, 9000.0, moment, 4000.0, "outside")
    back = required_grip_at_rest(9000.0, centrifugal_force(moment, found.by_cutting), "outside")
    assert back == pytest.approx(60_000.0)
    assert centrifugal_force(moment, found.by_loss) == pytest.approx(40_000.0)
    assert found.least == min(found.by_cutting, found.by_loss, 4000.0)


def test_never_above_the_marked_speed() -> None:
    found = permissible_speed(60_000.0, 9000.0, 10.0, 1200.0, "outside")
    assert (found.least, found.governing) == (1200.0, "marked speed")


def test_inside_gets_no_credit_and_still_needs_grip_at_rest() -> None:
    enough = permissible_speed(60_000.0, 9000.0, 900.0, 4000.0, "inside")
    assert (enough.by_cutting, enough.least) == (math.inf, 4000.0)
    short = permissible_speed(20_000.0, 9000.0, 900.0, 4000.0, "inside")
    assert (short.least, short.governing) == (0.0, "VDI 3106")
    assert required_grip_at_rest(9000.0, 1e5, "inside") == pytest.approx(1.5 * 1.5 * 9000.0)


def test_a_heavier_jaw_pulls_by_what_it_has_beyond_the_others() -> None:
    """0.2 kg at 80 mm and 1500 rev/min: m r omega^2 = 0.2 * 0.08 * (50 pi)^2 = 394.8 N."""
    pulls = spin.mass_pulls((0.2, 0.0, -0.1), 80.0, 1500.0)
    assert pulls == pytest.approx([394.78, 0.0, -197.39], abs=0.01)


def test_the_most_that_jaws_press_and_its_moment_on_a_guideway() -> None:
    """60 kN at rest, 20 kN of centrifugal force, half of it counted; three jaws gripped 50 mm over the guideway."""
    outside = spin.turning_grip(60e3, 2e3, 20e3, "outside", 0.5)
    assert (outside.low_speed, outside.high_speed, outside.counted) == (59e3, 50e3, 50e3)
    assert (outside.largest, outside.guide_moment(50.0)) == (60e3, 20e3 * 50.0)
    inside = spin.turning_grip(60e3, 2e3, 20e3, "inside", 0.5)
    assert (inside.low_speed, inside.high_speed, inside.counted) == (61e3, 70e3, 60e3)
    assert (inside.largest, inside.guide_moment(50.0)) == (80e3, pytest.approx(80e3 / 3.0 * 50.0))
    assert spin.pressed_at_speed(80e3, 70e3, "inside") == 80e3
    assert spin.pressed_at_speed(60e3, 50e3, "outside") == 50e3


def test_where_nothing_is_to_spare_the_spindle_stands() -> None:
    assert spin.speed_at_grip(10e3, 10e3, 300.0) == 0.0
    assert spin.speed_at_grip(9e3, 10e3, 300.0) == 0.0
    assert spin.speed_at_grip(10e3, 9e3, 0.0) == math.inf
