"""Kienzle's force of a cut, and its corrections."""

from __future__ import annotations

import math

import pytest

from sim.mechanics.kienzle import chip_section, correction, cutting_force, rake_factor, speed_factor

RIGHT = math.pi / 2.0


def test_kc11_is_the_force_on_one_square_millimetre() -> None:
    assert cutting_force(1.0, 1.0, RIGHT, 1780.0, 0.17) == pytest.approx(1780.0)


def test_the_chip_section_is_feed_times_depth_at_any_angle() -> None:
    for degrees in (30.0, 75.0, 95.0, 120.0):
        h, b = chip_section(0.3, 2.0, math.radians(degrees))
        assert h * b == pytest.approx(0.6)


def test_a_flatter_approach_cuts_a_thinner_chip_with_more_force() -> None:
    steep = cutting_force(0.3, 2.0, RIGHT, 1780.0, 0.17)
    assert cutting_force(0.3, 2.0, math.radians(45.0), 1780.0, 0.17) > steep


def test_corrections() -> None:
    assert rake_factor(math.radians(6.0)) == pytest.approx(1.0)
    assert rake_factor(math.radians(16.0)) == pytest.approx(0.9)
    assert rake_factor(0.0) == pytest.approx(1.06)
    assert speed_factor(99.999) == pytest.approx(1.0, abs=0.001)
    assert speed_factor(100.0) == pytest.approx(1.0, abs=0.001)
    assert speed_factor(250.0) < 1.0 < speed_factor(40.0)
    assert speed_factor(1.0) == speed_factor(20.0)
    assert correction(kind="boring", wear=1.0) == pytest.approx(1.2, abs=0.002)


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than 0 mm"):
        chip_section(0.0, 1.0, RIGHT)
    with pytest.raises(ValueError, match="approach angle"):
        chip_section(0.1, 1.0, math.pi)
