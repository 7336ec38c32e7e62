"""Laws of the grip at rest for any chuck."""

from __future__ import annotations

import dataclasses
import math

from hypothesis import assume, given
from hypothesis import strategies as st

from sim.mechanics.grip import (
    ChuckDrive,
    GripCurve,
    Wedge,
    falling_jaw_force,
    grip_at_rest,
    jaw_force,
    pressure_for_grip,
)

WEDGES = st.builds(
    Wedge,
    st.floats(0.15, 0.6),
    st.floats(0.0, 30.0),
    st.floats(50.0, 150.0),
    st.floats(0.0, 0.3),
    st.sampled_from(["linear", "ends"]),
)
HEIGHTS = st.floats(0.0, 150.0)
STEPS = st.lists(st.tuples(st.floats(0.2, 1.0), st.floats(1e3, 4e4)), min_size=1, max_size=5)


def curve(steps: list[tuple[float, float]]) -> GripCurve:
    points, p, f = [], 0.0, 0.0
    for dp, df in steps:
        p, f = p + dp, f + df
        points.append((p, f))
    return GripCurve(tuple(points), 60.0)


@given(WEDGES, HEIGHTS, st.floats(0.1, 50.0))
def test_grip_falls_with_height_and_with_friction(wedge: Wedge, height: float, more: float) -> None:
    grip = jaw_force(1e4, height, wedge)
    assert jaw_force(1e4, height + more, wedge) <= grip
    rough = dataclasses.replace(wedge, friction=wedge.friction + 0.01)
    assert jaw_force(1e4, height, rough) <= grip


@given(WEDGES, HEIGHTS)
def test_rising_and_falling_pull_bound_the_frictionless_grip(wedge: Wedge, height: float) -> None:
    ideal = 1e4 / math.tan(wedge.angle)
    assert jaw_force(1e4, height, wedge) <= ideal * (1 + 1e-12)
    assert falling_jaw_force(1e4, height, wedge) >= ideal * (1 - 1e-12)


@given(WEDGES, HEIGHTS, st.floats(0.0, 1.0), STEPS, st.booleans())
def test_pressure_for_grip_undoes_grip_at_rest(
    wedge: Wedge, height: float, share: float, steps: list[tuple[float, float]], data: bool
) -> None:
    found = curve(steps)
    drive = ChuckDrive(wedge, 12_000.0, found if data else None)
    pressure = share * found.points[-1][0] * 0.999
    grip = grip_at_rest(pressure, height, drive).total
    assume(grip > 0.0 or pressure == 0.0)
    assume(grip_at_rest(1.0, height, ChuckDrive(wedge, 1.0)).total > 0.0)
    back = pressure_for_grip(grip, height, drive)
    assert math.isclose(grip_at_rest(back, height, drive).total, grip, rel_tol=1e-9, abs_tol=1e-6)
    assert grip == 0.0 or math.isclose(back, pressure, rel_tol=1e-9, abs_tol=1e-12)


@given(WEDGES, HEIGHTS, STEPS, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_grip_is_monotone_in_pressure(
    wedge: Wedge, height: float, steps: list[tuple[float, float]], one: float, other: float
) -> None:
    low, high = sorted((one, other))
    for drive in (ChuckDrive(wedge, 12_000.0), ChuckDrive(wedge, 12_000.0, curve(steps))):
        top = curve(steps).points[-1][0] * 0.999
        least = grip_at_rest(low * top, height, drive).total
        assert least <= grip_at_rest(high * top, height, drive).total * (1 + 1e-12)
