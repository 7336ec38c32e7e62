"""Threads along a program: how deep each pass goes, and moves that drag a tool through the crests that it has left.

A half plane shows a thread as the groove that the tool sweeps from end to end: between its turns it takes the crests to
be gone. So what passes after the first start take, and what a tool meets between crest and root, is looked up here.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.turning_tool import TurningTool
from sim.assessment.images import WORKPIECE
from sim.base.arrays import Floats
from sim.clearance.result import ClearanceResult, Touch
from sim.clearance.runs import Run
from sim.clearance.tool import Tool
from sim.clearance.touch import TOUCH
from sim.programs.path import Move

# Turns by which passes of one start may begin apart: tools fed in along a flank begin a little elsewhere each time.
# Threads of up to eight starts have theirs farther apart.
SAME_START = 0.12
FLANK = math.tan(math.radians(30.0))  # shift along the spindle of a step down a flank
# A groove 2 d tan(30 deg) wide takes as much by this share of a shift in depth as by the shift over its depth d.
ASIDE = 0.5 / FLANK
REACHES = 0.1  # mm by which a pass may reach beyond those before it without cutting from the crests there
ALONG = 0.05  # mm along the spindle from which on a move is no move square to it
UNDER = 0.02  # mm below a root at which metal is looked for
FAR = 1e4  # mm, beyond any tool
OVER = 0.01  # mm below the crests from which on a tool is between them


@dataclass(frozen=True, slots=True)
class ThreadPass:
    """What a pass takes, mm.

    Attributes
    ----------
    infeed : float
        How much deeper it goes than the one before of the same start, mm; a shift aside counts as `ASIDE` of it.
    depth : float
        How deep it lies below the crests, mm.
    aside : float
        By how much more it is shifted along the spindle than going down a flank shifts it, mm: it widens the groove.
    """

    infeed: float
    depth: float
    aside: float = 0.0

    def over_a_width(self, width: float) -> float:
        """Return the infeed (mm) over a groove's width (mm) that takes as much as this pass does."""
        return self.infeed + max(0.0, self.depth / max(width, OVER) - ASIDE) * self.aside


@dataclass(slots=True)
class _Start:
    """One start of a thread as cut so far: where its helix begins (turns), how deep, z from and to, mm."""

    phase: float
    depth: float
    low: float
    high: float


@dataclass(slots=True)
class _Groove:
    """A thread as cut so far: z from and to, depth of its crests along the infeed, mm, and its starts."""

    low: float
    high: float
    side: float
    crest: float
    starts: list[_Start]

    @property
    def root(self) -> float:
        return max(start.depth for start in self.starts)


@dataclass(frozen=True, slots=True)
class Threads:
    """What threads make of the moves of a program.

    Attributes
    ----------
    passes : dict of int to ThreadPass
        By the number of the move.
    turned : dict of int to float
        How deep other cuts run below the crests of a thread, mm.
    dragged : tuple of Touch
        Rapid moves that run through crests.
    """

    passes: dict[int, ThreadPass]
    turned: dict[int, float]
    dragged: tuple[Touch, ...]


def threads_cut(runs: tuple[Run, ...], drawn: Sequence[TurningTool], found: ClearanceResult) -> Threads:
    """Return the threads that runs with their tools have cut by the clearance found along them."""
    outward = [tool.cuts == "outward" for tool in drawn]
    return threads_of(runs, outward, found.depth_of_cut, found.stock_left, WORKPIECE)


def threads_of(
    runs: Sequence[Run], inside: Sequence[bool], taken: Floats, left: BaseGeometry, body: str
) -> Threads:
    """Return what the threads of a program take, and which moves run through their crests.

    Parameters
    ----------
    runs : sequence of Run
        Of the whole program.
    inside : sequence of bool
        Whether the tool of each run cuts outward, as in a bore.
    taken : (n,) array
        Depth of cut of each move by its swept groove, mm.
    left : BaseGeometry
        Image of what is left of the part at the end; crests are told where it has metal under their root.
    body : str
        What it is that has the thread.
    """
    grooves: list[_Groove] = []
    passes: dict[int, ThreadPass] = {}
    turned: dict[int, float] = {}
    dragged: list[Touch] = []
    if not any(move.thread is not None for run in runs for move in run.moves):
        return Threads(passes, turned, ())
    number = -1
    for run, inner in zip(runs, inside, strict=True):
        side = -1.0 if inner else 1.0
        last: tuple[Move, ThreadPass] | None = None
        for move in run.moves:
            number += 1
            if move.kind == "feed" and move.thread is not None:
                found = _continued(move, last) or _pass(move, side, float(taken[number]), grooves)
                passes[number], last = found, (move, found)
                continue
            last = None
            between = _between_crests(move, side, grooves, left)
            if move.kind == "rapid" and between is not None:
                dragged.append(_as_touch(move, number, run.tool, body, *between))
            elif between is not None:
                turned[number] = between[1]
            if move.kind == "feed":
                grooves = [groove for groove in grooves if not _turned_off(move, groove)]
    return Threads(passes, turned, _first_of_each(dragged))


def groove_width(tool: Tool, depth: float) -> float:
    """Return how wide along z the insert of a tool is at most, up to `depth` (mm) from its tip, mm."""
    insert = shapely.union_all(
        [shapely.Polygon(part.outline) for part in tool.parts if part.kind == "insert"]
    )
    near = shapely.intersection(insert, shapely.box(-depth, -FAR, depth, FAR))
    return math.inf if near.is_empty else float(near.bounds[3] - near.bounds[1])


def _continued(move: Move, last: tuple[Move, ThreadPass] | None) -> ThreadPass | None:
    """Return the pass that a move goes on with, as it does along a thread's end or over a second cone."""
    if last is None or last[0].end != move.start or last[0].thread != move.thread:
        return None
    return last[1]


def _pass(move: Move, side: float, taken: float, grooves: list[_Groove]) -> ThreadPass:
    """Return the pass of a move, and put it into its groove.

    A groove ends in a flank, of which each pass takes a chip over its whole height: how wide the metal is that it takes
    says no more than how deep it lies. So what a pass goes deeper is told by its radius, but for a first one.
    """
    depth = -side * move.end[0]
    low, high = sorted((move.start[1], move.end[1]))
    phase = move.thread or 0.0
    groove = next((g for g in grooves if g.side == side and g.low < high and low < g.high), None)
    if groove is None and not taken > 0.0:
        return ThreadPass(0.0, 0.0)
    if groove is None:
        grooves.append(_Groove(low, high, side, depth - taken, [_Start(phase, depth, low, high)]))
        return ThreadPass(taken, taken)
    groove.low, groove.high = min(groove.low, low), max(groove.high, high)
    groove.crest = min(groove.crest, depth - taken)
    start = min(groove.starts, key=lambda one: _apart(one.phase, phase))
    if _apart(start.phase, phase) > SAME_START:
        start = _Start(phase, groove.crest, low, high)
        groove.starts.append(start)
    infeed = max(depth - start.depth, 0.0)
    if low < start.low - REACHES or high > start.high + REACHES:
        infeed = max(infeed, taken)
    elif len(groove.starts) == 1:
        infeed = min(infeed, taken)
    aside = max(0.0, _apart(start.phase, phase) * (move.feed or 0.0) - FLANK * infeed - TOUCH)
    start.phase, start.depth = phase, max(start.depth, depth)
    start.low, start.high = min(start.low, low), max(start.high, high)
    return ThreadPass(infeed + ASIDE * aside, max(depth - groove.crest, infeed), aside)


def _apart(first: float, second: float) -> float:
    """Return how far apart two starts are, turns."""
    turn = (first - second) % 1.0
    return min(turn, 1.0 - turn)


def _turned_off(move: Move, groove: _Groove) -> bool:
    """Tell whether a cut goes below a thread's root: what was there is gone."""
    low, high = sorted((move.start[1], move.end[1]))
    deepest = max(-groove.side * x for x in (move.start[0], move.end[0]))
    return low < groove.high and groove.low < high and deepest >= groove.root


def _between_crests(
    move: Move, side: float, grooves: list[_Groove], left: BaseGeometry
) -> tuple[tuple[float, float], float] | None:
    """Return where (x, z) a move first runs along a thread below its crests, and how deep, mm; None if it does not."""
    (x0, z0), (x1, z1) = move.start, move.end
    if abs(z1 - z0) <= ALONG:
        return None
    line = shapely.LineString([(abs(x0), z0), (abs(x1), z1)])
    for groove in grooves:
        if groove.side != side:
            continue
        part = shapely.intersection(line, _crests(groove, left))
        places = shapely.get_coordinates(part)
        if len(places) < 2 or np.ptp(places[:, 1]) <= ALONG:
            continue
        first = places[np.argmin(np.hypot(places[:, 0] - abs(x0), places[:, 1] - z0))]
        below = np.max(-side * places[:, 0]) - groove.crest
        return (float(first[0]), float(first[1])), float(below)
    return None


def _crests(groove: _Groove, left: BaseGeometry) -> BaseGeometry:
    """Return where (r, z) crests stand that a half plane takes to be gone: where there is metal under the root."""
    crest = -groove.side * (groove.crest + OVER)
    under = -groove.side * (groove.root + UNDER)
    metal = shapely.intersection(left, shapely.LineString([(under, groove.low), (under, groove.high)]))
    if metal.is_empty:
        return shapely.Point()
    _, low, _, high = metal.bounds
    return shapely.box(min(crest, under), low, max(crest, under), high)


def _as_touch(
    move: Move, number: int, tool: Tool, body: str, place: tuple[float, float], depth: float
) -> Touch:
    name = next(part.name for part in tool.parts if part.kind == "insert")
    extent = (depth, abs(move.end[1] - move.start[1]))
    return Touch(
        "rapid contact",
        number,
        move.block,
        move.line,
        name,
        body,
        (abs(place[0]), place[1]),
        place,
        depth,
        extent,
        1,
    )


def _first_of_each(touches: Sequence[Touch]) -> tuple[Touch, ...]:
    """Return one touch for each part of a tool, with how many there are."""
    first: dict[str, Touch] = {}
    for touch in touches:
        known = first.get(touch.part)
        first[touch.part] = touch if known is None else dataclasses.replace(known, count=known.count + 1)
    return tuple(first.values())
