"""Rapid moves whose tip may leave the line: the control runs each axis at its own rate, and the rates are not known.

Both axes start together and each stops when it arrives, so the tip never turns back in either. It may go anywhere in
the rectangle between the two ends and nowhere else: a ray from the start to any point of the far sides is the first
leg at some ratio of the rates. What a convex piece of the tool covers then is the sum of its outline and the rectangle,
convex again, so such a move is judged exactly as a straight one is, with another outline.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.base.arrays import Floats, Geometries, Ints
from sim.clearance.met import Met, measured
from sim.clearance.obstacle import Nearest, against_bodies
from sim.clearance.removal import Removal
from sim.clearance.result import Body, Touch
from sim.clearance.stock import against_stock
from sim.clearance.stock_then import near
from sim.clearance.sweep import ToolSweep, moved, seen, swept
from sim.clearance.tool import ToolPart
from sim.clearance.touch import TOUCH, Overlap, thick
from sim.programs.path import Move, Steps

_BISECTIONS = 18
# Ratios of the rates (x over z) at which a touch is looked for, the likely ones first: where it is shown.
_RATIOS = (1.0, 0.8, 1.25, 0.5, 2.0, 0.25, 4.0, 0.0, np.inf, 0.1, 10.0, 0.65, 1.5, 0.35, 3.0)


@dataclass(frozen=True, slots=True, eq=False)
class Roaming(ToolSweep):
    """A tool along a path, the tip anywhere between the ends of the moves that may stray."""

    def images(self, index: int, rows: Ints | None = None) -> Geometries:
        """Return what a piece may cover in some steps (in all if not given)."""
        chosen = np.arange(len(self.path.move)) if rows is None else rows
        strays = self.path.astray[chosen]
        found = np.full(len(chosen), None, dtype=object)
        if not strays.all():
            # Zero-argument super() does not know a class that slots have made anew.
            found[~strays] = ToolSweep.images(self, index, chosen[~strays])
        if strays.any():
            at = chosen[strays]
            found[strays] = between(self.tool.parts[index], self.path.starts[at], self.path.ends[at])
        return found


def roaming(sweep: ToolSweep) -> ToolSweep:
    """Return what a tool may cover along its path; the same sweep where no move may stray."""
    if not sweep.path.astray.any():
        return sweep
    return Roaming(sweep.moves, sweep.path, sweep.tool)


def between(part: ToolPart, starts: Floats, ends: Floats) -> Geometries:
    """Return the image of a part with its tip anywhere in rectangles between two corners (n, 2)."""
    along = ends - starts
    rings = np.broadcast_to(part.outline, (len(starts), *part.outline.shape)) + starts[:, None]
    for axis in (0, 1):
        rings = moved(rings, along * (np.arange(2) == axis))
    return seen(rings, part)


@dataclass(frozen=True, slots=True, eq=False)
class Strayed:
    """What moves that may stray can meet beside the line; n steps.

    Attributes
    ----------
    nearest : Nearest
        As for the straight steps; nothing near in the others.
    approach : (n,) array
        Distance to the stock, mm.
    touches : tuple of Touch
        That the straight line does not have.
    """

    nearest: Nearest
    approach: Floats
    touches: tuple[Touch, ...]

    def told(self, nearest: Nearest, approach: Floats) -> Ints:
        """Tell the records of the straight steps what is nearer, and return the steps whose least distance it is."""
        nearer = np.flatnonzero(self.nearest.distance < nearest.distance - TOUCH)
        nearest.distance[nearer] = self.nearest.distance[nearer]
        nearest.piece[nearer], nearest.body[nearer] = self.nearest.piece[nearer], self.nearest.body[nearer]
        np.minimum(approach, self.approach, out=approach)
        return nearer


def strayed(
    sweep: ToolSweep,
    bodies: Sequence[Body],
    taken: Removal,
    removed: Geometries,
    stock_name: str,
    straight: Sequence[Overlap],
) -> Strayed:
    """Judge the moves that may stray as `sim.clearance.check` judges straight ones.

    Parameters
    ----------
    sweep : ToolSweep
        n steps.
    bodies, stock_name
        As for `sim.clearance.check.check`.
    taken : Removal
        What the feed steps remove.
    removed : (n,) array of shapely geometries
        The same for all steps.
    straight : sequence of Overlap
        Found along the lines.
    """
    path, rows = sweep.path, np.flatnonzero(sweep.path.astray)
    roams = roaming(sweep)
    nearest = Nearest.nothing(len(path.move))
    # The bodies stand still, so the steps that may stray are enough; the stock depends on all the others.
    alone = Nearest.nothing(len(rows))
    found = against_bodies(_only(roams, rows), bodies, alone, few_steps=len(rows))
    nearest.distance[rows], nearest.piece[rows], nearest.body[rows] = alone.distance, alone.piece, alone.body
    overlaps = [replace(one, step=int(rows[one.step])) for one in found]
    approach, found = against_stock(roams, taken, removed, nearest, len(bodies), stock_name, only=rows)
    known = {(one.step, sweep.tool.parts[one.piece].name, one.body) for one in straight}
    new = [
        one
        for one in (*overlaps, *found)
        if (one.step, sweep.tool.parts[one.piece].name, one.body) not in known
    ]
    return Strayed(nearest, approach, _touches(new, roams))


def _only(sweep: ToolSweep, rows: Ints) -> ToolSweep:
    path = sweep.path
    some = Steps(path.starts[rows], path.ends[rows], path.move[rows], path.feeds[rows], path.astray[rows])
    return Roaming(sweep.moves, some, sweep.tool)


def _touches(overlaps: Sequence[Overlap], sweep: ToolSweep) -> tuple[Touch, ...]:
    """Return one touch for each kind, part and body, in the order of the path."""
    groups: dict[tuple[str, str, str], list[Overlap]] = {}
    for one in sorted(overlaps, key=lambda one: one.step):
        groups.setdefault((one.kind, sweep.tool.parts[one.piece].name, one.body), []).append(one)
    found = [_touch(group, sweep) for group in groups.values()]
    return tuple(
        sorted(found, key=lambda one: (one.move, math.dist(sweep.moves[one.move].start, one.tool_at)))
    )


def _touch(group: list[Overlap], sweep: ToolSweep) -> Touch:
    first = group[0]
    number = int(sweep.path.move[first.step])
    move = sweep.moves[number]
    box = sweep.bounds(first.piece, np.array([first.step]))[0]
    tip, place = _met(move, sweep.tool.parts[first.piece], near(first.solid, box))
    found = measured([Met(one.step, one.piece, one.solid) for one in group], sweep)
    return Touch(
        kind=first.kind,
        move=number,
        block=move.block,
        line=move.line,
        part=sweep.tool.parts[first.piece].name,
        body=first.body,
        place=place,
        tool_at=tip,
        depth=found.depth,
        overlap=found.extent,
        count=len({int(sweep.path.move[one.step]) for one in group}),
        astray=True,
    )


def _met(move: Move, part: ToolPart, solid: BaseGeometry) -> tuple[Point, Point]:
    """Return a tip at which a part meets a solid, and where: on the likeliest way of the control that does."""
    for ratio in _RATIOS:
        corner = corner_of(move, ratio)
        for start, end in ((move.start, corner), (corner, move.end)):
            found = _along(np.array(start), np.array(end), part, solid)
            if found is not None:
                return found
    # Met by rates in between only, in a sliver: the middle of what may be met, and the tip that is nearest to it.
    common = shapely.intersection(between(part, np.array([move.start]), np.array([move.end]))[0], solid)
    place = _inside(common)
    ends = np.array([move.start, move.end])
    tip = np.clip(np.array(place), ends.min(axis=0), ends.max(axis=0))
    return (float(tip[0]), float(tip[1])), place


def corner_of(move: Move, ratio: float) -> Point:
    """Return where the first axis arrives if x runs `ratio` times as fast as z; 0 for z first, inf for x first."""
    dx, dz = move.end[0] - move.start[0], move.end[1] - move.start[1]
    if abs(dx) > ratio * abs(dz):
        return move.start[0] + float(np.copysign(ratio * abs(dz), dx)), move.end[1]
    along = abs(dx) / ratio if ratio > 0.0 else 0.0
    return move.end[0], move.start[1] + float(np.copysign(along, dz))


def _along(start: Floats, end: Floats, part: ToolPart, solid: BaseGeometry) -> tuple[Point, Point] | None:
    """Return tip and place of the first touch along a line, by bisection; None if it meets nothing."""

    def common(share: float) -> BaseGeometry:
        shape = swept(part, start[None], (start + share * (end - start))[None])
        met: BaseGeometry = thick(shapely.intersection(shape, solid))[0]
        return met

    region = common(1.0)
    if region.is_empty:
        return None
    low, high = 0.0, 1.0
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        tried = common(middle)
        if tried.is_empty:
            low = middle
        else:
            high, region = middle, tried
    tip = start + high * (end - start)
    return (float(tip[0]), float(tip[1])), _inside(region)


def _inside(region: BaseGeometry) -> Point:
    point = shapely.point_on_surface(region)
    return float(shapely.get_x(point)), float(shapely.get_y(point))
