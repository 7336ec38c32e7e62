import math

import numpy as np
import pytest
from skfem import ElementHexS2

from sim.contact.bodies import Hole, JawBlock
from sim.contact.face import GripGeometry, face_grid
from sim.contact.jaw import element_stiffness, jaw_compliance, solid_share
from sim.contact.jaw_mesh import graded, jaw_mesh, layered
from sim.contact.part import elastic_matrix

STEEL = (210e3, 0.3)


def volume(mesh):
    """Return the volume of half the jaw from its elements' plan areas."""
    a, b = mesh.plan_mm[:-1, :-1], mesh.plan_mm[1:, 1:]
    c, d = mesh.plan_mm[1:, :-1], mesh.plan_mm[:-1, 1:]
    p, q = b - a, d - c
    area = 0.5 * np.abs(p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0]).sum(axis=1)
    return float(area @ mesh.present @ np.diff(mesh.levels_mm))


def sector(radius, half_width):
    """Return area between the middle plane, an arc about the axis and its chord's end, from the axis."""
    return 0.5 * radius**2 * math.asin(half_width / radius)


def test_volume_of_a_plain_jaw():
    grip = GripGeometry(50.0, 50.0, 50.0, 10.0, 40.0)
    mesh = jaw_mesh(grip, face_grid(grip, 40, 6, 0.1), JawBlock(100.0, 40.0, *STEEL))
    triangle = 0.5 * 25.0 * math.sqrt(50.0**2 - 25.0**2)
    plan = 25.0 * 100.0 - (sector(50.0, 25.0) + 25.0 * math.sqrt(50.0**2 - 25.0**2) - triangle)
    assert volume(mesh) == pytest.approx(40.0 * plan, rel=2e-3)


def test_volume_of_a_jaw_whose_bore_leaves_it_through_its_front():
    """Radius 16 in a blank 30 mm wide whose front stands at 12: what lies behind front and arc."""
    reach = math.sqrt(16.0**2 - 12.0**2)
    flat = GripGeometry(16.0, 16.0, 30.0, 10.0, 40.0, edge_chamfer_mm=15.0 - reach, edge_back_mm=0.0)
    mesh = jaw_mesh(flat, face_grid(flat, 40, 6, 0.1), JawBlock(80.0, 40.0, *STEEL))
    cap = sector(16.0, reach) - 0.5 * 12.0 * reach
    assert volume(mesh) == pytest.approx(40.0 * (15.0 * (80.0 - 12.0) - cap), rel=2e-3)
    # A wider pocket in front of it also leaves through the front.
    cut = jaw_mesh(
        flat, face_grid(flat, 40, 6, 0.1), JawBlock(80.0, 40.0, *STEEL, front_z_mm=25.0, front_radius_mm=18.0)
    )
    wider = math.sqrt(18.0**2 - 12.0**2)
    ring = sector(18.0, wider) - 0.5 * 12.0 * wider - cap
    assert volume(mesh) - volume(cut) == pytest.approx(15.0 * ring, rel=2e-2)


def test_an_element_stores_the_energy_of_a_strain_and_none_of_a_turn():
    """Displacements linear in the place, of a skewed element: half of strain times stress times its volume."""
    rng = np.random.default_rng(5)
    steps = np.stack(np.meshgrid([0.0, 1.0], [0.0, 1.0], indexing="ij"), axis=-1)
    skew = np.array([[3.0, 0.4, 0.0], [0.2, 2.0, 0.0], [0.0, 0.0, 1.5]])
    law = elastic_matrix(*STEEL)
    plan = steps @ skew[:2, :2]
    stiffness = element_stiffness(np.stack([0.5 * plan, plan]), np.array([4.0, 1.5]), law)[1, 1]
    assert stiffness == pytest.approx(stiffness.T, rel=1e-9, abs=1e-9 * stiffness.max())
    places = ElementHexS2().doflocs @ skew
    for gradient in (*rng.normal(size=(4, 3, 3)), np.eye(3), np.diag([1.0, -1.0, 0.0])):
        moved = (places @ gradient.T).ravel()
        e = 0.5 * (gradient + gradient.T)
        strain = np.array([e[0, 0], e[1, 1], e[2, 2], 2 * e[0, 1], 2 * e[1, 2], 2 * e[2, 0]])
        expected = 0.5 * strain @ law @ strain * np.linalg.det(skew)
        assert 0.5 * moved @ stiffness @ moved == pytest.approx(expected, rel=1e-9)
    turn = np.array([[0.0, 1.0, -2.0], [-1.0, 0.0, 3.0], [2.0, -3.0, 0.0]])
    moved = (places @ turn.T).ravel() + np.tile([1.0, 2.0, 3.0], 20)
    assert stiffness @ moved == pytest.approx(np.zeros(60), abs=1e-9 * stiffness.max())


def test_metal_beside_the_face_stiffens_the_jaw():
    """The same arc with its front cut back at 45 deg to the sides, or left flat."""
    figures = []
    for back in (None, 0.0):
        grip = GripGeometry(16.0, 16.0, 30.0, 10.0, 40.0, edge_chamfer_mm=4.4, edge_back_mm=back)
        figures.append(jaw_compliance(grip, face_grid(grip, 12, 4, 0.5), JawBlock(80.0, 40.0, *STEEL)).sum())
    assert 0.9 * figures[0] < figures[1] < figures[0]


def test_ledge_and_front_pocket_add_and_take_their_rings():
    grip = GripGeometry(50.0, 50.0, 40.0, 10.0, 25.0)
    grid = face_grid(grip, 40, 6, 0.1)
    plain = volume(jaw_mesh(grip, grid, JawBlock(100.0, 40.0, *STEEL)))
    angle = math.asin(20.0 / 50.0)
    ledge = volume(jaw_mesh(grip, grid, JawBlock(100.0, 40.0, *STEEL, 10.0, 40.0)))
    assert ledge - plain == pytest.approx(10.0 * 0.5 * (50.0**2 - 40.0**2) * angle, rel=2e-3)
    cut = volume(jaw_mesh(grip, grid, JawBlock(100.0, 40.0, *STEEL, front_z_mm=25.0, front_radius_mm=60.0)))
    triangle = [0.5 * 20.0 * math.sqrt(r**2 - 20.0**2) for r in (50.0, 60.0)]
    ring = sector(60.0, 20.0) + triangle[1] - sector(50.0, 20.0) - triangle[0]
    assert plain - cut == pytest.approx(15.0 * ring, rel=5e-3)


def test_seen_from_far_inside_and_outside_jaws_are_the_same_block():
    """At 20 m radius a face is flat: the jaw that presses outward is the mirror image of the other."""
    figures = []
    for inside, back in ((False, 20050.0), (True, 19950.0)):
        grip = GripGeometry(20000.0, 20000.0, 50.0, 10.0, 40.0, inside=inside)
        grid = face_grid(grip, 12, 4, 0.5)
        K = jaw_compliance(grip, grid, JawBlock(back, 40.0, *STEEL))
        figures.append(K)
    assert figures[1] == pytest.approx(figures[0], rel=5e-3, abs=1e-3 * figures[0].max())


def test_mirror_image_of_a_force_moves_the_mirror_image():
    grip = GripGeometry(50.0, 50.0, 46.0, 10.0, 40.0)
    grid = face_grid(grip, 12, 4, 0.5)
    K = jaw_compliance(grip, grid, JawBlock(100.0, 40.0, *STEEL)).reshape(4, 12, 4, 12)
    assert pytest.approx(K[:, ::-1, :, ::-1], abs=1e-12 * K.max()) == K
    # A force on one half moves that half more than the other.
    one_side = K[:, :, :, :6].sum(axis=(2, 3)).mean(axis=0)
    assert one_side[:6].mean() > one_side[6:].mean()


def test_stiffness_grows_with_the_modulus():
    grip = GripGeometry(50.0, 50.0, 46.0, 10.0, 40.0)
    grid = face_grid(grip, 12, 3, 0.5)
    soft, stiff = (jaw_compliance(grip, grid, JawBlock(100.0, 40.0, E, 0.3)) for E in (70e3, 210e3))
    assert soft == pytest.approx(3.0 * stiff, rel=1e-9)


def test_graded_steps_grow_from_the_first():
    steps = np.diff(graded(10.0, 60.0, 2.0, 1.5))
    assert steps.sum() == pytest.approx(50.0)
    assert steps[1:] / steps[:-1] == pytest.approx(1.5)
    assert 1.0 < steps[0] <= 2.0
    assert graded(60.0, 10.0, 2.0)[-1] == pytest.approx(10.0)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_layers_stay_where_they_are_while_one_more_joins(way):
    """From 0.01 to 40 times the first step: no step but the last changes once the next has joined."""
    before = None
    for length in np.geomspace(0.02, 80.0, 3000):
        edges = way * (layered(5.0, 5.0 + way * length, 2.0, 1.5) - 5.0)
        steps = np.diff(edges)
        assert edges[-1] == pytest.approx(length, rel=1e-12)
        assert np.all(steps > 0.0)
        assert steps.size >= 2
        assert steps[0] == pytest.approx(min(2.0, length / 2.5))
        assert np.all(steps[1:] / steps[:-1] <= 1.5 * (1.0 + 1e-9))
        if before is not None:
            moved = np.abs(edges[1 : before.size - 1] - before[1:-1])
            assert moved.max() <= edges[-1] - before[-1] + 1e-4  # none farther than the end itself
        before = edges
    assert before is not None
    assert before.size == graded(0.0, 80.0, 2.0).size


@pytest.mark.parametrize("low", [11.0, 13.5, 38.0])
def test_a_deeper_pocket_changes_the_jaw_smoothly(low):
    """A flat punch on the face of a pocket that gets deeper by 0.25 mm at a time: no cell's force bends by 0.4 %.

    Where one more layer of elements joined, and all moved, it bent by 1.4 to 2.3 %.
    """
    forces, layers = [], set()
    for z in low + 0.25 * np.arange(-6, 7):
        grip = GripGeometry(50.0, 50.0, 46.0, z, z + 12.0)
        grid = face_grid(grip, 8, 3, 0.5)
        jaw = JawBlock(80.0, z + 15.0, *STEEL)
        forces.append(np.linalg.solve(jaw_compliance(grip, grid, jaw), np.ones(grid.areas_mm2.size)))
        layers.add(jaw_mesh(grip, grid, jaw).levels_mm.size)
    bends = np.abs(np.diff(forces, 2, axis=0)).max(axis=1) / np.max(forces)
    assert bends.max() < 4e-3, bends
    if low == 13.5:
        assert len(layers) == 2


def test_metal_left_beside_a_hole():
    """Blocks of 3 mm around a hole of 20 mm: what is left is the whole less pi r^2 h."""
    edges = np.arange(0.0, 31.0, 3.0)
    x, y, z = (axis.ravel() for axis in np.meshgrid(edges[:-1], edges[:-1], edges[:-1], indexing="ij"))
    corners = np.zeros((x.size, 2, 2, 2, 3))
    for a, b, c in np.ndindex(2, 2, 2):
        corners[:, a, b, c] = np.column_stack([x + 3.0 * a, y + 3.0 * b, z + 3.0 * c])
    left = 27.0 * solid_share(corners, (Hole(15.0, 20.0, 6.0, 30.0),)).sum()
    assert left == pytest.approx(30.0**3 - 0.5 * math.pi * 100.0 * 24.0, rel=0.01)
    assert solid_share(corners, ()) == pytest.approx(np.ones(x.size))


def test_metal_beside_a_hole_changes_smoothly_when_the_hole_moves():
    """One element that the hole's edge crosses, against the circle's area by fine points; and no step on the way."""
    x, y = np.meshgrid(np.linspace(0.0, 3.0, 601), np.linspace(0.0, 3.0, 601), indexing="ij")
    corners = np.zeros((1, 2, 2, 2, 3))
    for a, b, c in np.ndindex(2, 2, 2):
        corners[0, a, b, c] = (3.0 * a, 3.0 * b, 3.0 * c)
    axes = np.linspace(-9.0, -7.0, 81)
    share = [float(solid_share(corners, (Hole(float(at), 20.0, 1.0, 9.0),))[0]) for at in axes]
    fine = [1.0 - 2.0 / 3.0 * float(np.mean((x - at) ** 2 + y**2 < 100.0)) for at in axes[::20]]
    assert share[::20] == pytest.approx(fine, abs=5e-3)
    steps = np.diff(share)
    assert np.all(steps < 0.0)
    assert np.abs(steps).max() < 1.5 * np.abs(steps).mean()


def test_a_hole_softens_the_jaw_and_one_far_away_hardly():
    grip = GripGeometry(50.0, 50.0, 50.0, 10.0, 40.0)
    grid = face_grid(grip, 12, 4, 0.5)
    whole = jaw_compliance(grip, grid, JawBlock(110.0, 40.0, *STEEL)).sum()
    near, far = (
        jaw_compliance(grip, grid, JawBlock(110.0, 40.0, *STEEL, holes=(Hole(at, 20.0, 10.0, 40.0),))).sum()
        for at in (65.0, 98.0)
    )
    assert whole < far < 1.05 * whole
    assert 1.05 * whole < near < 1.5 * whole


def test_more_elements_say_the_same_of_a_hole():
    """Metal counted element by element is of first order: on this coarse face 4 % are missing (1.5 % on 28 x 10)."""
    grip = GripGeometry(50.0, 50.0, 50.0, 10.0, 40.0)
    grid = face_grid(grip, 16, 6, 0.5)
    jaw = JawBlock(110.0, 40.0, *STEEL, holes=(Hole(70.0, 20.0, 15.0, 40.0), Hole(70.0, 13.5, 0.0, 15.0)))
    coarse = jaw_compliance(grip, grid, jaw).sum()
    fine = jaw_compliance(grip, grid, jaw, (1, 1), first_row_mm=1.5, growth=1.15).sum()
    assert 0.95 * fine < coarse < fine
