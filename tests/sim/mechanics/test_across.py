"""Jaws pushed across against textbook beams and against pressures summed up over the seat."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.across import Section, sideways_factor, sideways_lever, tip_stress


def test_a_straight_tip_is_a_cantilever() -> None:
    """6 F l / (h w^2), and F / (h w) of what presses it (any textbook of statics)."""
    found = tip_stress([Section(0.0, 10.0), Section(30.0, 10.0)], 4000.0, 0.2, 20.0)
    assert found == pytest.approx(6.0 * 800.0 * 30.0 / (20.0 * 10.0**2) + 4000.0 / (20.0 * 10.0))


def test_a_tapered_tip_bears_most_where_it_is_twice_as_wide_as_at_its_end() -> None:
    """Of a beam whose depth grows as w0 + k s the stress is 1.5 F / (h k w0), at s = w0 / k (test_derived_again.py)."""
    w0, k = 8.0, 2.0 * math.tan(math.radians(20.0))
    sections = [Section(s, w0 + k * s) for s in np.linspace(0.0, 60.0, 2001)]
    bent = tip_stress(sections, 1.0, 1e6, 15.0) / 1e6  # so much across that what presses is nothing beside it
    assert bent == pytest.approx(1.5 / (15.0 * k * w0), rel=1e-4)
    at = max(sections, key=lambda one: one.lever / one.width**2)
    assert at.width == pytest.approx(2.0 * w0, rel=2e-3)


def test_a_hole_on_the_middle_weakens_a_section() -> None:
    """Second moment of two strips by summing y^2 over them."""
    y = (np.arange(40_000) + 0.5) / 40_000 * 40.0 - 20.0
    metal = np.abs(y) > 11.0
    second = (y[metal] ** 2).sum() * 40.0 / 40_000
    found = tip_stress([Section(25.0, 40.0, 22.0)], 1000.0, 0.3, 20.0)
    assert found == pytest.approx(300.0 * 25.0 * 20.0 / (20.0 * second) + 1000.0 / (20.0 * 18.0), rel=1e-4)


@pytest.mark.parametrize(("width", "slot"), [(45.0, 18.0), (28.0, 18.0), (30.0, 0.0)])
def test_a_seat_gapes_along_its_side_when_its_edge_is_pressed_no_more(width: float, slot: float) -> None:
    """Linear pressure over two strips that is nought at one edge: its moment over its sum; 0 of slot: a sixth."""
    y = (np.arange(20_000) + 0.5) / 20_000 * width - 0.5 * width
    pressure = np.where(np.abs(y) > 0.5 * slot, y + 0.5 * width, 0.0)
    lever = float((pressure * y).sum() / pressure.sum())
    assert sideways_lever(width, slot, 1e3) == pytest.approx(lever, rel=1e-3)
    if slot == 0.0:
        assert lever == pytest.approx(width / 6.0, rel=1e-3)


def test_a_short_cone_presses_less_of_the_seat() -> None:
    assert (
        sideways_lever(45.0, 18.0, 15.0)
        == sideways_lever(30.0, 18.0, 99.0)
        < sideways_lever(45.0, 18.0, 99.0)
    )
    with pytest.raises(ValueError, match="pressed over 16 mm must be wider than its slot, 18 mm"):
        sideways_lever(45.0, 18.0, 8.0)


def test_how_many_times_a_seat_bears_its_load() -> None:
    """At that multiple of moment and wedging the preload left over, times the lever, is the moment."""
    factor = sideways_factor(80e3, 50e3, 4e3, 7.0)
    assert (80e3 - factor * 4e3) * 7.0 == pytest.approx(factor * 50e3)
    assert sideways_factor(80e3, 0.0, 0.0, 7.0) == math.inf
    many = sideways_factor(np.array([80e3, 40e3]), np.array([50e3, 0.0]), np.array([4e3, 0.0]), 7.0)
    assert many.tolist() == [factor, math.inf]


@pytest.mark.parametrize("wrong", [(-1.0, 10.0, 0.0), (1.0, 10.0, 10.0), (1.0, 0.0, 0.0)])
def test_impossible_sections(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="a section has a lever"):
        Section(*wrong)
