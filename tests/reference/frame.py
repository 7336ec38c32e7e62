"""A plane ring of straight beams in space: stiffness and geometric stiffness by the textbook, no closed form of rings.

Bernoulli beams with six unknowns to a node (Przemieniecki, Theory of Matrix Structural Analysis). The ring lies in
x, y; lengths mm, forces N.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import spsolve

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Bar:
    """Moduli (MPa), area (mm2), inertia in the plane and out of it, torsion constant (mm4)."""

    modulus: float
    shear: float
    area: float
    in_plane: float
    out_of_plane: float
    torsion: float


def _local(bar: Bar, length: float, pull: float) -> tuple[Floats, Floats]:
    """Return both stiffnesses of a beam along its own x, (12, 12)."""
    k, g = np.zeros((12, 12)), np.zeros((12, 12))
    for a, value in ((0, bar.modulus * bar.area), (3, bar.shear * bar.torsion)):
        k[np.ix_([a, a + 6], [a, a + 6])] = value / length * np.array([[1, -1], [-1, 1]])
    for w, r, inertia, sign in ((1, 5, bar.in_plane, 1.0), (2, 4, bar.out_of_plane, -1.0)):
        at = np.ix_([w, r, w + 6, r + 6], [w, r, w + 6, r + 6])
        turned = np.diag([1.0, sign, 1.0, sign])
        bent = np.array([[12, 6 * length, -12, 6 * length],
                         [6 * length, 4 * length**2, -6 * length, 2 * length**2],
                         [-12, -6 * length, 12, -6 * length],
                         [6 * length, 2 * length**2, -6 * length, 4 * length**2]])  # fmt: skip
        pulled = np.array([[36, 3 * length, -36, 3 * length],
                           [3 * length, 4 * length**2, -3 * length, -(length**2)],
                           [-36, -3 * length, 36, -3 * length],
                           [3 * length, -(length**2), -3 * length, 4 * length**2]])  # fmt: skip
        k[at] += turned @ bent @ turned * bar.modulus * inertia / length**3
        g[at] += turned @ pulled @ turned * pull / (30.0 * length)
    return k, g


def _turned(angle: float) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.kron(np.eye(4), np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))


def ring(bar: Bar, radius: float, count: int, pull: float = 0.0) -> tuple[Floats, Floats]:
    """Return both stiffnesses (6 n, 6 n) of a ring of n beams, node 0 on the x axis, under a pull along it."""
    k, g = np.zeros((6 * count, 6 * count)), np.zeros((6 * count, 6 * count))
    length = 2.0 * radius * np.sin(np.pi / count)
    own, own_g = _local(bar, length, pull)
    for n in range(count):
        t = _turned(2.0 * np.pi * (n + 0.5) / count + 0.5 * np.pi)
        at = np.r_[6 * n : 6 * n + 6, 6 * ((n + 1) % count) : 6 * ((n + 1) % count) + 6]
        k[np.ix_(at, at)] += t.T @ own @ t
        g[np.ix_(at, at)] += t.T @ own_g @ t
    return k, g


def solved(stiffness: Floats, load: Floats) -> Floats:
    """Return the displacements (n, 6) under loads in balance, alike in every third, that act on nodes 0, n/3 and 2n/3.

    By symmetry these nodes do not move along the tangent, and up they move alike: held so, nothing reacts.
    """
    count, held = len(stiffness) // 6, stiffness.copy()
    for node in (0, count // 3, 2 * count // 3):
        angle = 2.0 * np.pi * node / count
        for direction in ((-np.sin(angle), np.cos(angle), 0.0), (0.0, 0.0, 1.0)):
            at = slice(6 * node, 6 * node + 3)
            held[at, at] += 1e3 * np.diag(stiffness).max() * np.outer(direction, direction)
    return np.asarray(spsolve(sparse.csc_matrix(held), load)).reshape(-1, 6)


def rigid(radius: float, count: int) -> Floats:
    """Return the ring's three rigid motions out of its plane, (6 n, 3): up, and a turn about x and about y."""
    angles = 2.0 * np.pi * np.arange(count) / count
    found = np.zeros((count, 6, 3))
    found[:, 2, 0] = 1.0
    found[:, 2, 1], found[:, 3, 1] = radius * np.sin(angles), 1.0
    found[:, 2, 2], found[:, 4, 2] = -radius * np.cos(angles), 1.0
    return found.reshape(-1, 3)


def end_forces(bar: Bar, radius: float, count: int, moved: Floats, beam: int) -> Floats:
    """Return what acts on the first end of a beam, along it, inward, up: three forces and three moments, (6,)."""
    t = _turned(2.0 * np.pi * (beam + 0.5) / count + 0.5 * np.pi)
    own, _ = _local(bar, 2.0 * radius * np.sin(np.pi / count), 0.0)
    return (own @ t @ np.r_[moved[beam], moved[(beam + 1) % count]])[:6]
