"""Matrices that read motion and stress at places of a part out of the displacements of its finite elements.

The stress of harmonic n is (rr, tt, zz, rz) cos n theta and (rt, tz) sin n theta, by the strains of `sim.contact.part`.
It is read in bands along the outline, where bending and pressure make it largest.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import scipy.sparse as sparse
from skfem import ElementTriP2

from sim.base.arrays import Floats, Ints
from sim.contact.stress_bands import StressBands


def located(mesh: Any, places: Floats) -> tuple[Ints, Floats]:
    """Return the element (k,) that holds each place (k, 2), and the place in its own coordinates (2, k).

    Raises
    ------
    ValueError
        When a place lies outside the part.
    """
    corner = mesh.p[:, mesh.t]  # (2, 3, m)
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    twice = (b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]
    offset = places.T[:, :, None] - a[:, None, :]
    s = (offset[0] * (c - a)[1] - offset[1] * (c - a)[0]) / twice
    t = ((b - a)[0] * offset[1] - (b - a)[1] * offset[0]) / twice
    least = np.minimum(np.minimum(s, t), 1.0 - s - t)
    element = least.argmax(axis=1)
    if least.max(axis=1).min() < -0.05:
        raise ValueError(
            f"a point to be reported lies outside the part: {places[least.max(axis=1).argmin()]}"
        )
    rows = np.arange(len(places))
    return np.asarray(element, dtype=np.int64), np.stack([s[rows, element], t[rows, element]])


def motion_probe(basis: Any, places: Floats) -> Any:
    """Matrix (3 k, ndof) that reads U, V, W at places, which may lie on the outline."""
    mesh = basis.mesh
    if not len(places):
        return sparse.csr_matrix((0, basis.N))
    element, local = located(mesh, places)
    rows = np.arange(len(places))
    shape = ElementTriP2()
    out = sparse.lil_matrix((3 * len(places), basis.N))
    for k in range(3):
        for i in range(6):
            value = shape.lbasis(local, i)[0]
            dof = basis.element_dofs[3 * i + k, element]
            for row, number, entry in zip(rows, dof, value, strict=True):
                out[k * len(places) + row, number] += entry
    return out.tocsr()


def stress_probe(basis: Any, law: Floats, bands: StressBands) -> tuple[Any, Any]:
    """Return matrices (6 b, ndof) of the stresses (MPa) in bands: the first, and n times the second for harmonic n."""
    count = len(bands.points_mm)
    places = bands.points_mm.reshape(-1, 2)
    element, local = located(basis.mesh, places)
    corner = basis.mesh.p[:, basis.mesh.t][:, :, element]  # (2, 3, k)
    one, other = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    twice = one[0] * other[1] - one[1] * other[0]
    radius, shape = places[:, 0], ElementTriP2()
    weight = np.tile(bands.weights, count)
    band = np.repeat(np.arange(count), bands.weights.size)
    rows: list[Ints] = []
    columns: list[Ints] = []
    entries: tuple[list[Floats], list[Floats]] = ([], [])
    nil = np.zeros(len(places))
    for node in range(6):
        value, slope = shape.lbasis(local, node)
        along_r = (slope[0] * other[1] - slope[1] * one[1]) / twice
        along_z = (slope[1] * one[0] - slope[0] * other[0]) / twice
        around = value / radius
        # Strains rr, tt, zz, rz, rt, tz of each of the three motions, and what n times is added to them.
        fixed = (
            (along_r, around, nil, along_z, nil, nil),
            (nil, nil, nil, nil, along_r - around, along_z),
            (nil, nil, along_z, along_r, nil, nil),
        )
        waving = (
            (nil, nil, nil, nil, -around, nil),
            (nil, around, nil, nil, nil, nil),
            (nil, nil, nil, nil, nil, -around),
        )
        for motion in range(3):
            for kept, strains in zip(entries, (fixed[motion], waving[motion]), strict=True):
                kept.append((law @ np.array(strains) * weight).ravel())
            rows.append((np.arange(6)[:, None] * count + band).ravel())
            columns.append(np.tile(basis.element_dofs[3 * node + motion, element], 6))
    at = (np.concatenate(rows), np.concatenate(columns))
    shaped = [
        sparse.coo_matrix((np.concatenate(kept), at), shape=(6 * count, basis.N)).tocsr() for kept in entries
    ]
    return shaped[0], shaped[1]
