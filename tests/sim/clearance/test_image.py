"""Images of solids against closed forms; all of them elementary geometry, no source needed."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes import soft_jaw
from meshes.placement import jaw_placement, placed, rotation_z, translation
from meshes.revolve import facet_factor, revolve
from meshes.soft_jaw import SoftJawBlank
from sim.clearance import image

TOLERANCE = image.TOLERANCE


def assert_same(found: BaseGeometry, expected: BaseGeometry, tolerance: float = 1.5 * TOLERANCE) -> None:
    """Each lies within the tolerance of the other, boundaries included (holes and gaps count)."""
    assert found.is_valid
    assert expected.buffer(tolerance).contains(found)
    assert found.buffer(tolerance).contains(expected)
    assert expected.boundary.hausdorff_distance(found.boundary) <= tolerance


def test_cylinder_on_the_axis() -> None:
    solid = trimesh.creation.cylinder(radius=20.0, height=30.0, sections=64)
    assert_same(image.of_mesh(solid), shapely.box(0.0, -15.0, 20.0, 15.0))


def test_tube_on_the_axis_has_the_image_of_its_wall() -> None:
    factor = facet_factor(2.0 * math.pi / 720)
    solid = revolve([(10.0, 0.0), (20.0, 0.0), (20.0, 5.0), (10.0, 5.0)], sections=720)
    expected = shapely.box(10.0 * factor * math.cos(math.pi / 720), 0.0, 20.0 * factor, 5.0)
    assert_same(image.of_mesh(solid), expected)


def test_stepped_and_bored_body_is_its_own_outline() -> None:
    outline = [
        (8.0, 0.0),
        (30.0, 0.0),
        (30.0, 6.0),
        (18.0, 10.0),
        (18.0, 20.0),
        (12.0, 20.0),
        (12.0, 9.0),
        (8.0, 9.0),
    ]
    found = image.of_mesh(revolve(outline, sections=2048))
    assert_same(found, shapely.Polygon(outline))
    assert_same(image.of_outline(outline), shapely.Polygon(outline), 1e-12)


def test_closed_cavity_on_the_axis_is_a_hole() -> None:
    outer = trimesh.creation.cylinder(radius=20.0, height=30.0, sections=64)
    inner = trimesh.creation.cylinder(radius=5.0, height=10.0, sections=512)
    solid = trimesh.boolean.difference([outer, inner], engine="manifold")
    expected = shapely.box(0.0, -15.0, 20.0, 15.0).difference(shapely.box(0.0, -5.0, 5.0, 5.0))
    assert_same(image.of_mesh(solid), expected)


def test_bar_beside_the_axis_covers_its_diameter_about_its_offset() -> None:
    """A round bar of diameter d with its axis c from the spindle's covers c - d/2 .. c + d/2."""
    solid = placed(
        trimesh.creation.cylinder(radius=8.0, height=40.0, sections=256), translation(30.0, 0.0, 0.0)
    )
    assert_same(image.of_mesh(solid), shapely.box(22.0, -20.0, 38.0, 20.0))


def test_bar_across_the_axis_reaches_from_the_axis_to_its_far_side() -> None:
    solid = placed(
        trimesh.creation.cylinder(radius=8.0, height=40.0, sections=256), translation(0.0, -3.0, 0.0)
    )
    assert_same(image.of_mesh(solid), shapely.box(0.0, -20.0, 11.0, 20.0), 5e-3)


@pytest.mark.parametrize("turn", [0.0, 0.3, 2.0])
def test_block_reaches_from_its_near_face_to_its_far_corner(turn: float) -> None:
    block = placed(trimesh.creation.box((40.0, 50.0, 20.0)), rotation_z(turn) @ translation(50.0, 0.0, 10.0))
    assert_same(image.of_mesh(block), shapely.box(30.0, 0.0, math.hypot(70.0, 25.0), 20.0))


def test_leaning_plate_is_bounded_by_hyperbolas_and_a_straight_line() -> None:
    """rho^2 = a(z)^2 + u^2: a plate leaning by 30 deg, 40 wide, its plane 20 mm from the axis at z = 0."""
    lean, half, length, thin = math.radians(30.0), 20.0, 40.0, 2.0
    plate = trimesh.creation.box((thin, 2.0 * half, length))
    matrix = translation(30.0, 0.0, 0.0) @ trimesh.transformations.rotation_matrix(lean, [0.0, 1.0, 0.0])
    found = image.of_mesh(placed(plate, matrix), tolerance=1e-3)
    cosine, sine = math.cos(lean), math.sin(lean)
    corners = [(30.0 + cosine * x + sine * z, -sine * x + cosine * z)
               for x, z in ((-1.0, -20.0), (1.0, -20.0), (1.0, 20.0), (-1.0, 20.0))]  # fmt: skip
    section = shapely.segmentize(shapely.Polygon(corners).exterior, 0.01)
    inner = shapely.get_coordinates(section)
    outer = np.column_stack([np.hypot(inner[:, 0], half), inner[:, 1]])
    # At each height the plate runs from its section at y = 0 to the same section at y = 20.
    expected = shapely.union_all(
        [shapely.Polygon(inner), shapely.Polygon(outer)]
        + [
            shapely.Polygon([inner[k], inner[k + 1], outer[k + 1], outer[k]]).buffer(0)
            for k in range(len(inner) - 1)
        ]
    )
    assert_same(found, expected, 3e-3)


def test_three_congruent_jaws_share_one_image(blank: SoftJawBlank) -> None:
    solid = soft_jaw.mesh(blank)
    one = image.of_mesh(placed(solid, jaw_placement(0, 30.0)))
    all_three = image.of_mesh(
        trimesh.util.concatenate([placed(solid, jaw_placement(i, 30.0)) for i in range(3)])
    )
    assert_same(all_three, one)


def test_bored_jaw_is_the_blank_less_the_turned_region(
    blank: SoftJawBlank, jaws: BaseGeometry, pockets: shapely.Polygon
) -> None:
    """Turning removes whole circles, so the image of the bored jaw is exactly the difference."""
    bored = soft_jaw.bored(soft_jaw.mesh(blank), shapely.get_coordinates(pockets)[:-1], 30.0)
    found = image.of_mesh(placed(bored, jaw_placement(0, 30.0)))
    assert_same(found, jaws.difference(pockets))


def test_sag_of_chords_keeps_to_the_tolerance_and_falls_with_its_root() -> None:
    """A chord of length L on a curve of curvature k sags k L^2 / 8: their number goes as sag^-1/2."""
    edge = np.array([[[20.0, -50.0, 0.0], [20.0, 60.0, 30.0]]])
    counts = []
    for sag in (1e-1, 1e-2, 1e-3, 1e-4):
        chords = image.hyperbola_chords(edge, sag)
        middle = 0.5 * (chords[:, :2] + chords[:, 2:])
        y = -50.0 + 110.0 * middle[:, 1] / 30.0
        error = middle[:, 0] - np.hypot(20.0, y)
        assert error.min() >= 0.0
        assert error.max() <= sag * (1.0 + 1e-9)
        counts.append(len(chords))
    rate = np.polyfit(np.log([1e-1, 1e-2, 1e-3, 1e-4]), np.log(counts), 1)[0]
    assert rate == pytest.approx(-0.5, abs=0.06)


def test_winding_number_tells_inside_from_outside() -> None:
    solid = trimesh.creation.box((2.0, 2.0, 2.0))
    points = np.array([[0.0, 0.0, 0.0], [0.9, -0.9, 0.9], [1.1, 0.0, 0.0], [5.0, 5.0, 5.0]])
    assert image.winding_number(points, solid.triangles) == pytest.approx([1.0, 1.0, 0.0, 0.0], abs=1e-12)


def test_refuses_nonsense() -> None:
    with pytest.raises(ValueError, match="greater than 0 mm, found 0 mm"):
        image.of_mesh(trimesh.creation.box((1.0, 1.0, 1.0)), tolerance=0.0)
    with pytest.raises(ValueError, match="found none"):
        image.of_mesh(trimesh.Trimesh())
