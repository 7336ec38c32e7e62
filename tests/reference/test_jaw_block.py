"""A soft jaw clamped at its base against a general-purpose discretisation of the same block.

Reference: quadratic tetrahedra and linear elasticity of scikit-fem (T. Gustafsson and G. D. McBain, J. Open Source
Softw. 5(52), 2020, 2369) on a mapped mesh of their own; nothing of sim.contact but the face's dimensions. The jaw of
sim.contact is hexahedra condensed row by row. 2 % required, on what a face needs to be right.
"""

import numpy as np
import pytest
import scipy.sparse.linalg
from skfem import Basis, ElementTetP2, ElementVector, FacetBasis, Functional, LinearForm, MeshTet
from skfem.models.elasticity import lame_parameters, linear_elasticity

from sim.contact.bodies import JawBlock
from sim.contact.face import FaceGrid, GripGeometry, face_grid
from sim.contact.jaw import jaw_compliance

RADIUS, WIDTH, BACK, HEIGHT, LOW = 50.0, 50.0, 100.0, 40.0, 10.0
E, NU = 70e3, 0.33
ROWS = (10.0, 17.5, 25.0, 32.5)
EDGE = np.arcsin(0.5 * WIDTH / RADIUS)


def outward(v, w):
    r = np.hypot(w.x[0], w.x[1])
    return (v[0] * w.x[0] + v[1] * w.x[1]) / r


def half_block(back):
    """Return tetrahedra over half a jaw with its bored arc at a = 0, and the facets of the arc."""
    s = np.array([0.0, 0.04, 0.12, 0.25, 0.5, 1.0])
    t = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 0.92, 1.0])
    z = np.array([0.0, 5.0, 10.0, 13.75, 17.5, 25.0, 32.5, 40.0])
    cube = MeshTet.init_tensor(s, t, z)
    face = cube.facets_satisfying(lambda p: p[0] < 1e-9, boundaries_only=True)
    a, b, h = cube.p
    arc = RADIUS * np.array([np.cos(EDGE * b), np.sin(EDGE * b)])
    x, y = (1.0 - a) * arc + a * np.array([np.full_like(b, back), 0.5 * WIDTH * b])
    return MeshTet(np.array([x, y, h]), cube.t), face


def reference(back=BACK):
    """Mean outward motion of bands and sides of the face for 1 MPa on all of it (first) and its upper half."""
    mesh, face = half_block(back)
    element = ElementVector(ElementTetP2())
    basis = Basis(mesh, element)
    stiffness = linear_elasticity(*lame_parameters(E, NU)).assemble(basis)
    seat = basis.get_dofs(lambda p: p[2] < 1e-9).all()
    mirror = basis.get_dofs(lambda p: np.abs(p[1]) < 1e-9).all(["u^2"])
    assert mirror.size > 100
    free = np.setdiff1d(np.arange(basis.N), np.union1d(seat, mirror))
    centre = mesh.p[:, mesh.facets[:, face]].mean(axis=1)
    loads = np.column_stack(
        [
            LinearForm(outward).assemble(FacetBasis(mesh, element, facets=face[centre[2] > z]))
            for z in (LOW, 25.0)
        ]
    )
    moved = np.zeros_like(loads)
    solver = scipy.sparse.linalg.splu(stiffness.tocsc()[free][:, free], permc_spec="MMD_AT_PLUS_A")
    moved[free] = solver.solve(loads[free])
    share = np.arctan2(centre[1], centre[0]) / EDGE
    groups = [face[(centre[2] > z) & (centre[2] < z + 7.5)] for z in ROWS]
    groups += [face[(centre[2] > LOW) & (share > a) & (share < b)] for a, b in ((0.0, 0.2), (0.8, 1.0))]

    def mean(facets, u):
        there = FacetBasis(mesh, element, facets=facets)
        total = Functional(lambda w: outward(w.u, w)).assemble(there, u=there.interpolate(u))
        return total / Functional(lambda w: np.ones_like(w.x[0])).assemble(there)

    return [np.array([mean(group, u) for group in groups]) for u in moved.T]


def condensed():
    """Return the same figures from the condensed jaw."""
    grip = GripGeometry(RADIUS, RADIUS, WIDTH, LOW, HEIGHT)
    around = face_grid(grip, 20, 8, 1.0).angle_edges_rad
    grid = FaceGrid(around, np.linspace(LOW, HEIGHT, 9), RADIUS)
    K = jaw_compliance(grip, grid, JawBlock(BACK, HEIGHT, E, NU))
    figures = []
    for pressed_from in (LOW, 25.0):
        force = np.where(grid.heights_mm[:, None] > pressed_from, grid.areas_mm2, 0.0)
        u = (K @ force.ravel()).reshape(8, 20)
        sides = [u[:, 8:12].mean(), 0.5 * (u[:, :2].mean() + u[:, 18:].mean())]
        figures.append(np.concatenate([u.reshape(4, 2, 20).mean(axis=(1, 2)), sides]))
    return figures


@pytest.fixture(scope="module")
def ours():
    return condensed()


def test_motion_of_the_face(ours):
    """Bands of 7.5 mm, middle and edge, pressed on the whole height and on its upper half."""
    for expected, got in zip(reference(), ours, strict=True):
        assert got == pytest.approx(expected, rel=0.02)


def test_a_shorter_jaw_is_told_apart(ours):
    """The check sees 20 mm less of jaw behind the face: it is not blind to the block."""
    assert ours[1] != pytest.approx(reference(back=80.0)[1], rel=0.02)
