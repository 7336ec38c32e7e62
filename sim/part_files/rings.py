"""The outline of a solid whose corners all lie on full circles about its axis, as those of a turned part do. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from sim.base.arrays import Flags, Floats, Ints
from sim.part_files.axis import edges_of
from sim.part_files.triangles import Triangles

SAME = 5e-4  # mm within which corners lie on one circle: single precision and the fit of the axis
WIDEST = math.radians(31.0)  # of a chord; a solid with fewer corners around is a prism


@dataclass(frozen=True, slots=True)
class Rings:
    """An outline through circles.

    Attributes
    ----------
    outline : tuple of (r, z)
        Half section, closed by itself, mm.
    spread : float
        By how much corners of one circle differ in radius or height, mm.
    sag : float
        By how much the chords between them stand inside of their circle, mm.
    """

    outline: tuple[tuple[float, float], ...]
    spread: float
    sag: float


def ring_outline(solid: Triangles) -> Rings | None:
    """Return the outline of a solid in the part frame; None where not all of its corners lie on full circles."""
    radius = np.hypot(solid.corners[:, 0], solid.corners[:, 1])
    flat = np.column_stack([radius, solid.corners[:, 2]])
    which, places, spread = _clustered(flat)
    on_axis = places[:, 0] <= SAME
    sag = _sag(solid, which, places, on_axis)
    if sag is None:
        return None
    chain = _chain(solid, which, places, on_axis)
    if chain is None:
        return None
    return Rings(tuple((float(r), float(z)) for r, z in chain), spread, sag)


def _clustered(flat: Floats) -> tuple[Ints, Floats, float]:
    """Return which circle each corner lies on, radius and height of the circles, and their largest spread."""
    # First by a grid, since of n corners on one circle n^2 pairs are near; then cells whose corners are neighbours.
    _, first, cell = np.unique(np.rint(flat / SAME), axis=0, return_index=True, return_inverse=True)
    near = cKDTree(flat[first]).query_pairs(SAME, output_type="ndarray")
    graph = coo_matrix((np.ones(len(near)), (near[:, 0], near[:, 1])), shape=(len(first), len(first)))
    count, found = connected_components(graph, directed=False)
    which = np.asarray(found, dtype=np.int64)[cell.reshape(-1)]
    many = np.bincount(which, minlength=count)
    places = np.column_stack([np.bincount(which, flat[:, k], count) / many for k in (0, 1)])
    return which, places, float(np.abs(flat - places[which]).max())


def _sag(solid: Triangles, which: Ints, places: Floats, on_axis: Flags) -> float | None:
    """Return by how much the widest chords stand inside of their circles; None where one is no full circle."""
    angle = np.arctan2(solid.corners[:, 1], solid.corners[:, 0])
    order = np.lexsort((angle, which))
    names, angles = which[order], angle[order]
    starts = np.flatnonzero(np.r_[True, np.diff(names) != 0])
    ends = np.r_[starts[1:], len(names)]
    following = np.r_[angles[1:], 0.0]
    following[ends - 1] = angles[starts] + 2.0 * math.pi
    widest = np.maximum.reduceat(following - angles, starts)
    widest[on_axis] = 0.0
    if widest.max() > WIDEST:
        return None
    return float((places[:, 0] * (1.0 - np.cos(0.5 * widest))).max())


def _chain(solid: Triangles, which: Ints, places: Floats, on_axis: Flags) -> Floats | None:
    """Return the circles in the order of the outline, (n, 2); None where they make no single line."""
    sides = which[solid.faces]
    links = {(int(a), int(b)) for a, b in edges_of(sides) if a != b} - _skips(sides, places)
    # A flat disc has no corner on the axis.
    discs = np.unique(sides[(sides[:, 0] == sides[:, 1]) & (sides[:, 1] == sides[:, 2]), 0])
    around: dict[int, list[int]] = {n: [] for n in range(len(places))}
    for a, b in links:
        around[a].append(b)
        around[b].append(a)
    corners = [tuple(place) for place in places]
    ends = [n for n in around if on_axis[n]]
    for disc in discs:
        if len(around[int(disc)]) > 1:  # chords within a flat ring between two circles
            continue
        around[len(corners)] = [int(disc)]
        around[int(disc)].append(len(corners))
        ends.append(len(corners))
        corners.append((0.0, places[disc, 1]))
    if len(ends) not in (0, 2) or any(len(around[n]) != (1 if n in ends else 2) for n in around):
        return None
    start = ends[0] if ends else 0
    walked, before = [start], -1
    while True:
        onward = [n for n in around[walked[-1]] if n != before]
        if not onward or onward[0] == start:
            break
        before = walked[-1]
        walked.append(onward[0])
    if len(walked) != len(corners):
        return None
    chain = np.array([corners[n] for n in walked])
    chain[[k for k, n in enumerate(walked) if n in ends], 0] = 0.0
    return chain


def _skips(sides: Ints, places: Floats) -> set[tuple[int, int]]:
    """Return links past a circle: of a triangle between three of them the longest."""
    three = np.unique(np.sort(sides, axis=1), axis=0)
    three = three[(np.diff(three, axis=1) > 0).all(axis=1)]
    if not len(three):
        return set()
    pairs = three[:, [[0, 1], [1, 2], [0, 2]]]
    lengths = np.linalg.norm(places[pairs[:, :, 0]] - places[pairs[:, :, 1]], axis=2)
    longest = pairs[np.arange(len(pairs)), lengths.argmax(axis=1)]
    return {(int(a), int(b)) for a, b in longest}
