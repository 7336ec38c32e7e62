"""Compliance of a turned part: one (r, z) finite-element problem per harmonic around the spindle.

Displacements are U cos n theta (radial), V sin n theta (around), W cos n theta (along z); the strains are U,r;
(U + n V)/r; W,z; U,z + W,r; -n U/r + V,r - V/r; V,z - n W/r, so that the stiffness is K0 + n K1 + n^2 K2 with three
matrices assembled once (semi-analytic elements: E. L. Wilson, Structural analysis of axisymmetric solids, AIAA J. 3,
1965, 2269; held to Michell's series and to solid elements in `tests/reference`). Quadratic triangles.

Rigid motions (z for n = 0; x or y and tilt for n = 1) are taken out of the compliance: loads that are not in
balance are balanced by forces spread like the body's own mass, and the motion's mass mean is zero. So a side load
counts as acting like weight does, and the motions come back as unknowns of the contact.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu
from skfem import Basis, ElementTriP2, ElementVector, LinearForm, MeshTri

from sim.base.arrays import Floats, Ints
from sim.base.threads import each
from sim.contact.bodies import TurnedPart
from sim.contact.face import FaceGrid
from sim.contact.harmonics import Harmonics
from sim.contact.probe import motion_probe, stress_probe
from sim.contact.section import GrippedSurface, section_triangles
from sim.contact.stress_bands import StressBands


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """Finite elements of one part's half section.

    Attributes
    ----------
    basis : any
        Quadratic triangles with three displacements a node (scikit-fem).
    stiffness : tuple
        The three matrices K0, K1, K2, per radian (n > 0: over pi).
    mass : any
        (ndof, ndof) volume matrix.
    load : (ndof, nz) array
        Unit radial line load, 1 N/rad, spread over each band of the gripped surface.
    axis : (3, k) array of int
        Numbers of the dofs on the spindle axis.
    law : (6, 6) array
        Hooke's law of the material, MPa.
    plane : bool
        True when nothing moves along z (plane strain).
    """

    basis: Any
    stiffness: tuple[Any, Any, Any]
    mass: Any
    load: Floats
    axis: Ints
    law: Floats
    plane: bool = False


def elastic_matrix(modulus_mpa: float, poisson: float) -> Floats:
    """Hooke's law for the strains (rr, tt, zz, and three engineering shears), (6, 6), MPa."""
    lame = modulus_mpa * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson))
    shear = 0.5 * modulus_mpa / (1.0 + poisson)
    law = np.diag([2.0 * shear] * 3 + [shear] * 3)
    law[:3, :3] += lame
    return law


def _strains(u: Any, r: Floats) -> tuple[Floats, Floats]:
    """Return a shape function's strains without n and those times n, (6, elements, points) each."""
    g, value = u.grad, np.asarray(u)
    nil = np.zeros_like(r)
    fixed = np.stack([g[0, 0], value[0] / r, g[2, 1], g[0, 1] + g[2, 0], g[1, 0] - value[1] / r, g[1, 1]])
    waving = np.stack([nil, value[1] / r, nil, nil, -value[0] / r, -value[2] / r])
    return fixed, waving


def _assembled(basis: Any, law: Floats) -> tuple[tuple[Any, Any, Any], Any]:
    """Return K0, K1, K2 and the volume matrix.

    All three come from one evaluation of the strains: as forms of scikit-fem, called anew for each pair of shape
    functions, they took half of a part's time.
    """
    r = np.asarray(basis.global_coordinates())[0]
    weight = r * basis.dx
    functions = [field[0] for field in basis.basis]
    strains = np.stack([_strains(u, r) for u in functions], axis=1)  # (2, i, 6, elements, points)
    values = np.stack([np.asarray(u) for u in functions])
    rows, columns = np.broadcast_arrays(basis.element_dofs.T[:, :, None], basis.element_dofs.T[:, None, :])

    def summed(left: Floats, right: Floats) -> Any:
        """Sum over the points of (i, k, elements, points) and (j, k, elements, points)."""
        count, elements = left.shape[0], left.shape[2]
        one = left.transpose(2, 0, 1, 3).reshape(elements, count, -1)
        other = (right * weight).transpose(2, 1, 3, 0).reshape(elements, -1, count)
        entries = (np.ravel(one @ other), (rows.ravel(), columns.ravel()))
        return sparse.coo_matrix(entries, shape=(basis.N, basis.N)).tocsr()

    fixed, waving = strains
    stress, stress_waving = (np.einsum("kl,ileq->ikeq", law, part) for part in strains)
    mixed = summed(fixed, stress_waving)
    return (summed(fixed, stress), mixed + mixed.T, summed(waving, stress_waving)), summed(values, values)


def part_section(
    part: TurnedPart, grid: FaceGrid, surface: GrippedSurface, *, plane: bool = False
) -> Section:
    """Build the finite elements of a part that is gripped over the bands of a face grid.

    Parameters
    ----------
    part : TurnedPart
        The body, in the chuck frame.
    grid : FaceGrid
        Its height_edges_mm are the bands, which must lie on the part's gripped surface.
    surface : GrippedSurface
        That surface, from `gripped_surface`.
    plane : bool
        True to hold the part along z everywhere: plane strain, as in the middle of a very long part.
    """
    finest = surface.radius_mm * min(1.0 / 120.0, float(np.diff(grid.angle_edges_rad).min()))
    points, triangles = section_triangles(
        part, surface, grid.height_edges_mm, inside=grid.inside, finest_mm=finest
    )
    mesh = MeshTri(points.T.copy(), triangles.T.copy())
    basis = Basis(mesh, ElementVector(ElementTriP2(), dim=3), intorder=4)
    edges = grid.height_edges_mm
    loads = []
    for low, high in pairwise(edges):
        facets = _facets_between(mesh, surface, low, high)
        loads.append(LinearForm(_line_load).assemble(basis.boundary(facets)) / (high - low))
    on_axis = np.flatnonzero(points[:, 0] < 1e-9)
    dofs = [basis.nodal_dofs[:, on_axis]]
    axis_facets = np.flatnonzero(np.all(mesh.p[0, mesh.facets] < 1e-9, axis=0))
    dofs.append(basis.facet_dofs[:, axis_facets])
    law = elastic_matrix(part.modulus_mpa, part.poisson)
    stiffness, volume = _assembled(basis, law)
    return Section(
        basis,
        stiffness,
        volume,
        np.column_stack(loads),
        np.concatenate(dofs, axis=1).astype(np.int64),
        law,
        plane,
    )


def _line_load(v: Any, _: Any) -> Any:
    return v[0]


def _facets_between(mesh: Any, surface: GrippedSurface, low: float, high: float) -> Ints:
    """Numbers of the outline's facets on the gripped surface between two heights."""
    facets = mesh.boundary_facets()
    r, z = mesh.p[0, mesh.facets[:, facets]], mesh.p[1, mesh.facets[:, facets]]
    eps = 1e-6 * (1.0 + abs(low) + abs(high))
    on = (np.abs(r - surface.radius_at(z)).max(axis=0) < eps) & (z.min(axis=0) > low - eps)
    on &= z.max(axis=0) < high + eps
    total = np.abs(np.diff(z[:, on], axis=0)).sum()
    if abs(total - (high - low)) > 1e-3 * (high - low):
        raise ValueError(f"the gripped surface is not whole from z = {low:g} to {high:g} mm")
    return np.asarray(facets[on], dtype=np.int64)


def _rigid(section: Section, order: float) -> Floats:
    """Rigid motions (ndof, k) that harmonic `order` contains."""
    r, z = section.basis.doflocs
    component = np.zeros(section.basis.N, dtype=np.int64)
    for k in range(3):
        component[section.basis.nodal_dofs[k]] = k
        component[section.basis.facet_dofs[k]] = k
    if order == 0 and not section.plane:
        return np.column_stack([(component == 2).astype(float)])
    if order == 1:
        z = z - z.mean()
        shift = np.choose(component, [np.ones_like(r), -np.ones_like(r), np.zeros_like(r)])
        return np.column_stack([shift] if section.plane else [shift, np.choose(component, [z, -z, -r])])
    return np.zeros((section.basis.N, 0))


def _solved(section: Section, order: float) -> Floats:
    """Displacements (ndof, nz) under the band loads times cos(order theta)."""
    K = (section.stiffness[0] + order * section.stiffness[1] + order**2 * section.stiffness[2]).tocsc()
    held = np.zeros(K.shape[0], dtype=bool)
    if order == 0:
        held[section.axis[[0]].ravel()] = True
        held[section.basis.nodal_dofs[1]] = True  # no twist: V is not coupled to U and W
        held[section.basis.facet_dofs[1]] = True
    elif order == 1:
        held[section.axis[[2]].ravel()] = True
    else:
        held[section.axis.ravel()] = True
    if section.plane:
        held[section.basis.nodal_dofs[2]] = True
        held[section.basis.facet_dofs[2]] = True
    free = np.flatnonzero(~held)
    rigid = _rigid(section, order)
    K, load = K[free][:, free], section.load[free]
    options = {"SymmetricMode": True}
    if rigid.shape[1]:
        spread = (section.mass @ rigid)[free]
        spread = spread / np.abs(spread).max(axis=0) * abs(K).max()
        K = sparse.bmat([[K, sparse.csc_matrix(spread)], [sparse.csc_matrix(spread.T), None]], format="csc")
        load = np.vstack([load, np.zeros((rigid.shape[1], load.shape[1]))])
        factor = splu(K, permc_spec="COLAMD")
    else:
        factor = splu(K.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)
    out = np.zeros((section.basis.N, load.shape[1]))
    out[free] = factor.solve(load)[: free.size]
    return out


def part_harmonics(
    section: Section, orders: Floats, places_mm: Floats | None = None, bands: StressBands | None = None
) -> Harmonics:
    """Solve the harmonics of a part.

    Parameters
    ----------
    section : Section
        From `part_section`.
    orders : (m,) array
        Harmonics, whole up to those that `part_compliance` interpolates between.
    places_mm : (k, 2) array or None
        r and z of points on or in the part whose motion is wanted.
    bands : StressBands or None
        Where its stress is wanted.
    """
    places = np.zeros((0, 2)) if places_mm is None else np.asarray(places_mm, dtype=np.float64)
    probe = motion_probe(section.basis, places)
    nz = section.load.shape[1]
    band, place = np.zeros((orders.size, nz, nz)), np.zeros((orders.size, len(places), 3, nz))
    count = 0 if bands is None else len(bands.edge)
    stress = np.zeros((orders.size, count, 6, nz))
    probes = None if bands is None else stress_probe(section.basis, section.law, bands)
    for row, moved in enumerate(each(lambda order: _solved(section, float(order)), orders.tolist())):
        response = section.load.T @ moved
        band[row] = 0.5 * (response + response.T)
        place[row] = (probe @ moved).reshape(3, len(places), nz).transpose(1, 0, 2)
        if probes is not None:
            found = probes[0] @ moved + orders[row] * (probes[1] @ moved)
            stress[row] = found.reshape(6, count, nz).transpose(1, 0, 2)
    return Harmonics(orders, band, places, place, stress)
