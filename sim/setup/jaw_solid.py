"""Is a jaw read from a file as solid as the block that the contact takes it for? Rays through it, along x and z.

A closed surface may still be a shell: hollow inside, open behind, or on legs. Contact, bending and seat are worked out
for the stated block, clamped on its whole base, so what is far from it is refused with numbers. Lengths in mm, jaw's
frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from sim.base.arrays import Floats
from sim.base.unit_words import percent

LEAST_SHARE = 0.6  # of the block's volume that must be metal (assumption, no source)
LEAST_WALL = (
    10.0  # mm of metal behind the gripping face and on the base before a hollow (assumption, no source)
)
LEAST_BASE = 0.9  # of the block's base over which there must be metal (assumption, no source)
KEYWAY = 12.0  # mm; a recess in the base up to so deep is a key-way or T-slot (common practice, no source)
RAYS = 12  # along each side of a face
EDGE = 0.04  # of a face's side that is left out at its edges, where chamfers and radii lie
SPARE = 0.5  # mm by which a wall may be thinner than the block's own beside its screw holes
_SAME = 1e-6  # mm; hits nearer together are one
_NUDGE = (0.0, 0.0137, -0.0171)  # mm, off an edge that a ray runs through
FIELD = "soft_jaw.model.file"


@dataclass(frozen=True, slots=True)
class GrippedFace:
    """Where a pocket will grip: its face in the jaw's middle at `x`, between two heights, mm; metal goes `outward`."""

    x: float
    low: float
    high: float
    outward: bool


def require_solid(
    model: trimesh.Trimesh, block: trimesh.Trimesh, faces: tuple[GrippedFace, ...], file: str
) -> None:
    """Refuse a model that is no solid jaw; `block` is the stated one with its screw holes.

    Raises
    ------
    ValueError
        Names the field, what was found and what is allowed.
    """
    bodies = int(model.body_count)
    if bodies != 1:
        raise ValueError(
            f"{FIELD} must hold one solid body, found {bodies} closed surfaces (loose pieces, or hollows inside) in "
            f"{file}"
        )
    share = float(model.volume) / float(block.volume)
    if share < LEAST_SHARE:
        raise ValueError(
            f"{FIELD} must hold a solid jaw, at least {percent(LEAST_SHARE)} of the stated block's "
            f"{block.volume / 1000.0:.0f} cm3, which the contact takes it for, found {model.volume / 1000.0:.0f} cm3 "
            f"({percent(share)}) in {file}"
        )
    _require_base(model, block, file)
    for face in faces:
        _require_wall(model, block, face, file)


def _require_base(model: trimesh.Trimesh, block: trimesh.Trimesh, file: str) -> None:
    """Look up from the serrated plane: there must be metal on most of it, and it must not be a thin floor."""
    low, high = np.asarray(block.bounds)
    standing = counted = 0
    for x, y in _grid((low[0], high[0]), (low[1], high[1])):
        own = metal(block, 2, x, y)
        if not own or own[0][0] > low[2] + _SAME:
            continue  # beside the block, or in one of its holes
        counted += 1
        found = metal(model, 2, x, y)
        if not found or found[0][0] > KEYWAY:
            continue
        standing += 1
        wall = found[0][1] - max(found[0][0], low[2])
        if wall < min(LEAST_WALL, own[0][1] - own[0][0] - SPARE):
            raise ValueError(
                f"{FIELD} must have {LEAST_WALL:g} mm of metal on its base before a hollow, found a floor of "
                f"{wall:.1f} mm at x {x:.0f} mm, y {y:.0f} mm in {file}"
            )
    if standing < LEAST_BASE * counted:
        raise ValueError(
            f"{FIELD} must stand on the serrated plane, key-ways up to {KEYWAY:g} mm deep aside, with at least "
            f"{percent(LEAST_BASE)} of the stated block's base, on which it is clamped, found "
            f"{percent(standing / counted)} in {file}"
        )


def _require_wall(model: trimesh.Trimesh, block: trimesh.Trimesh, face: GrippedFace, file: str) -> None:
    low, high = np.asarray(block.bounds)
    for y, z in _grid((low[1], high[1]), (face.low, face.high)):
        own = _behind(metal(block, 0, y, z), face)
        wall = _behind(metal(model, 0, y, z), face)
        if wall < min(LEAST_WALL, own - SPARE):
            raise ValueError(
                f"{FIELD} must have {LEAST_WALL:g} mm of metal behind the gripping face before a hollow, found a wall "
                f"of {wall:.1f} mm at y {y:.0f} mm, z {z:.0f} mm behind x {face.x:.1f} mm in {file}"
            )


def _behind(runs: list[tuple[float, float]], face: GrippedFace) -> float:
    """Return how much metal stands behind a face in one piece; 0 where none does."""
    if face.outward:
        return next((end - max(begin, face.x) for begin, end in runs if end > face.x), 0.0)
    return next((min(end, face.x) - begin for begin, end in reversed(runs) if begin < face.x), 0.0)


def _grid(first: tuple[float, float], second: tuple[float, float]) -> list[tuple[float, float]]:
    places = [np.linspace(EDGE, 1.0 - EDGE, RAYS) * (high - low) + low for low, high in (first, second)]
    return [(float(u), float(v)) for u in places[0] for v in places[1]]


def metal(solid: trimesh.Trimesh, axis: int, u: float, v: float) -> list[tuple[float, float]]:
    """Return where a straight line along an axis runs through metal: (begin, end) of each piece, rising.

    Parameters
    ----------
    solid : trimesh.Trimesh
        Closed.
    axis : int
        0 for a line along x, 2 along z.
    u, v : float
        Its place on the other two axes, in their order.
    """
    for nudge in _NUDGE:
        hits = _hits(np.asarray(solid.triangles), axis, u + nudge, v + 0.7 * nudge)
        if len(hits) % 2 == 0:
            return [(float(a), float(b)) for a, b in hits.reshape(-1, 2)]
    return []


def _hits(triangles: Floats, axis: int, u: float, v: float) -> Floats:
    """Return where a line meets the triangles (n, 3, 3), sorted, each place once."""
    across = [k for k in range(3) if k != axis]
    flat = triangles[:, :, across] - (u, v)
    near = triangles[((flat.min(axis=1) <= 0.0) & (flat.max(axis=1) >= 0.0)).all(axis=1)]
    if not len(near):
        return np.zeros(0)
    a, b, c = (near[:, k][:, across] - (u, v) for k in range(3))
    areas = np.stack([_cross(b, c), _cross(c, a), _cross(a, b)], axis=1)
    total = areas.sum(axis=1)
    met = ((areas >= 0.0).all(axis=1) | (areas <= 0.0).all(axis=1)) & (np.abs(total) > 1e-12)
    found = np.sort((areas[met] / total[met, None] * near[met][:, :, axis]).sum(axis=1))
    return np.asarray(found[np.diff(found, prepend=-np.inf) > _SAME])


def _cross(first: Floats, second: Floats) -> Floats:
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
