"""Rings under equal radial loads against published constants, series and an independent finite-element model.

@book{timoshenko_II, author = {Timoshenko, S.}, title = {Strength of Materials, Part II}, note = {thin rings}}
@book{roark, author = {Young, W. C. and Budynas, R. G.}, title = {Roark's Formulas for Stress and Strain},
  note = {table 9.2, cases 1 and 7}}
@book{barber, author = {Barber, J. R.}, title = {Elasticity}, note = {Michell series, tables 8.1 and 9.1}}
@book{goodier, author = {Timoshenko, S. and Goodier, J. N.}, title = {Theory of Elasticity},
  note = {circular disc under two opposite forces}}

Constants and formulas from memory of these books, not verified against a copy; each is met by a second,
independent computation below.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import skfem
from skfem.helpers import ddot, sym_grad, trace
from skfem.models.elasticity import lame_parameters

from sim.distortion import annulus, thin_ring

E, NU = 210_000.0, 0.3


def unit_ring(loads: int) -> tuple[float, float]:
    """Displacements as multiples of P R^3 / E I."""
    outer, bore, width = 101.0, 99.0, 10.0
    ring = thin_ring(outer, bore, width, E, 1000.0, loads)
    scale = 1000.0 * 100.0**3 / (E * width * 2.0**3 / 12.0)
    return ring.at_load / scale, ring.between / scale


def test_two_opposite_loads() -> None:
    """Change of diameter 0.149 P R^3/EI along the loads and 0.137 P R^3/EI across (Timoshenko; Roark case 1)."""
    at_load, between = unit_ring(2)
    assert -2.0 * at_load == pytest.approx(0.149, abs=0.0005)
    assert 2.0 * between == pytest.approx(0.137, abs=0.0005)


def test_three_loads() -> None:
    """Radial displacement 0.016 P R^3/EI under a load (Roark case 7)."""
    assert -unit_ring(3)[0] == pytest.approx(0.016, abs=0.0005)


@pytest.mark.parametrize("loads", [2, 3, 4, 6])
def test_against_the_fourier_series_of_an_inextensible_ring(loads: int) -> None:
    """w = sum over n = N, 2N, ... of N P R^3 cos(n theta) / (pi E I (n^2 - 1)^2), from the ring's equation."""
    n = loads * np.arange(1.0, 20_000.0)
    terms = loads / (math.pi * (n**2 - 1.0) ** 2)
    at_load, between = unit_ring(loads)
    assert at_load == pytest.approx(-terms.sum(), rel=1e-6)
    assert between == pytest.approx(-(terms * np.cos(n * math.pi / loads)).sum(), rel=1e-6)


@pytest.mark.parametrize(
    ("ratio", "roundness", "under_load"),
    [(50.0, -0.1, -0.2), (20.0, -0.5, -1.2), (8.0, -2.9, -7.0), (3.0, -16.1, -32.6)],
)
def test_error_of_the_thin_ring(ratio: float, roundness: float, under_load: float) -> None:
    """Measured against the annulus, bore, three point loads, in percent; tends to nothing as the ring gets thin.

    A regression of the figures that the flags rest on; the annulus is checked on its own below.
    """
    outer, bore = 10.0 * ratio + 5.0, 10.0 * ratio - 5.0
    thin = thin_ring(outer, bore, 20.0, E, 1000.0)
    thick = annulus(outer, bore, 20.0, E, NU, 1000.0)
    assert 100.0 * (thin.roundness / thick.roundness_bore - 1.0) == pytest.approx(roundness, abs=0.06)
    assert 100.0 * (thin.at_load / thick.bore[0] - 1.0) == pytest.approx(under_load, abs=0.06)


def test_solid_disc_under_two_opposite_forces() -> None:
    """Transverse growth from the closed stresses along the transverse diameter (Timoshenko and Goodier).

    sigma_x = 2P/(pi D t) ((D^2 - 4x^2)/(D^2 + 4x^2))^2, sigma_y = -2P/(pi D t) (4 D^4/(D^2 + 4x^2)^2 - 1).
    """
    radius, width, load = 50.0, 12.0, 20_000.0
    diameter = 2.0 * radius
    nodes, weights = np.polynomial.legendre.leggauss(60)
    x = 0.5 * radius * (nodes + 1.0)
    plus, minus = diameter**2 + 4.0 * x**2, diameter**2 - 4.0 * x**2
    base = 2.0 * load / (math.pi * diameter * width)
    across, along = base * (minus / plus) ** 2, -base * (4.0 * diameter**4 / plus**2 - 1.0)
    growth = 0.5 * radius * float(weights @ ((across - NU * along) / E))
    shape = annulus(radius, 0.0, width, E, NU, load, loads=2, angles=[math.pi / 2.0], harmonics=4000)
    assert shape.outer[0] == pytest.approx(growth, rel=1e-3)


def test_uniform_pressure_is_lame() -> None:
    """u(b) = -(p b/E) ((b^2 + a^2)/(b^2 - a^2) - nu) under outer pressure, u(a) = -(2 p/E) a b^2/(b^2 - a^2)."""
    a, b, width = 30.0, 50.0, 10.0
    load = 3000.0
    p = 3.0 * load / (2.0 * math.pi * b * width)
    shape = annulus(b, a, width, E, NU, load, half_arc=math.pi / 3.0)
    assert shape.outer[0] == pytest.approx(-p * b / E * ((b**2 + a**2) / (b**2 - a**2) - NU), rel=1e-9)
    assert shape.bore[0] == pytest.approx(-2.0 * p * a * b**2 / (E * (b**2 - a**2)), rel=1e-9)
    p_bore = 3.0 * load / (2.0 * math.pi * a * width)
    spread = annulus(b, a, width, E, NU, load, half_arc=math.pi / 3.0, surface="bore")
    assert spread.bore[0] == pytest.approx(p_bore * a / E * ((b**2 + a**2) / (b**2 - a**2) + NU), rel=1e-9)
    assert spread.outer[0] == pytest.approx(2.0 * p_bore * b * a**2 / (E * (b**2 - a**2)), rel=1e-9)


@pytest.mark.parametrize(
    ("bore", "outer_loaded", "strain"), [(30.0, True, False), (42.0, True, True), (30.0, False, False)]
)
def test_thick_ring_against_finite_elements(bore: float, outer_loaded: bool, strain: bool) -> None:
    """Three arcs of +-10 deg on a ring of 50 mm radius; half of it in quadratic elements (scikit-fem)."""
    outer, width, load, arc = 50.0, 10.0, 8000.0, math.radians(10.0)
    angles, u_bore, u_outer = finite_element_ring(outer, bore, load / width, arc, outer_loaded, strain)
    shape = annulus(
        outer,
        bore,
        width,
        E,
        NU,
        load,
        half_arc=arc,
        surface="outer" if outer_loaded else "bore",
        plane="strain" if strain else "stress",
        angles=angles,
        harmonics=1200,
    )
    for found, expected in ((shape.bore, u_bore), (shape.outer, u_outer)):
        assert np.abs(found - expected).max() < 1e-4 * np.ptp(expected)


def finite_element_ring(
    outer: float, bore: float, line_load: float, arc: float, outer_loaded: bool, strain: bool
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Angles from a load and radial displacements of bore and outer surface, of a half ring by quadratic elements."""
    # Fine towards both surfaces: the pressure ends abruptly there.
    layers = 0.5 * (bore + outer) - 0.5 * (outer - bore) * np.cos(np.linspace(0.0, math.pi, 17))
    mesh = skfem.MeshQuad2.from_mesh(skfem.MeshQuad.init_tensor(layers, np.linspace(0.0, math.pi, 289)))
    r, t = mesh.p
    mesh = skfem.MeshQuad2(np.vstack([r * np.cos(t), r * np.sin(t)]), mesh.t)
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()), intorder=5)
    lam, mu = lame_parameters(E, NU)
    if not strain:
        lam = 2.0 * lam * mu / (lam + 2.0 * mu)

    @skfem.BilinearForm
    def stiffness(u, v, _):  # type: ignore[no-untyped-def]
        e = sym_grad(u)
        return 2.0 * mu * ddot(e, sym_grad(v)) + lam * trace(e) * trace(sym_grad(v))

    radius = outer if outer_loaded else bore
    pressure = line_load / (2.0 * arc * radius)

    def loaded(x: np.ndarray) -> np.ndarray:
        angle = np.arctan2(x[1], x[0])
        near = np.minimum(np.abs(angle), np.abs(angle - 2.0 * math.pi / 3.0)) < arc
        return near & (np.abs(np.hypot(*x) - radius) < 0.005)

    edge = skfem.FacetBasis(mesh, basis.elem, facets=mesh.facets_satisfying(loaded), intorder=5)

    @skfem.LinearForm
    def press(v, w):  # type: ignore[no-untyped-def]
        return -pressure * (w.n[0] * v[0] + w.n[1] * v[1])

    on_axis = basis.get_dofs(lambda x: np.abs(x[1]) < 1e-9).all(["u^2"])
    pinned = basis.get_dofs(lambda x: (np.abs(x[1]) < 1e-9) & (np.abs(x[0] - bore) < 1e-9)).all(["u^1"])
    solution = skfem.solve(
        *skfem.condense(stiffness.assemble(basis), press.assemble(edge), D=np.union1d(on_axis, pinned))
    )
    nodes = basis.nodal_dofs
    x, y = mesh.p[:, : nodes.shape[1]]
    angle = np.arctan2(y, x)
    radial = solution[nodes[0]] * np.cos(angle) + solution[nodes[1]] * np.sin(angle)
    results = []
    for surface in (bore, outer):
        on = np.flatnonzero(np.abs(np.hypot(x, y) - surface) < 1e-6)
        on = on[np.argsort(angle[on])]
        results.append((angle[on], radial[on]))
    # The part floats along x: take the translation out by the orthogonality of cos theta on the bore.
    angles, u_bore = results[0]
    weights = np.full(len(angles), 1.0)
    weights[[0, -1]] = 0.5
    shift = float((weights * u_bore * np.cos(angles)).sum() / (weights * np.cos(angles) ** 2).sum())
    return angles, u_bore - shift * np.cos(angles), results[1][1] - shift * np.cos(angles)
