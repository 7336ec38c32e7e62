"""Arcs, chamfers and roundings of an outline: closed forms, limits of many chords, and what does not fit."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from meshes.corners import Corner, WrongCornersError, sides_of
from meshes.revolve import volume_by_pappus
from meshes.sides import OFF, Arc, area, chords, curved, volume

RING = [Corner(20.0, 0.0), Corner(50.0, 0.0), Corner(50.0, 30.0), Corner(20.0, 30.0)]
RING_VOLUME = math.pi * (50.0**2 - 20.0**2) * 30.0


def ring(**shaped: float | bool) -> list[Corner]:
    """Return a ring of 40 and 100 mm whose outside runs on an arc."""
    return [*RING[:2], Corner(50.0, 30.0, **shaped), RING[3]]  # type: ignore[arg-type]


def outer_half_of_a_torus(r: float, a: float) -> float:
    """Volume of the outer half of a torus with radii r and a, by Pappus: a half disc's centroid is 4 a / (3 pi) off."""
    return math.pi * a * a / 2.0 * math.tau * (r + 4.0 * a / (3.0 * math.pi))


def inner_half_of_a_torus(r: float, a: float) -> float:
    return math.pi * a * a / 2.0 * math.tau * (r - 4.0 * a / (3.0 * math.pi))


@pytest.mark.parametrize(
    ("corners", "wanted"),
    [
        (ring(arc=15.0), RING_VOLUME + outer_half_of_a_torus(50.0, 15.0)),
        (ring(arc=15.0, convex=False), RING_VOLUME - inner_half_of_a_torus(50.0, 15.0)),
        # A ball, and half of one, about the axis.
        ([Corner(0.0, -10.0), Corner(0.0, 10.0, arc=10.0), Corner(0.0, 0.0)], 4.0 / 3.0 * math.pi * 1e3),
        ([Corner(0.0, 0.0), Corner(10.0, 0.0), Corner(0.0, 10.0, arc=10.0)], 2.0 / 3.0 * math.pi * 1e3),
        # A cap of height h of a ball of radius R: pi h^2 (R - h/3). h = 4, R = 10: its rim has the radius 8.
        (
            [Corner(0.0, 0.0), Corner(8.0, 0.0), Corner(0.0, 4.0, arc=10.0)],
            math.pi * 16.0 * (10.0 - 4.0 / 3.0),
        ),
    ],
)
def test_volume_of_arcs_is_that_of_the_closed_form_and_their_chords_have_it_too(
    corners: list[Corner], wanted: float
) -> None:
    for order in (corners, corners[::-1]):
        if order is not corners:  # the way back along the same arc leads to the corner that it came from
            order = [_back(corners, k) for k in range(len(corners) - 1, -1, -1)]
        sides = sides_of(order)
        assert volume(sides) == pytest.approx(wanted, rel=1e-12)
        assert volume_by_pappus(chords(sides)) == pytest.approx(wanted, rel=1e-12)


def _back(corners: list[Corner], k: int) -> Corner:
    led = corners[(k + 1) % len(corners)]
    return Corner(corners[k].r, corners[k].z, led.arc, led.convex, led.longer)


def test_a_fillet_takes_and_a_rounded_groove_leaves_what_pappus_says() -> None:
    """Between both legs and the arc lie (1 - pi/4) R^2, their centroid (10 - 3 pi) / (12 - 3 pi) R off the legs."""
    radius = 4.0
    piece, off = (1.0 - math.pi / 4.0) * radius**2, (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi) * radius
    sides = sides_of([*RING[:2], Corner(50.0, 30.0, radius=radius), RING[3]])
    assert volume(sides) == pytest.approx(RING_VOLUME - piece * math.tau * (50.0 - off), rel=1e-12)
    assert area(sides) == pytest.approx(900.0 - piece, rel=1e-12)
    inner = [
        Corner(10.0, 0.0), Corner(40.0, 0.0), Corner(40.0, 10.0), Corner(20.0, 10.0, radius=radius), Corner(20.0, 30.0),
        Corner(10.0, 30.0),
    ]  # fmt: skip
    sharp = math.pi * ((40.0**2 - 10.0**2) * 10.0 + (20.0**2 - 10.0**2) * 20.0)
    assert volume(sides_of(inner)) == pytest.approx(sharp + piece * math.tau * (20.0 + off), rel=1e-12)


@given(
    radius=st.floats(0.3, 400.0),
    share=st.floats(0.02, 1.0),
    convex=st.booleans(),
    longer=st.booleans(),
    r=st.floats(0.0, 500.0),
)
def test_no_chord_is_farther_off_its_arc_than_stated_and_none_changes_the_volume(
    radius: float, share: float, convex: bool, longer: bool, r: float
) -> None:
    """An arc by its definition: as far from its centre everywhere."""
    half = radius * share
    off = r + 2.5 * radius
    corners = [
        Corner(off, 0.0),
        Corner(off + 5.0 * radius, -half),
        Corner(off + 5.0 * radius, half, radius, convex, longer),
    ]
    try:
        sides = sides_of(corners)
    except WrongCornersError:
        return
    arc = next(side for side in sides if isinstance(side, Arc))
    ring = chords(sides)
    on_arc = [a for a, on in zip(ring, curved(sides), strict=True) if on] + [arc.end]
    distances = [math.dist(arc.centre, p) - radius for p in on_arc]
    middles = [
        math.dist(arc.centre, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) - radius for a, b in pairwise(on_arc)
    ]
    assert max(map(abs, distances + middles)) <= OFF + 1e-12
    assert distances[0] == pytest.approx(0.0, abs=1e-7 * radius)
    assert volume_by_pappus(ring) == pytest.approx(volume(sides), rel=1e-9)
    assert abs(arc.turn) >= math.pi - 1e-3 if longer else abs(arc.turn) <= math.pi + 1e-3


@given(radius=st.floats(15.0, 300.0), convex=st.booleans())
def test_an_arc_is_the_limit_of_many_chords(radius: float, convex: bool) -> None:
    """Corners typed on the circle that the Cartesian equation gives; no formula of the module."""
    depth = math.sqrt(radius**2 - 15.0**2)
    bulge = [math.sqrt(radius**2 - (z - 15.0) ** 2) - depth for z in np.linspace(0.0, 30.0, 4001)]
    if not convex and max(bulge) > 29.0:
        return
    side = [
        (50.0 + (b if convex else -b), z) for b, z in zip(bulge, np.linspace(0.0, 30.0, 4001), strict=True)
    ]
    typed = [(20.0, 0.0), *side, (20.0, 30.0)]
    sides = sides_of(ring(arc=radius, convex=convex))
    assert volume(sides) == pytest.approx(volume_by_pappus(typed), rel=1e-5)  # what its own chords miss
    assert (
        shapely.symmetric_difference(shapely.Polygon(chords(sides)), shapely.Polygon(typed)).area
        < 1.5 * OFF * 48.0
    )


def test_radii_normals_and_the_farthest_point_of_an_arc() -> None:
    arc = next(side for side in sides_of(ring(arc=25.0)) if isinstance(side, Arc))
    assert arc.centre == pytest.approx((30.0, 15.0))  # 3-4-5: half the way 15, so 20 inside of it
    assert arc.radii_at(15.0) == pytest.approx((55.0,))
    assert arc.radii_at(0.0) == pytest.approx((50.0,))
    assert arc.radii_at(30.1) == ()
    assert arc.normal((50.0, 30.0)) == pytest.approx((0.8, 0.6))
    assert arc.extreme(0.0) == pytest.approx((55.0, 15.0))
    assert arc.extreme(math.pi) is None
    longer = next(s for s in sides_of(ring(arc=25.0, longer=True)) if isinstance(s, Arc))
    assert longer.centre == pytest.approx((70.0, 15.0))
    assert longer.radii_at(15.0) == pytest.approx((95.0,))
    assert longer.radii_at(39.0) == pytest.approx((63.0, 77.0))
