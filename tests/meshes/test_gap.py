"""Least distances against plane and circle geometry written out."""

from __future__ import annotations

import math

import pytest
import trimesh
from gap import least_distance

from meshes import soft_jaw
from meshes.placement import jaw_placement, placed, translation
from meshes.pocket import Pocket, removed_outside
from meshes.revolve import revolve
from meshes.soft_jaw import SoftJawBlank


def test_boxes() -> None:
    first = trimesh.creation.box(extents=(2.0, 2.0, 2.0))
    apart = placed(first, translation(5.0, 6.0, 0.0))
    assert least_distance(first, apart, 100.0) == pytest.approx(5.0)  # 3, 4, 5 between the edges
    assert least_distance(first, apart, 2.5) == pytest.approx(2.5)
    assert least_distance(first, placed(first, translation(1.0, 0.0, 0.0)), 10.0) == 0.0


def test_cylinder_in_a_bore() -> None:
    ring = revolve([(20.0, 0.0), (30.0, 0.0), (30.0, 5.0), (20.0, 5.0)], 1024)
    pin = placed(revolve([(0.0, 1.0), (18.0, 1.0), (18.0, 4.0), (0.0, 4.0)], 1024), translation(0.5, 0, 0))
    assert least_distance(ring, pin, 10.0) == pytest.approx(1.5, abs=5e-4)


@pytest.mark.parametrize(
    ("part_radius", "first_touch", "lever"),
    [
        # Bore radius 50, jaw 50 wide. Larger part: the edges at 30 deg touch first, so a jaw 0.05 mm further
        # out leaves 0.05 cos 30 deg there; smaller part: the middle touches first and 0.05 mm is left there.
        (50.1, math.sqrt(50.1**2 - 25.0**2) - math.sqrt(50.0**2 - 25.0**2), math.cos(math.asin(25.0 / 50.1))),
        (49.9, -0.1, 1.0),
    ],
)
def test_jaw_touches_where_circle_geometry_says(
    blank: SoftJawBlank, part_radius: float, first_touch: float, lever: float
) -> None:
    outline = removed_outside([Pocket(100.0, 12.0)], blank.height)
    jaw = soft_jaw.bored(soft_jaw.mesh(blank), outline, 40.0)
    part = revolve([(0.0, 40.0), (part_radius, 40.0), (part_radius, 60.0), (0.0, 60.0)], 1024)
    for index in range(3):
        further = placed(jaw, jaw_placement(index, 40.0 + first_touch + 0.05))
        assert least_distance(further, part, 5.0) == pytest.approx(0.05 * lever, abs=1e-3)
        closer = placed(jaw, jaw_placement(index, 40.0 + first_touch - 0.005))
        assert least_distance(closer, part, 5.0) == 0.0
