"""How deep steps reach into what they meet, and how large the largest overlap is.

A path may stand in metal at every step. From one step to a later one of the same piece the depth grows by no more than
the tip is farther: what is there has shrunk meanwhile, and the image of a piece moves no faster than its tip. So of
many steps only those are measured that may be deeper than the deepest by more than a tolerance.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Ints
from sim.clearance.shapes import depth_below, region
from sim.clearance.stock_then import StockThen, surface_within, with_surface
from sim.clearance.sweep import ToolSweep
from sim.clearance.union import less, united

FEW = 256  # overlaps that are measured each
DEPTH = 0.05  # mm by which another of many may be deeper; points that are measured lie 0.25 mm apart
_AHEAD = 512  # overlaps of a piece that one of them is held against
_LEAST_AT_ONCE = 8  # of a piece that are asked together whether they may be deeper, at least
_BEYOND = 1.01  # times the depth that is asked for, which is looked at around
_CHORDS = 4  # of a quarter of a turn
_ANEW = 64  # cuts, from which on the solid is put together anew instead of cut by them
_SEEDS = 16  # overlaps that are measured first, spread along the path
_ROUND = 4.0  # mm round an overlap in which the surface is looked for first
_WIDER = 4.0  # times as far, where it may lie farther


class Met(NamedTuple):
    """A step in which a piece of a tool overlaps a solid, by their numbers."""

    step: int
    piece: int
    solid: BaseGeometry | StockThen


class Around(NamedTuple):
    """A solid as a step finds it and its surface within a rectangle (rho, z; mm), and whether that is all."""

    step: int
    box: Floats
    solid: BaseGeometry
    surface: BaseGeometry
    everything: bool


class Measured(NamedTuple):
    """Of overlaps that belong together: greatest depth; extent along rho and z and area of the largest; mm, mm2."""

    depth: float
    extent: tuple[float, float]
    area: float


def measured(group: Sequence[Met], sweep: ToolSweep) -> Measured:
    """Measure overlaps that belong together, at least one, in the order of the steps."""
    if len(group) <= FEW:
        return _worst([_one(met, sweep) for met in group])
    found = {
        k: _one(group[k], sweep) for k in np.linspace(0, len(group) - 1, _SEEDS).astype(np.int64).tolist()
    }
    steps = np.array([met.step for met in group])
    own = _own_cuts(group)
    deepest = max(one.depth for one in found.values())
    deepest = _measure_what_matters(group, sweep, np.flatnonzero(~own), found, deepest)
    # In what a step takes itself no disc is wider than the step is long.
    along = sweep.path.ends[steps] - sweep.path.starts[steps]
    for row in np.flatnonzero(own & (0.5 * np.hypot(along[:, 0], along[:, 1]) > deepest + DEPTH)).tolist():
        found.setdefault(row, _one(group[row], sweep))
    return _worst([found[k] for k in sorted(found)])


def _own_cuts(group: Sequence[Met]) -> Flags:
    """Tell which solids are what their step itself takes: an earlier step says nothing of them."""
    plain = np.array([not isinstance(met.solid, StockThen) for met in group])
    one_solid = plain.all() and len({id(met.solid) for met in group}) == 1
    return plain & (not one_solid)


def _measure_what_matters(
    group: Sequence[Met], sweep: ToolSweep, rows: Ints, found: dict[int, Measured], deepest: float
) -> float:
    """Measure those overlaps that may be deeper than all so far; return the greatest depth.

    What lies deeper in a solid than a level is the solid moved in by that much: steps whose images do not meet
    that reach no deeper, and many are asked at once, all pieces of the tool side by side, of a solid that shrinks with
    what an earlier step finds.
    """
    at = np.array([group[row].step for row in rows], dtype=np.int64)
    of = np.array([group[row].piece for row in rows], dtype=np.int64)
    starts, ends, boxes = sweep.path.starts[at], sweep.path.ends[at], _boxes(sweep, of, at)
    bound = np.full(len(rows), np.inf)
    pieces = len(np.unique(of))
    least, most = _LEAST_AT_ONCE * pieces, _AHEAD * pieces
    first, many, around = 0, least, None
    while first < len(rows):
        level = deepest + DEPTH
        open_ones = np.flatnonzero(bound[first : first + most] > level)
        if not len(open_ones):
            first += most
            continue
        first += int(open_ones[0])
        row = int(rows[first])
        margin = max(_ROUND, _WIDER * deepest)
        around = _brought_on(around, group[row], sweep, margin, level, boxes[at == at[first]])
        asked = first + np.flatnonzero(bound[first : first + many] > level)
        asked = asked[_margins(boxes[asked], around) >= level]
        core = _deeper_than(level, around.solid, boxes[asked])
        deeper = np.zeros(len(asked), dtype=bool)
        for piece in np.unique(of[asked]).tolist():
            those = np.flatnonzero(of[asked] == piece)
            deeper[those] = shapely.intersects(core, sweep.images(piece, at[asked[those]]))
        bound[asked[~deeper]] = level
        many = min(2 * many, most) if not deeper.any() else max(least, many // 2)
        if bound[first] > level:
            if row not in found:
                found[row] = _one(group[row], sweep, around)
            deepest = max(deepest, found[row].depth)
            ahead = first + np.flatnonzero(of[first : first + 1 + most] == of[first])
            away = farthest(starts[ahead], ends[ahead], (starts[first], ends[first]))
            bound[ahead] = np.minimum(bound[ahead], found[row].depth + away)
        first += 1
    return deepest


def _boxes(sweep: ToolSweep, pieces: Ints, steps: Ints) -> Floats:
    """Return the rectangles (n, 4) round pieces in steps, mm."""
    found = np.zeros((len(steps), 4))
    for piece in np.unique(pieces).tolist():
        found[pieces == piece] = sweep.bounds(piece, steps[pieces == piece])
    return found


def _deeper_than(level: float, solid: BaseGeometry, boxes: Floats) -> BaseGeometry:
    """Return what lies deeper in a solid than a level (mm), within rectangles (n, 4) and perhaps more."""
    low, high = boxes[:, :2].min(axis=0) - _BEYOND * level, boxes[:, 2:].max(axis=0) + _BEYOND * level
    there = shapely.clip_by_rect(solid, *low.tolist(), *high.tolist())
    # Chords stand for the arcs about corners, so that it is rather too much than too little.
    core: BaseGeometry = shapely.buffer(there, -level, quad_segs=_CHORDS)
    shapely.prepare(core)
    return core


def _brought_on(
    around: Around | None, met: Met, sweep: ToolSweep, margin: float, level: float, boxes: Floats
) -> Around:
    """Return the solid round an overlap as its step finds it, out of an earlier one where that is enough.

    Made anew it is known round all rectangles (n, 4) too: other pieces meet it in the same step.
    """
    box = sweep.bounds(met.piece, np.array([met.step]))
    if around is None or not _margins(box, around)[0] >= level:
        return _around(met, sweep, margin, boxes)
    if not isinstance(met.solid, StockThen):
        return around
    since = np.arange(around.step + 1, met.step + 1)
    since = since[sweep.path.feeds[since]]
    cuts = [
        sweep.images(index, rows)
        for index, part in enumerate(sweep.tool.parts)
        if part.kind == "insert" and len(rows := sweep.within(index, since, shapely.bounds(around.solid)))
    ]
    if not cuts:
        return around._replace(step=met.step)
    taken = np.concatenate(cuts)
    if len(taken) > _ANEW:
        return _around(met, sweep, margin, boxes)
    left = region(less(around.solid, united(taken[None])[0]))
    return Around(met.step, around.box, *surface_within(left, around.box), around.everything)


def farthest(starts: Floats, ends: Floats, line: tuple[Floats, Floats]) -> Floats:
    """Return how far (mm) straight steps (n, 2) get from a straight line between two points: at one of their ends."""
    start, along = line[0], line[1] - line[0]
    off = np.stack([starts, ends]) - start
    share = (off @ along / (float(along @ along) or 1.0)).clip(0.0, 1.0)
    off -= share[..., None] * along
    return np.asarray(np.hypot(off[..., 0], off[..., 1]).max(axis=0), dtype=np.float64)


def _worst(found: Sequence[Measured]) -> Measured:
    largest = max(found, key=lambda one: one.area)
    return largest._replace(depth=max(one.depth for one in found))


def _around(met: Met, sweep: ToolSweep, margin: float = _ROUND, boxes: Floats | None = None) -> Around:
    """Return the solid round an overlap, or round rectangles (n, 4), as its step finds it."""
    boxes = sweep.bounds(met.piece, np.array([met.step])) if boxes is None else boxes
    box = np.r_[boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)]
    wide = box + margin * np.array([-1.0, -1.0, 1.0, 1.0])
    return Around(met.step, wide, *with_surface(met.solid, wide))


def _one(met: Met, sweep: ToolSweep, around: Around | None = None) -> Measured:
    """Measure one overlap."""
    around = around or _around(met, sweep)
    common = region(shapely.intersection(sweep.images(met.piece, np.array([met.step]))[0], around.solid))
    if common.is_empty:
        return Measured(0.0, (0.0, 0.0), 0.0)
    box = sweep.bounds(met.piece, np.array([met.step]))
    while (depth := _depth(common, around)) > (margin := float(_margins(box, around)[0])):
        around = _around(met, sweep, _WIDER * margin)
    low, bottom, high, top = common.bounds
    return Measured(depth, (high - low, top - bottom), float(common.area))


def _margins(boxes: Floats, around: Around) -> Floats:
    """Return how far round rectangles (n, 4; rho, z, rho, z) a solid is known, mm."""
    if around.everything:
        return np.full(len(boxes), np.inf)
    inside = np.hstack([boxes[:, :2] - around.box[:2], around.box[2:] - boxes[:, 2:]])
    return np.asarray(inside.min(axis=1), dtype=np.float64)


def _depth(common: BaseGeometry, around: Around) -> float:
    return np.inf if around.surface.is_empty else depth_below(common, around.surface)
