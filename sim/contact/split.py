"""Strips of the face divided where the contact begins or ends, and the compliance of their pieces.

A whole strip is open or closed, so a contact that begins inside one is known to a strip only. The pieces of a strip
differ by what happens next to them alone, and next to a load every body is a half plane: with the half plane's kernel
K between pieces and the shares M of the pieces in their strips, the pieces' displacements follow from the strips' by

    T = K M (M' K M)^-1,    C_pieces = T C T' + E,    E = K - T M' K,

the conditional mean and covariance of a Gaussian field (kriging; what follows is checked in
`tests/sim/contact/test_split.py`). Both terms are positive semidefinite, M' C_pieces M is C again, and the inverse
costs no factor of C:

    C_pieces^-1 = M C^-1 M' + D' E^- D,    D = 1 - T M'.

At a sharp edge of the face no body is a half plane: the force of the last millimetre of a face whose contact ends there
is up to a quarter off, so what is asked of the edge is asked of whole strips.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Flags, Floats
from sim.base.kept import kept
from sim.contact.errors import ContactNotConverged
from sim.contact.face import FaceGrid
from sim.contact.in_pieces import DividedBodies, Pieces, on_strips
from sim.contact.mirror import mirrored_bodies, mirrored_images, treats_mirrored
from sim.contact.prepared import Prepared, images_of
from sim.contact.setup import ContactSetup
from sim.contact.solve import ContactResult, alike_solution, posed_on, result_of, treats_alike
from sim.contact.unilateral import solve_bodies

PIECES = 4  # of a strip
BESIDE = 2  # strips on either side of a change that are divided
_FAR = 4.0  # times the face, the length at which the half plane's displacement counts as zero
_ROUNDS = 2


def beside_changes(closed: Flags) -> Flags:
    """Flag the strips (nt,) beside a change from open to closed cells (..., nz, nt), mirrored."""
    nt = closed.shape[-1]
    changes = np.any(closed[..., 1:] != closed[..., :-1], axis=tuple(range(closed.ndim - 1)))
    changes |= changes[::-1]
    flags = np.zeros(nt, dtype=bool)
    for place in np.flatnonzero(changes):
        flags[max(0, place + 1 - BESIDE) : place + 1 + BESIDE] = True
    return flags


def divided(grid: FaceGrid, flags: Flags) -> FaceGrid:
    """Return a grid whose flagged strips (nt,) are divided into equal pieces."""
    edges = grid.angle_edges_rad
    parts = [
        np.linspace(low, high, PIECES if flag else 1, endpoint=False)
        for low, high, flag in zip(edges[:-1], edges[1:], flags, strict=True)
    ]
    return FaceGrid(
        np.append(np.concatenate(parts), edges[-1]), grid.height_edges_mm, grid.radius_mm, grid.inside
    )


def _kernel(low: Floats, high: Floats, other_low: Floats, other_high: Floats, far: float) -> Floats:
    """Mean of ln(far / distance) between pieces of a line, mm."""

    def twice(distance: Floats) -> Floats:
        size = np.maximum(np.abs(distance), 1e-300)
        return 0.5 * distance**2 * np.log(size / far) - 0.75 * distance**2

    a, b = low[:, None], high[:, None]
    c, d = other_low[None], other_high[None]
    whole = twice(b - c) - twice(a - c) - twice(b - d) + twice(a - d)
    return np.asarray(-whole / ((b - a) * (d - c)))


@kept(8)
def pieces(edges_mm: Floats, strip_edges_mm: Floats, *, mirrored: bool) -> Pieces:
    """Return how the pieces between edges follow from strips.

    Parameters
    ----------
    edges_mm, strip_edges_mm : arrays
        Of pieces and strips along the face; every edge of a strip is one of a piece.
    mirrored : bool
        They are those of the half face from 0 on, and the other half is loaded alike.
    """
    low, high = edges_mm[:-1], edges_mm[1:]
    far = 2.0 * _FAR * float(np.abs(edges_mm).max())
    K = _kernel(low, high, low, high, far)
    if mirrored:
        K = K + _kernel(low, high, -high, -low, far)
    strip = np.searchsorted(strip_edges_mm, 0.5 * (low + high)) - 1
    M = np.zeros((low.size, strip_edges_mm.size - 1))
    whole = np.bincount(strip) == 1
    M[np.arange(low.size), strip] = np.where(whole[strip], 1.0, (high - low) / np.diff(strip_edges_mm)[strip])
    T = np.asarray(np.linalg.solve(M.T @ K @ M, M.T @ K).T, dtype=np.float64)
    # What is left whole follows its strip exactly.
    rows = np.flatnonzero(whole[strip])
    T[rows] = M[rows]
    D = np.eye(low.size) - T @ M.T
    own = np.asarray(D @ K @ D.T, dtype=np.float64)
    own = 0.5 * (own + own.T)
    precision = D.T @ np.linalg.solve(own + M @ M.T, D)
    return Pieces(M, T, own, 0.5 * (precision + precision.T))


def of_pieces(
    compliance: Floats, inverse: Floats, *faces: tuple[Pieces, Floats], inverted: bool = True
) -> tuple[Floats, Floats | None]:
    """Compliance between pieces, cells by (jaw and) band and piece, and its inverse if it is asked for.

    Parameters
    ----------
    compliance, inverse : (n, n) arrays
        Between strips.
    faces : tuples of (Pieces, (b,) array)
        How the pieces of each face follow from strips, and the softness of the bodies as half planes over the height of
        each of its bands, mm/N per -ln of the distance. Faces with the same pieces may stand as one of more bands.
    inverted : bool
    """
    whole = on_strips(compliance, [(own.mean, own.own, softness) for own, softness in faces])
    if not inverted:
        return whole, None
    return whole, on_strips(inverse, [(own.share, own.precision, 1.0 / softness) for own, softness in faces])


def finer(
    setup: ContactSetup, ready: Prepared, coarse: ContactResult, near: ContactResult | None = None
) -> ContactResult:
    """Solve a setup again with strips divided where its contact begins or ends.

    Parameters
    ----------
    setup : ContactSetup
        As it was pressed, its piston free.
    ready : Prepared
    coarse : ContactResult
        From `press`.
    near : ContactResult or None
        What was found for a neighbouring setup, to start from.

    Returns
    -------
    ContactResult
        On a face whose strips are divided; `coarse` where none begins or ends inside the face, in the foundation model,
        and where a face has no mirrored strips.
    """
    softness = ready.part_softness + ready.jaw_softness
    mirrored = ready.images.shape[1] == 6
    if softness == 0.0 or not mirrored or coarse.pressure_mpa.shape != (3, *ready.grid.shape):
        return coarse
    found, flags = coarse, np.zeros(ready.grid.shape[1], dtype=bool)
    for turn in range(_ROUNDS):
        wanted = flags | _changing(found, ready.grid)
        if np.array_equal(wanted, flags):
            break
        flags = wanted
        task = _Task(setup, ready, coarse, divided(ready.grid, flags), softness, turn)
        try:
            found = task.solved(near or found)
        except ContactNotConverged:
            return coarse
    return found


def _changing(found: ContactResult, grid: FaceGrid) -> Flags:
    """Flag the strips (nt,) of a grid beside what changes in a result on it or on its pieces.

    A change between two pieces of one strip is inside it, so that the strips beside it are next to its edges.
    """
    strip = np.searchsorted(grid.angle_edges_rad, found.grid.angles_rad) - 1
    closed = found.pressure_mpa > 0.0
    nt = grid.shape[1]
    if strip.size == nt:
        return beside_changes(np.asarray(closed))
    changes = np.any(closed[..., 1:] != closed[..., :-1], axis=(0, 1))
    flags = np.zeros(nt, dtype=bool)
    for place in np.flatnonzero(changes | changes[::-1]):
        flags[[strip[place], strip[place + 1]]] = True
    return np.asarray(flags | flags[::-1])


@dataclass(frozen=True, slots=True, eq=False)
class _Task:
    """A setup to be solved on a divided grid; `softness` of a half plane as in `Prepared`, mm^2/N."""

    setup: ContactSetup
    ready: Prepared
    coarse: ContactResult
    grid: FaceGrid
    softness: float
    turn: int

    def solved(self, before: ContactResult) -> ContactResult:
        """Solve from the closed cells of a result on other strips."""
        setup, ready, grid, coarse = self.setup, self.ready, self.grid, self.coarse
        outward, touch = (
            np.array(setup.load.jaw_outward_force_n),
            coarse.offset_mm + ready.grid.sign * coarse.approach_mm,
        )
        pose = posed_on(setup, grid, touch, outward)
        gap, G, c = pose.gap_mm, pose.opened, pose.loads(setup.load)
        images, closed = images_of(grid), _spread(before, grid)
        if treats_alike(images, gap, c):
            kept, bodies = [4], self._alike(mostly=bool(2 * np.count_nonzero(closed) > closed.size))
            found = alike_solution(bodies, images, gap, G[:, kept], c[kept], closed)
        elif treats_mirrored(grid, gap, c):
            kept = pose.mirrored(hold_square=setup.hold_square)
            mirrored = ready.last(f"mirrored, turn {self.turn}", grid.angle_edges_rad, self._mirrored)
            found = alike_solution(mirrored, mirrored_images(grid), gap, G[:, kept], c[kept], closed)
        else:
            kept = pose.kept(hold_square=setup.hold_square)
            whole = ready.last(f"divided, turn {self.turn}", grid.angle_edges_rad, self._whole)
            found = solve_bodies(whole, gap, G[:, kept], c[kept], closed)
        return result_of(setup, grid, pose, found, kept)

    def _alike(self, *, mostly: bool) -> tuple[Floats, Floats | None]:
        """Return compliance of cells whose images are loaded alike, and its inverse if they are mostly closed.

        Else no step asks for what follows from the open cells.
        """

        def put_together() -> tuple[Floats, Floats | None]:
            faces = (self._half(), self._per_band())
            return of_pieces(self.ready.alike_mm_n, self.ready.alike_n_mm, faces, inverted=mostly)

        name = f"alike, turn {self.turn}, mostly closed: {mostly}"
        return self.ready.last(name, self.grid.angle_edges_rad, put_together)

    def _mirrored(self) -> DividedBodies:
        """Return the bodies of half of jaw 1 and of jaw 2, whose images are loaded alike."""
        per_band, whole = self._per_band(), pieces(*self._edges(), mirrored=False)
        return DividedBodies(*mirrored_bodies(self.ready), ((self._half(), per_band), (whole, per_band)))

    def _whole(self) -> DividedBodies:
        """Return the bodies of all jaws."""
        faces = (pieces(*self._edges(), mirrored=False), np.tile(self._per_band(), 3))
        return DividedBodies(self.ready.total_mm_n, self.ready.stiffness_n_mm, (faces,))

    def _half(self) -> Pieces:
        edges, strip_edges = self._edges()
        middle, strip_middle = self.grid.shape[1] // 2, self.ready.grid.shape[1] // 2
        return pieces(edges[middle:], strip_edges[strip_middle:], mirrored=True)

    def _edges(self) -> tuple[Floats, Floats]:
        edges, strip_edges = (one.radius_mm * one.angle_edges_rad for one in (self.grid, self.ready.grid))
        return edges, strip_edges

    def _per_band(self) -> Floats:
        return np.asarray(self.softness / np.diff(self.grid.height_edges_mm))


def _spread(found: ContactResult, grid: FaceGrid) -> Flags:
    """Return which cells of a grid lie in what is closed in a result on other strips."""
    strip = np.searchsorted(found.grid.angle_edges_rad, grid.angles_rad) - 1
    return np.asarray((found.pressure_mpa > 0.0)[:, :, strip]).ravel()
