"""Touch, travel and clearance of single cases."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.base.gripping import Direction
from sim.mechanics.stroke import (
    BoredFace,
    ends,
    first_touch,
    loading_clearance,
    middle_travel,
    serving_travels,
    stroke_spare,
    travel,
    travel_band,
    wall_distance,
)


def test_a_bore_on_the_axis_is_round() -> None:
    assert wall_distance(0.7, 0.0, 50.0) == 50.0


def test_the_wall_ends_where_the_ray_misses_the_bore() -> None:
    with pytest.raises(ValueError, match="no wall"):
        wall_distance(math.pi / 2, 60.0, 50.0)


@pytest.mark.parametrize(
    ("direction", "radius", "pattern"),
    [
        ("outside", 49.9, "middle"),
        ("outside", 50.1, "edges"),
        ("outside", 50.0, "full"),
        ("inside", 50.1, "middle"),
        ("inside", 49.9, "edges"),
        ("inside", 50.0, "full"),
    ],
)
def test_patterns(direction: Direction, radius: float, pattern: str) -> None:
    assert first_touch(radius, 50.0, 50.0, direction).pattern == pattern


def test_full_face_ends_at_its_tolerance() -> None:
    assert first_touch(50.0019, 50.0, 50.0, "outside").pattern == "full"
    assert first_touch(50.0021, 50.0, 50.0, "outside").pattern == "edges"


def test_grip_travel_outside_and_inside() -> None:
    outside = travel(49.9, 50.0, 50.0, 4.0, 8.0, "outside")
    assert outside.grip_travel == pytest.approx(4.1)  # smaller part: jaws close further
    assert outside.travel_left == pytest.approx(3.9)
    assert outside.position_share == pytest.approx(4.1 / 8.0)
    inside = travel(50.1, 50.0, 50.0, 4.0, 8.0, "inside")
    assert inside.grip_travel == pytest.approx(4.1)  # larger bore: jaws open further


def test_loading_clearance_is_least_on_the_edges() -> None:
    """Opening by 4 mm moves an edge at 30 deg by 4 cos 30 deg plus second order away from the axis."""
    clearance = loading_clearance(50.0, 50.0, 50.0, 4.0, "outside")
    assert clearance == pytest.approx(math.hypot(4.0 + 50.0 * math.cos(math.pi / 6), 25.0) - 50.0)
    assert 4.0 * math.cos(math.pi / 6) < clearance < 4.0
    inside = loading_clearance(50.0, 50.0, 50.0, 4.0, "inside")
    assert inside == pytest.approx(50.0 - math.hypot(50.0 * math.cos(math.pi / 6) - 4.0, 25.0))


def test_loading_clearance_is_the_least_over_the_face() -> None:
    half_angle = math.atan2(25.0, 4.0 + math.sqrt(50.0**2 - 25.0**2))
    walls = [wall_distance(half_angle * i / 200.0, 4.0, 50.0) for i in range(201)]
    assert loading_clearance(49.0, 50.0, 50.0, 4.0, "outside") == pytest.approx(min(walls) - 49.0, abs=1e-12)


def test_a_part_too_large_does_not_load() -> None:
    band = travel_band(54.0, 55.0, 50.0, 50.0, 4.0, 8.0, "outside", lead_in=1.0)
    assert not band.loads
    assert band.entry_clearance == pytest.approx(band.loading_clearance + 1.0)


def test_raw_stock_takes_its_out_of_round_off_the_clearance() -> None:
    true = travel_band(50.0, 50.5, 50.2, 50.0, 4.0, 8.0, "outside")
    raw = travel_band(50.0, 50.5, 50.2, 50.0, 4.0, 8.0, "outside", out_of_round=0.4)
    assert raw.loading_clearance == pytest.approx(true.loading_clearance - 0.4)


def test_reserve_at_both_ends() -> None:
    """Stroke 6 mm, reserve one sixth: grip between 1 mm and 5 mm."""
    assert travel_band(50.0, 50.0, 50.0, 40.0, 1.01, 6.0, "outside").keeps_reserve
    assert not travel_band(50.0, 50.0, 50.0, 40.0, 0.99, 6.0, "outside").keeps_reserve
    assert not travel_band(49.0, 50.0, 50.0, 40.0, 4.5, 6.0, "outside").keeps_reserve
    beyond = travel_band(48.0, 50.0, 50.0, 40.0, 4.5, 6.0, "outside")
    assert not beyond.reaches
    assert beyond.low.travel_left < 0.0


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="part radius must be greater than half"):
        first_touch(20.0, 50.0, 50.0, "outside")
    with pytest.raises(ValueError, match="bored radius"):
        first_touch(50.0, 20.0, 50.0, "outside")
    with pytest.raises(ValueError, match="within the stroke"):
        travel(50.0, 50.0, 50.0, 9.0, 8.0, "outside")
    with pytest.raises(ValueError, match="at most the high radius"):
        travel_band(51.0, 50.0, 50.0, 50.0, 4.0, 8.0, "outside")


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_many_sizes_are_each_of_them(direction: Direction) -> None:
    """To the last bit, for smaller and larger parts than the bore, and for those that do not fit the face at all."""
    rng = np.random.default_rng(4)
    low = 50.0 + rng.uniform(-1.0, 1.0, 300)
    high, lobe = low + rng.uniform(0.0, 0.5, 300), rng.uniform(0.0, 0.1, 300)
    reserve, wanted = rng.uniform(0.0, 2.0, 300), rng.uniform(0.0, 1.0, 300)
    face = BoredFace(50.0, 70.0, 4.0, direction)
    many = ends(low, high, face, lobe)
    served = serving_travels(low, high, face, 8.0, reserve, wanted)
    for k in range(300):
        band = travel_band(low[k], high[k], 50.0, 70.0, 4.0, 8.0, direction, out_of_round=lobe[k])
        assert (many.first[k], many.last[k]) == (band.first, band.last)
        assert many.loading_clearance[k] == band.loading_clearance
        one = serving_travels(*map(float, (low[k], high[k])), face, 8.0, float(reserve[k]), float(wanted[k]))
        assert (served[0][k], served[1][k]) == one
    with pytest.raises(ValueError, match="half the face's width"):
        first_touch(30.0, 50.0, 70.0, direction)


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_bored_where_it_serves_just_serves(direction: Direction) -> None:
    """Bored anew there a size loads as wanted and keeps the reserve; a little beyond, one of these is lost."""

    def spare(at: float, radius: float, wanted: float, reserve: float) -> float:
        found = ends(radius, radius, BoredFace(50.0, 60.0, at, direction), 0.0)
        off_ends = min(found.first, 8.0 - found.last, at, 8.0 - at)
        return min(off_ends - reserve, found.loading_clearance - wanted)

    for radius in (49.9, 50.0, 50.05):
        for wanted, reserve in ((0.3, 1.0), (3.3, 1.0), (0.3, 3.8)):
            low, high = serving_travels(
                radius, radius, BoredFace(50.0, 60.0, 4.0, direction), 8.0, reserve, wanted
            )
            assert low < high
            for end, beyond in ((low, low - 1e-6), (high, high + 1e-6)):
                assert spare(end, radius, wanted, reserve) == pytest.approx(0.0, abs=1e-9)
                assert spare(beyond, radius, wanted, reserve) < -1e-7


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_a_radius_just_over_half_the_face_fits(direction: Direction) -> None:
    """A chord of 50 mm needs a radius of more than 25 mm, and no more than that."""
    assert first_touch(26.0, 26.0, 50.0, direction).e == 0.0
    assert math.isfinite(loading_clearance(26.0, 26.0, 50.0, 4.0, direction))


def test_the_middle_of_the_tolerance_lies_within_the_stroke() -> None:
    assert middle_travel(1.0, 3.0, 8.0) == 2.0
    assert middle_travel(-3.0, 1.0, 8.0) == 0.0
    assert middle_travel(7.0, 11.0, 8.0) == 8.0


def test_what_is_spare_is_the_nearer_end() -> None:
    assert stroke_spare(1.0, 3.0, 8.0) == 1.0
    assert stroke_spare(4.0, 7.5, 8.0) == 0.5
    assert stroke_spare(-0.2, 3.0, 8.0) == -0.2
