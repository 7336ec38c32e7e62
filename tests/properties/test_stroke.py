"""Laws of first touch for any radii."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from sim.base.gripping import Direction
from sim.mechanics.stroke import first_touch, travel, travel_band, wall_distance

RADII = st.floats(30.0, 200.0)
DIFFERENCES = st.floats(-1.0, 1.0).filter(lambda d: abs(d) > 0.01)
SHARES = st.floats(0.1, 1.8)
DIRECTIONS = st.sampled_from(["outside", "inside"])


@given(RADII, DIFFERENCES, SHARES, DIRECTIONS)
def test_the_wall_touches_the_part_and_nowhere_enters_it(
    radius: float, difference: float, share: float, direction: Direction
) -> None:
    """At e the wall stands at the part's radius where it touches, and nowhere on the face within it."""
    part, width = radius + difference, share * radius * 0.95
    touch = first_touch(part, radius, width, direction)
    half_angle = math.atan2(0.5 * width, touch.e + math.sqrt(radius**2 - 0.25 * width**2))
    at = 0.0 if touch.pattern == "middle" else half_angle
    assert math.isclose(wall_distance(at, touch.e, radius), part, rel_tol=1e-12)
    sign = 1.0 if direction == "outside" else -1.0
    for i in range(41):
        gap = sign * (wall_distance(half_angle * (i / 20.0 - 1.0), touch.e, radius) - part)
        assert gap >= -1e-10 * part


@given(RADII, st.floats(-0.5, 0.5), st.floats(0.001, 0.5), DIRECTIONS)
def test_grip_travel_is_monotone_in_the_part(
    radius: float, difference: float, step: float, direction: Direction
) -> None:
    smaller = travel(radius + difference, radius, 0.8 * radius, 4.0, 8.0, direction)
    larger = travel(radius + difference + step, radius, 0.8 * radius, 4.0, 8.0, direction)
    if direction == "outside":
        assert larger.grip_travel < smaller.grip_travel
        assert larger.loading_clearance < smaller.loading_clearance
    else:
        assert larger.grip_travel > smaller.grip_travel
        assert larger.loading_clearance > smaller.loading_clearance


@given(RADII, DIFFERENCES, st.floats(0.0, 8.0), DIRECTIONS)
def test_travel_and_what_is_left_make_the_stroke(
    radius: float, difference: float, boring_travel: float, direction: Direction
) -> None:
    found = travel(radius + difference, radius, 0.8 * radius, boring_travel, 8.0, direction)
    assert math.isclose(found.grip_travel + found.travel_left, 8.0, rel_tol=1e-12)


@given(RADII, st.floats(-0.5, 0.0), st.floats(0.0, 0.5), st.floats(0.0, 8.0), DIRECTIONS)
def test_the_reserve_implies_reach(
    radius: float, low: float, high: float, boring_travel: float, direction: Direction
) -> None:
    band = travel_band(radius + low, radius + high, radius, 0.8 * radius, boring_travel, 8.0, direction)
    assert band.first <= band.last
    assert band.reaches or not band.keeps_reserve
