"""A ring with a flange, gripped on part of its height, against a general-purpose 3D discretisation.

Reference: quadratic tetrahedra and linear elasticity of scikit-fem (T. Gustafsson and G. D. McBain, J. Open Source
Softw. 5(52), 2020, 2369) on a 60 deg sector between planes of symmetry; nothing of the Fourier series. It is the check
that sees the coupling along z, which rings in plane strain or stress do not. Required: 1.5 %;
measured 1.0 %, of which the 3D mesh owns most: with tetrahedra half as large it is 0.3 %.
"""

import numpy as np
import scipy.sparse.linalg
from skfem import Basis, BilinearForm, ElementTetP2, ElementVector, FacetBasis, LinearForm, MeshTet
from skfem.models.elasticity import lame_parameters, linear_elasticity

from sim.contact.bodies import TurnedPart
from sim.contact.face import JAW_ANGLES_RAD, FaceGrid
from sim.contact.harmonics import between_orders, solved_orders, strip_waves
from sim.contact.part import part_harmonics, part_section
from sim.contact.section import GrippedSurface

E, NU = 210e3, 0.3
ARC, LOW, HIGH = np.radians(20.0), 5.0, 20.0
OUTLINE = [(42.0, 0.0), (50.0, 0.0), (50.0, 30.0), (62.0, 30.0), (62.0, 36.0), (42.0, 36.0)]
PLACES = np.array([[42.0, 5.0], [42.0, 12.5], [42.0, 33.0], [62.0, 33.0]])
ANGLES = np.radians([0.0, 30.0, 60.0])


def reference():
    """Radial and axial motion (place, angle) under 1 MPa inward on the three gripped arcs."""
    r = np.array([42.0, 44.5, 47.5, 50.0, 56.0, 62.0])
    t = np.radians([0.0, 8.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0])
    z = np.array([0.0, 5.0, 9.0, 12.5, 16.0, 20.0, 25.0, 30.0, 33.0, 36.0])
    cube = MeshTet.init_tensor(r, t, z)
    centre = cube.p[:, cube.t].mean(axis=1)
    cube = cube.restrict(np.flatnonzero((centre[0] < 50.0) | (centre[2] > 30.0)))
    a, b, h = cube.p
    mesh = MeshTet(np.array([a * np.cos(b), a * np.sin(b), h]), cube.t)
    element = ElementVector(ElementTetP2())
    basis = Basis(mesh, element)
    stiffness = linear_elasticity(*lame_parameters(E, NU)).assemble(basis)
    middle = cube.p[:, cube.facets].mean(axis=1)
    on_arc = (np.abs(middle[0] - 50.0) < 1e-9) & (middle[1] < ARC) & (middle[2] > LOW) & (middle[2] < HIGH)
    on_arc &= np.ptp(cube.p[0][cube.facets], axis=0) < 1e-9

    def inward(v, w):
        return -(v[0] * w.x[0] + v[1] * w.x[1]) / np.hypot(w.x[0], w.x[1])

    load = LinearForm(inward).assemble(FacetBasis(mesh, element, facets=np.flatnonzero(on_arc)))
    normal = np.array([-np.sin(np.pi / 3.0), np.cos(np.pi / 3.0)])
    # The plane at 60 deg is not along an axis: its normal motion is held by a stiff spring (a penalty).
    side = np.flatnonzero(np.abs(middle[1] - np.pi / 3.0) < 1e-9)
    side = side[np.ptp(cube.p[1][cube.facets[:, side]], axis=0) < 1e-9]
    spring = BilinearForm(
        lambda u, v, _: 1e9 * (u[0] * normal[0] + u[1] * normal[1]) * (v[0] * normal[0] + v[1] * normal[1])
    )
    stiffness = stiffness + spring.assemble(FacetBasis(mesh, element, facets=side))
    flat = basis.get_dofs(lambda p: np.abs(p[1]) < 1e-9).all(["u^2"])
    pin = basis.nodal_dofs[2, 0]
    free = np.setdiff1d(np.arange(basis.N), np.append(flat, pin))
    moved = np.zeros(basis.N)
    moved[free] = scipy.sparse.linalg.spsolve(
        stiffness.tocsc()[free][:, free], load[free], permc_spec="MMD_AT_PLUS_A"
    )
    out = np.zeros((2, len(PLACES), len(ANGLES)))
    for i, (radius, height) in enumerate(PLACES):
        for j, angle in enumerate(ANGLES):
            node = np.argmin(np.abs(a - radius) + 50.0 * np.abs(b - angle) + np.abs(h - height))
            assert np.allclose((a[node], b[node], h[node]), (radius, angle, height))
            u = moved[basis.nodal_dofs[:, node]]
            out[:, i, j] = u[0] * np.cos(b[node]) + u[1] * np.sin(b[node]), u[2]
    return out


def fourier():
    """Return the same from the part's harmonics."""
    grid = FaceGrid(np.linspace(-ARC, ARC, 9), np.linspace(LOW, HIGH, 5), 50.0)
    section = part_section(TurnedPart(OUTLINE, E, NU), grid, GrippedSurface(LOW, HIGH, 50.0))
    response = part_harmonics(section, solved_orders(grid), PLACES)
    place = between_orders(response.orders, response.place_mm, 40)
    n = np.arange(41.0)
    load = np.zeros((41, 4), dtype=complex)
    for turn in JAW_ANGLES_RAD:
        load -= (np.exp(-1j * np.outer(n, grid.angles_rad + turn)) * strip_waves(grid, n)) @ grid.areas_mm2.T
    load[0] *= 0.5
    wave = np.einsum("nkcb,nb,na->cka", place, load / np.pi, np.exp(1j * np.outer(n, ANGLES))).real
    return wave[[0, 2]]


def test_ring_with_a_flange():
    expected, got = reference(), fourier()
    # The motion along z as a whole is free: compare how the places move against each other.
    radial = got[0] - expected[0]
    axial = (got[1] - got[1].mean()) - (expected[1] - expected[1].mean())
    assert np.abs(radial).max() < 0.015 * np.abs(expected[0]).max()
    assert np.abs(axial).max() < 0.015 * np.ptp(expected[1])
