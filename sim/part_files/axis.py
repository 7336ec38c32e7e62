"""The axis about which most of a solid's surface is turned, found from its triangles. Lengths in mm.

The normal of a surface of revolution meets its axis: of a line through p along n and an axis (d, m = a x d) the moment
d . (p x n) + m . n is zero (Pluecker). Normals that do not meet it lose their weight step by step, so that lugs, flats
and holes do not move the axis. In the end chords of circles about it (edges square to it, met in their middles) fix it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Flags, Floats, Ints
from sim.base.unit_words import percent
from sim.part_files.triangles import Triangles

MOST = 6000  # triangles that are looked at, drawn the same each time
STEPS = 14  # of weighting
LEAST_SHARE = 0.5  # of the surface beside the axis that must be turned about it
AMBIGUOUS = 0.9  # of the best share that no other axis may reach
APART = 0.05  # rad, or of the part's size, by which another axis is another
SQUARE = 0.99  # a normal that lies along the axis to so much says nothing of where it is
DIRECTION_SAME = 1e-5  # rad from a direction of the file that is that direction
PLACE_SAME = 1e-3  # mm from the file's own axis that is that axis
_NAMES = "xyz"


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """An axis through a point (3,) mm, with its unit direction (3,); its largest component is positive.

    Attributes
    ----------
    share : float
        Of the surface beside it that is turned about it, no unit.
    """

    point: Floats
    direction: Floats
    share: float

    @property
    def name(self) -> str:
        """Direction of the file that lies nearest to it."""
        return _NAMES[int(np.abs(self.direction).argmax())]


@dataclass(frozen=True, slots=True, eq=False)
class _Facets:
    normals: Floats
    middles: Floats
    corners: Floats
    areas: Floats
    size: float

    def moments(self, point: Floats, direction: Floats) -> Floats:
        """Return how far the normals pass the axis, mm: 0 where one through any point of the triangle meets it."""
        across = np.cross(self.normals, direction)
        at = ((self.corners - point) * across[:, None, :]).sum(axis=2)
        low, high = at.min(axis=1), at.max(axis=1)
        return np.where(low * high <= 0.0, 0.0, np.minimum(np.abs(low), np.abs(high)))


def stated_axis(name: str) -> Axis:
    """Return an axis of the file itself, through its origin."""
    return Axis(np.zeros(3), np.eye(3)[_NAMES.index(name)], 0.0)


def found_axis(solid: Triangles) -> Axis:
    """Return the axis of revolution.

    Raises
    ------
    ValueError
        If there is none, or several that are as good; a clause behind the file's name.
    """
    facets = _facets(solid)
    found: list[Axis] = []
    for start in _starts(solid, facets):
        point, direction = _settled(facets, *start)
        found.append(Axis(point, direction, _share(facets, point, direction)))
    best = max(found, key=lambda one: one.share)
    if best.share < LEAST_SHARE:
        raise ValueError(
            f"must have an axis of revolution, found none about which {percent(LEAST_SHARE)} of its surface is turned "
            f"(the best has {percent(best.share)}): state axis, which is x, y or z through the file's origin"
        )
    # A sphere is turned about any: lines square to the best are asked, too.
    square = np.linalg.svd(best.direction[None, :])[2][1:]
    found += [Axis(best.point, one, _share(facets, best.point, one)) for one in square]
    if any(one.share > AMBIGUOUS * best.share and _apart(one, best, facets.size) for one in found):
        raise ValueError("must have one axis of revolution, found several that are as good: state axis")
    return _oriented(_refined(solid, best, facets.size))


def _facets(solid: Triangles) -> _Facets:
    count = len(solid.faces)
    drawn = np.random.default_rng(0).permutation(count)[:MOST] if count > MOST else np.arange(count)
    corners = solid.corners[solid.faces[drawn]]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1)
    real = length > 1e-12
    corners, normal, length = corners[real], normal[real], length[real]
    return _Facets(
        normal / length[:, None],
        corners.mean(axis=1),
        corners,
        0.5 * length,
        float(np.ptp(solid.corners, axis=0).max()),
    )


def _starts(solid: Triangles, facets: _Facets) -> Iterator[tuple[Floats, Floats]]:
    mesh = solid.mesh()
    middle = np.asarray(mesh.center_mass, dtype=np.float64)
    yield from ((middle, np.asarray(one, dtype=np.float64)) for one in mesh.principal_inertia_vectors)
    yield from ((middle, one) for one in np.eye(3))
    yield from ((np.zeros(3), one) for one in np.eye(3))
    yield _fitted(facets, facets.areas)


def _settled(facets: _Facets, point: Floats, direction: Floats) -> tuple[Floats, Floats]:
    """Return an axis after normals that do not meet it have lost their weight."""
    for width in np.geomspace(0.1, 1e-3, STEPS) * facets.size:
        moments = facets.moments(point, direction)
        point, direction = _fitted(facets, facets.areas / (1.0 + (moments / width) ** 2) ** 2)
    return point, direction


def _fitted(facets: _Facets, weights: Floats) -> tuple[Floats, Floats]:
    """Return the axis whose weighted moments are least."""
    centre = np.average(facets.middles, axis=0, weights=weights)
    rows = np.hstack([np.cross(facets.middles - centre, facets.normals), facets.normals])
    whole = (rows * weights[:, None]).T @ rows
    turned, mixed, pushed = whole[:3, :3], whole[:3, 3:], whole[3:, 3:]
    solved = np.linalg.solve(pushed + 1e-12 * np.trace(pushed) * np.eye(3), mixed.T)
    direction = np.linalg.eigh(turned - mixed @ solved)[1][:, 0]
    moment = -solved @ direction
    moment -= (moment @ direction) * direction
    return centre + np.cross(direction, moment), direction


def _share(facets: _Facets, point: Floats, direction: Floats) -> float:
    beside = np.abs(facets.normals @ direction) < SQUARE
    if not beside.any():
        return 0.0
    met = facets.moments(point, direction) <= 1e-4 * facets.size
    # A triangle that reaches far around the axis says nothing: every large enough one holds a normal that meets it.
    radial = facets.corners - point
    radial = radial - (radial @ direction)[..., None] * direction
    length = np.linalg.norm(radial, axis=2)
    unit = radial / np.maximum(length, 1e-12)[..., None]
    narrow = (unit * np.roll(unit, 1, axis=1)).sum(axis=2).min(axis=1) > 0.7
    return float(facets.areas[beside & met & narrow].sum() / facets.areas[beside].sum())


def _apart(one: Axis, other: Axis, size: float) -> bool:
    if abs(float(one.direction @ other.direction)) < np.cos(APART):
        return True
    off = one.point - other.point
    return float(np.linalg.norm(np.cross(off, other.direction))) > APART * size


def _refined(solid: Triangles, axis: Axis, size: float) -> Axis:
    """Return the axis that chords of circles about it fix: square to it, and met square in their middles."""
    edges = edges_of(solid.faces)
    along = solid.corners[edges[:, 1]] - solid.corners[edges[:, 0]]
    length = np.linalg.norm(along, axis=1)
    real = length > 1e-9
    along, middles = along[real] / length[real][:, None], solid.corners[edges[real]].mean(axis=1)
    point, direction = axis.point, axis.direction
    for width in np.geomspace(2e-3, 2e-5, 6):
        chords = _chords(along, middles, point, direction, width, size)
        if chords.sum() < 12:
            break
        direction = _of_sign(np.linalg.eigh(along[chords].T @ along[chords])[1][:, 0], direction)
        rows = along[chords] - (along[chords] @ direction)[:, None] * direction
        centre = middles[chords].mean(axis=0)
        wanted = (rows * (middles[chords] - centre)).sum(axis=1)
        point = centre + np.linalg.lstsq(rows, wanted, rcond=1e-9)[0]
    return Axis(point, direction, axis.share)


def _chords(
    along: Floats, middles: Floats, point: Floats, direction: Floats, width: float, size: float
) -> Flags:
    tilted = np.abs(along @ direction)
    off = np.abs((along * (middles - point)).sum(axis=1))
    return np.asarray((tilted <= width) & (off <= width * size))


def _of_sign(direction: Floats, other: Floats) -> Floats:
    return direction if float(direction @ other) >= 0.0 else -direction


def _oriented(axis: Axis) -> Axis:
    """Return the axis with its largest component positive, laid on the file's own where it is that within rounding."""
    number = int(np.abs(axis.direction).argmax())
    direction = axis.direction * np.sign(axis.direction[number])
    own = np.eye(3)[number]
    point = axis.point - (axis.point @ direction) * direction
    if np.linalg.norm(direction - own) <= DIRECTION_SAME:
        direction, point = own, point - point[number] * own
        if np.linalg.norm(point) <= PLACE_SAME:
            point = np.zeros(3)
    return Axis(point, direction, axis.share)


def in_part_frame(solid: Triangles, axis: Axis, *, high_end: bool, back_face: float) -> Triangles:
    """Return the solid with z along its axis, away from the chuck, and 0 at the face that rests on the jaws.

    Parameters
    ----------
    solid : Triangles
    axis : Axis
    high_end : bool
        Whether the end with the larger coordinate along the axis faces the chuck.
    back_face : float
        How far the face that rests on the jaws stands from that end, mm.
    """
    up = -axis.direction if high_end else axis.direction
    x = np.eye(3)[(int(np.abs(up).argmax()) + 1) % 3]
    x = x - (x @ up) * up
    x /= np.linalg.norm(x)
    placed = (solid.corners - axis.point) @ np.column_stack([x, np.cross(up, x), up])
    placed[:, 2] -= placed[:, 2].min() + back_face
    return Triangles(placed, np.array(solid.faces, dtype=np.int64))


def edges_of(faces: Ints) -> Ints:
    """Return each edge of triangles once, numbers of its corners rising, (n, 2)."""
    return np.unique(
        np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1), axis=0
    )
