"""How near a tool comes, step by step, to bodies that it must not touch.

A flat piece of a tool (near = far = 0) moves over the half-plane without changing its shape. Its distance
from a body is therefore the distance of the tip's path from the body widened by the piece (their Minkowski
sum), which costs a look at one line instead of a polygon per step. Where the piece reaches across the axis,
bodies are mirrored at it instead of folding the piece.

Thick pieces change their shape with the radius. For them the polygons of the steps are measured, but only
against what is nearer than the nearest found so far.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.base.threads import each, shares
from sim.clearance.result import Body
from sim.clearance.shapes import bounds
from sim.clearance.sweep import ToolSweep, minkowski_blocked
from sim.clearance.touch import Overlap, contact_kind, is_thick

FEW_STEPS = 500
TOGETHER = 16  # steps looked at together before each of them


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

    distance: Floats
    piece: Ints
    body: Ints

    @classmethod
    def nothing(cls, count: int) -> Nearest:
        """Start a record of `count` steps with nothing near."""
        return cls(np.full(count, np.inf), np.full(count, -1), np.full(count, -1))

    def note(self, at: Ints, distance: Floats, piece: int, body: Ints | int) -> None:
        """Keep what is nearer than before in the steps `at`, none of them twice."""
        nearer = distance < self.distance[at]
        self.distance[at[nearer]] = distance[nearer]
        self.piece[at[nearer]] = piece
        self.body[at[nearer]] = np.broadcast_to(body, at.shape)[nearer]


def against_bodies(
    sweep: ToolSweep, bodies: Sequence[Body], nearest: Nearest, few_steps: int = FEW_STEPS
) -> list[Overlap]:
    """Note the distance of all pieces to all bodies, and return where they overlap.

    Up to `few_steps` the polygons of all steps are measured; widening the bodies pays for more.
    """
    overlaps: list[Overlap] = []
    bodies = [body for body in bodies if not shapely.is_empty(body.image)]
    if not bodies or not len(sweep.path.move):
        return overlaps
    solids = [body.image for body in bodies]
    segments, owner = outline_segments(solids)
    tree, edges = shapely.STRtree(segments), shapely.bounds(segments)
    # A thick piece far from the rest of the tool, as a holder, gets an upper bound this way to start from.
    flat = [
        index
        for index, part in enumerate(sweep.tool.parts)
        if part.far == 0.0 or (part.kind, part.near) == ("holder", 0.0)
    ]
    if len(sweep.path.move) <= few_steps:
        for index in flat:
            step, hit, distance = query_nearest(tree, sweep.images(index))
            nearest.note(step, distance, index, owner[hit])
    else:
        for index in flat:
            rows = _rows_that_matter(sweep, index, edges, nearest)
            step, distance, owners = _along_path(sweep, index, rows, solids)
            nearest.note(step, distance, index, owners)
    for index, part in enumerate(sweep.tool.parts):
        if part.far > 0.0:
            close = sweep.open(index, _rows_that_matter(sweep, index, edges, nearest))
            _note_thick(sweep, index, close, (owner, tree), nearest)
        for number, met in _meeting(sweep, index, solids):
            nearest.note(met, np.zeros(len(met)), index, number)
            body = bodies[number]
            for step in met:
                kind = contact_kind(part.kind, feeds=bool(sweep.path.feeds[step]))
                overlaps.append(Overlap(kind, int(step), index, body.name, body.image))
    return overlaps


def _meeting(sweep: ToolSweep, index: int, solids: Sequence[BaseGeometry]) -> Iterator[tuple[int, Ints]]:
    """Return the solids that a piece overlaps, by their numbers, and in which steps."""
    starts, ends = sweep.path.starts, sweep.path.ends
    low, high = np.minimum(starts, ends).min(axis=0), np.maximum(starts, ends).max(axis=0)
    around = sweep.around(index, low[None], high[None])[0]
    judged: Ints | None = None
    for number, solid in enumerate(solids):
        window = np.array(bounds(solid))
        # Most pieces keep away from most bodies along the whole path.
        if not ((around[:2] <= window[2:]) & (around[2:] >= window[:2])).all():
            continue
        judged = sweep.open(index, np.arange(len(starts))) if judged is None else judged
        shapely.prepare(solid)
        met = sweep.within(index, judged, window)
        met = met[shapely.intersects(solid, sweep.boxes(index, met))]
        yield number, met[is_touch(sweep.images(index, met), solid)]


def _note_thick(
    sweep: ToolSweep,
    index: int,
    rows: Ints,
    outlines: tuple[Ints, shapely.STRtree],
    nearest: Nearest,
) -> None:
    """Note the distance of a thick piece, looking at its boxes first."""
    owner, tree = outlines
    if not len(rows):
        return
    box, _, least = query_nearest(tree, sweep.boxes(index, rows))
    chosen = rows[box[least <= nearest.distance[rows[box]]]]
    if not len(chosen):
        return
    row, hit, distance = query_nearest(tree, sweep.images(index, chosen))
    nearest.note(chosen[row], distance, index, owner[hit])


def _rows_that_matter(sweep: ToolSweep, index: int, edges: Floats, nearest: Nearest) -> Ints:
    """Find the steps in which a piece may come nearer than what is nearest so far.

    Looks at a rectangle round the piece over ever fewer steps at once, and at rectangles round the `edges` (m, 4) of
    what it must not touch; only those within reach of the least of them stay.
    """
    starts, ends = sweep.path.starts, sweep.path.ends
    found, together = np.arange(len(starts)), len(starts)
    if np.isinf(nearest.distance).all():
        return found
    while together > 1 and len(found):
        groups, of = np.unique(found // together, return_inverse=True)
        first = np.searchsorted(of, np.arange(len(groups)))
        low = np.minimum.reduceat(np.minimum(starts[found], ends[found]), first)
        high = np.maximum.reduceat(np.maximum(starts[found], ends[found]), first)
        boxes, reach = sweep.around(index, low, high), np.maximum.reduceat(nearest.distance[found], first)
        whole = np.r_[boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)]
        edges = edges[_apart(edges, whole) <= reach.max()]
        least = np.full(len(groups), np.inf)
        for edge in edges:
            np.minimum(least, _apart(boxes, edge), out=least)
        found = found[least[of] <= nearest.distance[found]]
        together = min(together // TOGETHER, TOGETHER**2)
    return found


def _apart(boxes: Floats, other: Floats) -> Floats:
    """Return the distance (mm) of each rectangle (n, 4) from another."""
    over = np.maximum(boxes[:, :2] - other[2:], other[:2] - boxes[:, 2:]).clip(0.0)
    return np.asarray(np.hypot(over[:, 0], over[:, 1]), dtype=np.float64)


def _along_path(
    sweep: ToolSweep, index: int, rows: Ints, solids: Sequence[BaseGeometry]
) -> tuple[Ints, Floats, Ints]:
    """Return steps out of `rows`, distance of the path from bodies widened by a piece in y = 0, number of the body.

    For a thick piece it is the distance of its upper face alone, an upper bound.
    """
    path, outline = sweep.path, sweep.tool.parts[index].outline
    if not len(rows):
        return rows, np.zeros(0), rows
    least = min(float(path.starts[:, 0].min()), float(path.ends[:, 0].min())) + float(outline[:, 0].min())
    if least < 0.0:
        solids = [shapely.union(solid, mirrored(solid)) for solid in solids]
    segments, owner = outline_segments([minkowski_blocked(solid, outline) for solid in solids])
    lines = shapely.linestrings(np.stack([path.starts[rows], path.ends[rows]], axis=1))
    step, hit, distance = query_nearest(shapely.STRtree(segments), np.asarray(lines, dtype=object))
    return rows[step], distance, owner[hit]


def query_nearest(tree: shapely.STRtree, shapes: Geometries) -> tuple[Ints, Ints, Floats]:
    """Return number, nearest of the tree and distance for each shape that is not empty; many side by side."""
    runs = shares(len(shapes))
    found = each(lambda run: tree.query_nearest(shapes[run], return_distance=True, all_matches=False), runs)
    step = np.concatenate([run[pair[0]] for run, (pair, _) in zip(runs, found, strict=True)])
    return step, np.concatenate([pair[1] for pair, _ in found]), np.concatenate([gap for _, gap in found])


def mirrored(solid: BaseGeometry) -> BaseGeometry:
    """Return a shape mirrored at the spindle axis, rho to -rho."""
    other: BaseGeometry = shapely.transform(solid, lambda xy: xy * np.array([-1.0, 1.0]))
    return other


def is_touch(images: Geometries, solid: BaseGeometry | Geometries) -> Flags:
    """Tell where images overlap a solid by more than the tolerance."""
    if not len(images):
        return np.zeros(0, dtype=bool)
    return is_thick(np.asarray(shapely.intersection(images, solid), dtype=object))


def outline_segments(solids: Sequence[BaseGeometry]) -> tuple[Geometries, Ints]:
    """Return the straight segments of the outlines of solids, and the number of the solid of each."""
    lines, line_owner = shapely.get_parts(shapely.boundary(list(solids)), return_index=True)
    points, ring = shapely.get_coordinates(lines, return_index=True)
    within = ring[1:] == ring[:-1]
    pairs = np.stack([points[:-1], points[1:]], axis=1)[within]
    return np.asarray(shapely.linestrings(pairs), dtype=object), line_owner[ring[:-1][within]]
