"""How near a tool comes, step by step, to bodies that it must not touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.clearance.result import Body
from sim.clearance.sweep import ToolSweep
from sim.clearance.touch import Overlap, contact_kind, thick

Geometries = NDArray[np.object_]


@dataclass(slots=True, eq=False)
class Nearest:
    """Least distance found so far in each of n steps, and between which two; a record that fills up.

    Attributes
    ----------
    distance : (n,)
        mm.
    piece, body : (n,)
        Number of the tool's piece and of the body; -1 for none.
    """

    distance: NDArray[np.float64]
    piece: NDArray[np.int64]
    body: NDArray[np.int64]

    @classmethod
    def nothing(cls, count: int) -> Nearest:
        """Start a record of `count` steps with nothing near."""
        return cls(np.full(count, np.inf), np.full(count, -1), np.full(count, -1))

    def note(
        self, at: NDArray[np.int64], distance: NDArray[np.float64], piece: int, body: NDArray[np.int64] | int
    ) -> None:
        """Keep what is nearer than before in the steps `at`."""
        nearer = distance < self.distance[at]
        self.distance[at[nearer]] = distance[nearer]
        self.piece[at[nearer]] = piece
        self.body[at[nearer]] = np.broadcast_to(body, at.shape)[nearer]


def against_bodies(sweep: ToolSweep, bodies: Sequence[Body], nearest: Nearest) -> list[Overlap]:
    """Note the distance of all pieces to all bodies, and return where they overlap."""
    overlaps: list[Overlap] = []
    if not bodies or not len(sweep.path.move):
        return overlaps
    segments, owner = outline_segments([body.image for body in bodies])
    tree = shapely.STRtree(segments)
    for index, images in enumerate(sweep.images):
        (query, hit), distance = tree.query_nearest(images, return_distance=True, all_matches=False)
        nearest.note(query, distance, index, owner[hit])
        for number, body in enumerate(bodies):
            shapely.prepare(body.image)
            met = np.flatnonzero(shapely.intersects(body.image, images))
            met = met[is_touch(images[met], body.image)]
            nearest.note(met, np.zeros(len(met)), index, number)
            overlaps += [
                Overlap(
                    contact_kind(sweep.tool.parts[index].kind, feeds=bool(sweep.path.feeds[step])),
                    int(step), index, body.name, body.image,
                )
                for step in met
            ]  # fmt: skip
    return overlaps


def is_touch(images: Geometries, solid: BaseGeometry | Geometries) -> NDArray[np.bool_]:
    """Tell where images overlap a solid by more than the tolerance."""
    if not len(images):
        return np.zeros(0, dtype=bool)
    return ~np.asarray(shapely.is_empty(thick(shapely.intersection(images, solid))))


def outline_segments(solids: Sequence[BaseGeometry]) -> tuple[Geometries, NDArray[np.int64]]:
    """Return the straight segments of the outlines of solids, and the number of the solid of each."""
    points, ring = shapely.get_coordinates(shapely.boundary(list(solids)), return_index=True)
    lines, line_owner = shapely.get_parts(shapely.boundary(list(solids)), return_index=True)
    points, ring = shapely.get_coordinates(lines, return_index=True)
    within = ring[1:] == ring[:-1]
    pairs = np.stack([points[:-1], points[1:]], axis=1)[within]
    return np.asarray(shapely.linestrings(pairs), dtype=object), line_owner[ring[:-1][within]]
