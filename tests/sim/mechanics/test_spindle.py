"""Power of a spindle over its speed."""

import math

import numpy as np
import pytest

from sim.mechanics.spindle import least_power_given, power_given, shaft_power

CHART = ((800.0, 15e3), (3000.0, 15e3), (4000.0, 12e3))


def test_power_of_a_torque() -> None:
    """9550 kW min/rev / n: 100 N m at 955 rev/min are 10 kW (the shop's rule, by definition)."""
    assert shaft_power(100e3, 955.0) == pytest.approx(10e3, rel=1e-3)
    assert shaft_power(1e3, 60.0 / (2.0 * math.pi)) == pytest.approx(1.0)


def test_below_the_first_point_the_torque_stays() -> None:
    assert power_given(400.0, CHART) == pytest.approx(7.5e3)
    assert power_given(80.0, CHART) / 80.0 == pytest.approx(power_given(800.0, CHART) / 800.0)


def test_points_and_between_them() -> None:
    assert [power_given(n, CHART) for n in (800.0, 2000.0, 3500.0, 4000.0)] == [15e3, 15e3, 13.5e3, 12e3]


def test_the_least_on_the_way_up_counts() -> None:
    assert least_power_given(1000.0, 3500.0, CHART) == 13.5e3
    assert least_power_given(400.0, 3500.0, CHART) == 7.5e3
    dip = ((500.0, 10e3), (1000.0, 4e3), (3000.0, 12e3))
    assert least_power_given(600.0, 2500.0, dip) == 4e3
    assert least_power_given(1200.0, 1200.0, dip) == power_given(1200.0, dip)


def test_arrays_are_floats_side_by_side() -> None:
    low, high = np.array([100.0, 800.0, 1500.0, 3900.0]), np.array([100.0, 3600.0, 4000.0, 3950.0])
    each = [least_power_given(float(a), float(b), CHART) for a, b in zip(low, high, strict=True)]
    assert least_power_given(low, high, CHART).tolist() == each
