from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from meshes.pocket import OVERCUT, Pocket, groove_flat, removed_inside, removed_outside
from meshes.revolve import volume_by_pappus

HEIGHT = 50.0


def test_plain_pocket_outside_is_a_cylinder() -> None:
    points = removed_outside([Pocket(100.0, 12.0)], HEIGHT)
    np.testing.assert_allclose(points, [(0, 38), (50, 38), (50, 50 + OVERCUT), (0, 50 + OVERCUT)])


def test_two_pockets_with_grooves_chamfers_and_a_through_bore() -> None:
    wide, deep = Pocket(118.0, 12.0, 3.0, 0.5, 1.0), Pocket(90.0, 25.0, 2.0, 0.4, 0.5)
    polygon = shapely.Polygon(removed_outside([wide, deep], HEIGHT, 60.0))
    assert polygon.is_valid
    assert polygon.exterior.is_ccw

    def radius_at(z: float) -> float:
        cut = polygon.intersection(shapely.LineString([(0, z), (200, z)]))
        return cut.bounds[2]

    assert radius_at(10.0) == pytest.approx(30.0)  # through bore
    assert radius_at(25.0 + 1e-9) == pytest.approx(45.4)  # groove at the deeper seat
    assert radius_at(25.0 + 2.0) == pytest.approx(45.0)  # end of its run-out
    assert radius_at(37.5) == pytest.approx(45.0)  # wall up to its chamfer
    assert radius_at(37.75) == pytest.approx(45.25)  # half way up the 45 deg chamfer
    assert radius_at(38.0 + 1e-9) == pytest.approx(59.5)  # groove at the upper seat
    assert radius_at(48.0) == pytest.approx(59.0)
    assert radius_at(50.0) == pytest.approx(60.0)  # the chamfer's leg at the top face
    # Order of the pockets does not matter.
    np.testing.assert_array_equal(
        removed_outside([deep, wide], HEIGHT, 60.0), removed_outside([wide, deep], HEIGHT, 60.0)
    )


def test_groove_has_a_flat_bottom_and_a_30_deg_run_out() -> None:
    pocket = Pocket(100.0, 12.0, 3.0, 0.5)
    flat = groove_flat(pocket)
    assert flat == pytest.approx(3.0 - 0.5 / math.tan(math.radians(30.0)))
    plain = volume_by_pappus(removed_outside([Pocket(100.0, 12.0)], HEIGHT))
    with_groove = volume_by_pappus(removed_outside([pocket], HEIGHT))
    # Ring of the flat part and cone frustum of the run-out, less the bore both stand on.
    run_out = 3.0 - flat
    added = math.pi * (50.5**2 - 50.0**2) * flat
    added += math.pi * run_out * ((50.5**2 + 50.5 * 50.0 + 50.0**2) / 3.0 - 50.0**2)
    assert with_groove - plain == pytest.approx(added, rel=1e-9)


def test_narrow_groove_is_a_triangle() -> None:
    assert groove_flat(Pocket(100.0, 12.0, 0.5, 0.5)) == 0.0


def test_inside_two_steps_mirror_the_outside() -> None:
    upper, lower = Pocket(80.0, 10.0, 2.0, 0.4, 1.0), Pocket(100.0, 20.0, 2.0, 0.4, 0.5)
    polygon = shapely.Polygon(removed_inside([lower, upper], HEIGHT, 140.0))
    assert polygon.is_valid
    assert polygon.exterior.is_ccw

    def radius_at(z: float) -> float:
        return polygon.intersection(shapely.LineString([(0, z), (200, z)])).bounds[0]

    assert polygon.bounds == pytest.approx((40.0 - 1.0 - OVERCUT, 30.0, 140.0, 50.0 + OVERCUT))
    assert radius_at(30.0 + 1e-9) == pytest.approx(49.6)
    assert radius_at(36.0) == pytest.approx(50.0)
    assert radius_at(39.75) == pytest.approx(49.75)
    assert radius_at(40.0 + 1e-9) == pytest.approx(39.6)
    assert radius_at(45.0) == pytest.approx(40.0)
    assert radius_at(50.0) == pytest.approx(39.0)


@pytest.mark.parametrize(
    ("pockets", "word"),
    [
        ([Pocket(90.0, 12.0), Pocket(100.0, 20.0)], "pocket 2 .* does not nest in pocket 1"),
        ([Pocket(90.0, 20.0), Pocket(90.0, 12.0)], "pocket 1 .* does not nest in pocket 2"),
        ([Pocket(100.0, 12.0), Pocket(90.0, 12.0)], "does not nest"),
        ([Pocket(100.0, 12.0), Pocket(99.0, 20.0, chamfer=0.5)], "leaves no seat for pocket 1"),
        ([Pocket(100.0, 12.0), Pocket(90.0, 14.0, 2.0, 0.5)], "leaves no wall below pocket 1"),
        ([Pocket(100.0, 50.0)], "pocket 1: depth must be less than the jaw height"),
        ([], "at least one pocket"),
    ],
)
def test_pockets_that_do_not_nest_are_named(pockets: list[Pocket], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        removed_outside(pockets, HEIGHT)


def test_inside_the_deeper_must_be_the_wider() -> None:
    with pytest.raises(ValueError, match="must be the wider"):
        removed_inside([Pocket(100.0, 10.0), Pocket(90.0, 20.0)], HEIGHT, 140.0)
    with pytest.raises(ValueError, match="outer ends"):
        removed_inside([Pocket(100.0, 10.0)], HEIGHT, 50.0)


def test_through_bore_must_be_narrower_than_the_deepest_pocket() -> None:
    with pytest.raises(ValueError, match="through diameter must be less"):
        removed_outside([Pocket(100.0, 10.0)], HEIGHT, 100.0)


@pytest.mark.parametrize(
    ("dimensions", "word"),
    [
        ((0.0, 10.0), "diameter must be greater"),
        ((100.0, math.nan), "depth must be greater"),
        ((100.0, 10.0, 1.0, 0.0), "groove width and groove depth"),
        ((100.0, 10.0, 6.0, 1.0, 4.0), "groove width plus chamfer"),
        ((100.0, 10.0, 0.0, 0.0, -1.0), "chamfer must be 0 mm or more"),
    ],
)
def test_impossible_pockets(dimensions: tuple[float, ...], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        Pocket(*dimensions)
