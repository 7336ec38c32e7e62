import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sim.contact.bodies import TurnedPart
from sim.contact.face import FaceGrid, refined_edges
from sim.contact.part import part_harmonics, part_section
from sim.contact.section import GrippedSurface, gripped_surface, section_triangles

SHAPES = {
    "ring": ([(40, 10), (50, 10), (50, 40), (40, 40)], 50.0, (10, 40), False),
    "solid": ([(0, 10), (50, 10), (50, 40), (0, 40)], 50.0, (10, 40), False),
    "thin wall": ([(48, 10), (50, 10), (50, 40), (48, 40)], 50.0, (10, 40), False),
    "hub with flange and taper": (
        [
            (20, 0),
            (49.5, 0),
            (50, 0.5),
            (50, 25),
            (80, 25),
            (80, 35),
            (45, 35),
            (40, 90),
            (30, 90),
            (30, 40),
            (20, 40),
        ],
        50.0,
        (2, 22),
        False,
    ),
    "bonnet with dome": (
        [
            (0, 0),
            (60, 0),
            (60, 30),
            (90, 30),
            (90, 45),
            (62, 45),
            (55, 60),
            (20, 85),
            (20, 80),
            (50, 58),
            (50, 12),
            (0, 12),
        ],
        60.0,
        (0, 28),
        False,
    ),
    "cup": ([(0, 0), (30, 0), (30, 80), (28, 80), (28, 3), (0, 3)], 30.0, (5, 25), False),
    "pulley with web": (
        [
            (15, 0),
            (25, 0),
            (25, 18),
            (70, 18),
            (70, 0),
            (75, 0),
            (75, 40),
            (70, 40),
            (70, 22),
            (25, 22),
            (25, 40),
            (15, 40),
        ],
        75.0,
        (3, 33),
        False,
    ),
    "bush gripped inside": ([(50, 10), (60, 10), (60, 40), (50, 40)], 50.0, (12, 38), True),
    "tapered surface": ([(30, 0), (50, 0), (51, 40), (30, 40)], 50.5, (5, 35), False),
}


@pytest.mark.parametrize("name", SHAPES)
def test_triangles_fill_the_outline_without_gaps(name):
    outline, radius, (low, high), inside = SHAPES[name]
    part = TurnedPart(outline, 1.0, 0.3)
    surface = gripped_surface(part, radius, low, high)
    heights = np.linspace(surface.z_low_mm, surface.z_high_mm, 7)
    points, triangles = section_triangles(part, surface, heights, inside=inside)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = 0.5 * np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    polygon = shapely.Polygon(outline)
    assert area.sum() == pytest.approx(polygon.area, rel=1e-9)
    assert area.min() > 0.0
    edges = np.sort(
        np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1
    )
    unique, count = np.unique(edges, axis=0, return_counts=True)
    assert count.max() == 2
    rim = unique[count == 1]
    length = np.linalg.norm(points[rim[:, 0]] - points[rim[:, 1]], axis=1).sum()
    assert length == pytest.approx(polygon.length, rel=1e-9)
    # Every edge of a band is a point of the gripped surface.
    wanted = np.column_stack([surface.radius_at(heights), heights])
    assert np.min(np.linalg.norm(points[:, None] - wanted[None], axis=2), axis=0).max() < 1e-6


def test_rows_are_thin_at_the_surface():
    part = TurnedPart(SHAPES["solid"][0], 1.0, 0.3)
    points, _ = section_triangles(
        part, GrippedSurface(10.0, 40.0, 50.0), np.linspace(10.0, 40.0, 7), finest_mm=0.2
    )
    radii = np.unique(np.round(points[:, 0], 9))
    assert 50.0 - radii[-2] == pytest.approx(0.2)


def test_gripped_surface_is_the_longest_edge_near_the_radius():
    part = TurnedPart([(0, 0), (50, 0), (50, 4), (45, 4), (45, 6), (50, 6), (50, 30), (0, 30)], 1.0, 0.3)
    surface = gripped_surface(part, 50.02, 2.0, 28.0)
    assert (surface.z_low_mm, surface.z_high_mm) == (6.0, 28.0)
    assert surface.radius_at(np.array([10.0])) == pytest.approx(50.0)


def test_gripping_where_there_is_no_surface_is_refused():
    part = TurnedPart(SHAPES["ring"][0], 1.0, 0.3)
    with pytest.raises(ValueError, match="no turned surface of radius 60 mm"):
        gripped_surface(part, 60.0, 10.0, 40.0)
    with pytest.raises(ValueError, match="between z = 50 and 60 mm"):
        gripped_surface(part, 50.0, 50.0, 60.0)


def test_an_outline_that_crosses_itself_is_refused():
    part = TurnedPart([(40, 0), (50, 30), (50, 0), (40, 30)], 1.0, 0.3)
    with pytest.raises(ValueError, match="simple closed line"):
        section_triangles(part, GrippedSurface(0.0, 30.0, 50.0), np.linspace(0.0, 30.0, 4))


@st.composite
def turned(draw):
    """Return the outline of a stack of stepped, bored and tapered lengths, its gripped radius and height."""
    count = draw(st.integers(1, 5))
    z, inner, outer = 0.0, [], []
    gripped = draw(st.integers(0, count - 1))
    bored = draw(st.booleans())
    found = (0.0, 0.0, 0.0)
    for step in range(count):
        length = draw(st.floats(2.0, 60.0))
        bore = draw(st.floats(5.0, 30.0)) if bored else 0.0
        radius = draw(st.floats(bore + 1.5, bore + 80.0))
        taper = 0.0 if step == gripped else draw(st.floats(-1.0, 1.0))
        chamfer = draw(st.one_of(st.just(0.0), st.floats(0.05, min(0.1 * length, 0.5 * (radius - bore)))))
        if step == gripped:
            found = (radius, z + chamfer, z + length)
            outer += [(radius - chamfer, z), (radius, z + chamfer)] if chamfer else [(radius, z)]
        else:
            outer.append((radius + taper, z))
        outer.append((radius, z + length))
        inner += [(bore, z), (bore, z + length)]
        z += length
    return [*outer, *inner[::-1]], found


@settings(max_examples=12, deadline=None)
@given(turned())
def test_any_stack_of_turned_lengths_is_divided(case):
    outline, (radius, low, high) = case
    part = TurnedPart(outline, 210e3, 0.3)
    polygon = shapely.Polygon(outline)
    assume(polygon.is_valid)
    surface = gripped_surface(part, radius, low, high)
    heights = refined_edges(surface.z_low_mm, surface.z_high_mm, 6, 0.5)
    points, triangles = section_triangles(part, surface, heights, finest_mm=0.3)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = 0.5 * np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert area.sum() == pytest.approx(polygon.area, rel=1e-6)
    assert len(triangles) < 6000
    grid = FaceGrid(np.linspace(-0.2, 0.2, 5), heights, radius)
    response = part_harmonics(part_section(part, grid, surface), np.array([0.0, 1.0, 2.0, 3.0]))
    assert np.all(np.isfinite(response.band_mm))
    assert all(np.linalg.eigvalsh(A)[0] > 0.0 for A in response.band_mm)


def test_rigid_motions_strain_nothing():
    """z for n = 0; shift and tilt for n = 1: their energy vanishes against that of the same size of strain."""
    part = TurnedPart(SHAPES["hub with flange and taper"][0], 210e3, 0.3)
    surface = gripped_surface(part, 50.0, 2.0, 22.0)
    grid = FaceGrid(np.linspace(-0.2, 0.2, 5), np.linspace(2.0, 22.0, 7), 50.0)
    section = part_section(part, grid, surface)
    basis = section.basis
    r, z = basis.doflocs
    U, V, W = (
        np.isin(np.arange(basis.N), np.concatenate([basis.nodal_dofs[k], basis.facet_dofs[k]]))
        for k in range(3)
    )
    for n, motion in ((0, 1.0 * W), (1, 1.0 * U - 1.0 * V), (1, z * U - z * V - r * W)):
        K = section.stiffness[0] + n * section.stiffness[1] + n**2 * section.stiffness[2]
        scale = abs(motion) @ abs(K) @ abs(motion)
        assert abs(motion @ K @ motion) < 1e-10 * scale
    tilted = z * U - z * V + r * W
    K = section.stiffness[0] + section.stiffness[1] + section.stiffness[2]
    assert tilted @ K @ tilted > 1e-3 * (abs(tilted) @ abs(K) @ abs(tilted)) * 1e-3
