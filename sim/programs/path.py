"""Cutting paths: rapid and feed moves of the programmed tool tip in the plane of the machine's two axes.

x is the tip's radius about the spindle axis (half a programmed diameter), z runs along the spindle, both in
mm. A tip that crosses the axis has a negative x.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from meshes.points import Point
from sim.base.arrays import Flags, Floats, Ints

MoveKind = Literal["rapid", "feed"]
ARC_MISMATCH = 0.02  # mm by which start and end of an arc may differ in distance from its centre
CHORD_SAG = 5e-4  # mm between an arc and the chords that stand for it


@dataclass(frozen=True, slots=True)
class Move:
    """One straight or circular move of the tool tip.

    Attributes
    ----------
    kind : {'rapid', 'feed'}
        A feed move cuts; a rapid move may touch nothing.
    start, end : (x, z)
        mm.
    centre : (x, z), optional
        Of a circular move. Equal start and end make a full circle.
    clockwise : bool
        Sense of a circular move, seen with z to the right and x up (G2 of a tool behind the centre line).
    block, line : int, optional
        Sequence number (N word) and source line of the block that the move comes from.
    speed : float, optional
        Spindle speed, rev/min.
    stage : str
        What the move is for, as in 'rough' or 'finish'.
    feed : float, optional
        mm/rev, of a feed move where it is known.
    surface_speed : float, optional
        Constant cutting speed, m/min: the spindle then turns as `speed_at` says.
    astray : bool
        Of a straight rapid move: the control may run each axis at its own rate, so that the tip may stray from the
        line to anywhere in the rectangle between the ends.
    ordinal : int, optional
        Number of the block among those that the control runs, from 1, no unit: a line that runs again has another
        one each time. Where it stands in a program makes no other move of it.
    on_its_line : bool
        Of a rapid move whose direction the control keeps, however it runs others: the escape of a cycle.
    thread : float, optional
        Of a move that cuts a thread: which of its starts, in turns from 0 to 1, no unit
        (`sim.programs.cycles.threads.phase`). Its feed is the lead then.
    """

    kind: MoveKind
    start: Point
    end: Point
    centre: Point | None = None
    clockwise: bool = False
    block: int | None = None
    line: int | None = None
    speed: float | None = None
    stage: str = ""
    feed: float | None = None
    surface_speed: float | None = None
    astray: bool = False
    ordinal: int | None = field(default=None, compare=False)
    on_its_line: bool = False
    thread: float | None = None

    def __post_init__(self) -> None:
        (x0, z0), (x1, z1) = self.start, self.end
        if self.centre is None and math.isfinite(x0 + z0 + x1 + z1):
            return
        values = (*self.start, *self.end, *(self.centre or ()))
        if not all(map(math.isfinite, values)):
            raise ValueError(f"a move must have finite coordinates in mm, found {values}")
        if self.centre is not None:
            radii = math.dist(self.start, self.centre), math.dist(self.end, self.centre)
            if min(radii) <= 0.0 or abs(radii[0] - radii[1]) > ARC_MISMATCH:
                raise ValueError(
                    f"start and end of an arc must have the same distance from its centre within "
                    f"{ARC_MISMATCH:g} mm, found {radii[0]:.4f} mm and {radii[1]:.4f} mm"
                )

    def placed(self, start: Point, end: Point, centre: Point | None) -> Move:
        """Return the same move between other points (x, z), mm; long contours ask this of each move some times."""
        return Move(
            self.kind, start, end, centre, self.clockwise, self.block, self.line, self.speed, self.stage, self.feed,
            self.surface_speed, self.astray, self.ordinal, self.on_its_line, self.thread,
        )  # fmt: skip

    def without_speeds(self) -> Move:
        """Return the same move without what says how fast it turns and feeds."""
        return Move(
            self.kind, self.start, self.end, self.centre, self.clockwise, self.block, self.line, None, self.stage, None,
            None, self.astray, self.ordinal, self.on_its_line, self.thread,
        )  # fmt: skip


def speed_at(move: Move, radius: float) -> float | None:
    """Return the spindle speed (rev/min) of a move with its tip at a radius (mm); None if it has none."""
    if move.speed is None or move.surface_speed is None or radius == 0.0:
        return move.speed
    return min(move.speed, 1000.0 * move.surface_speed / (2.0 * math.pi * abs(radius)))


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """Straight steps of a path, arcs as chords; n steps.

    Attributes
    ----------
    starts, ends : (n, 2)
        x, z in mm.
    move : (n,)
        Number of the move that each step belongs to.
    feeds : (n,)
        True where the step cuts.
    astray : (n,)
        True where the tip may leave the line, see `Move.astray`.
    """

    starts: Floats
    ends: Floats
    move: Ints
    feeds: Flags
    astray: Flags


def steps(moves: Sequence[Move], sag: float = CHORD_SAG) -> Steps:
    """Return the straight steps of a path; the chords of an arc leave it by `sag` (mm) at most."""
    starts = np.array([move.start for move in moves], dtype=np.float64).reshape(-1, 2)
    ends = np.array([move.end for move in moves], dtype=np.float64).reshape(-1, 2)
    number = np.arange(len(moves))
    arcs = [index for index, move in enumerate(moves) if move.centre is not None]
    if arcs:
        pieces, done = [], 0
        for index in arcs:
            pieces.append((starts[done:index], ends[done:index], number[done:index]))
            points = arc_points(moves[index], sag)
            pieces.append((points[:-1], points[1:], np.full(len(points) - 1, index)))
            done = index + 1
        pieces.append((starts[done:], ends[done:], number[done:]))
        starts, ends, number = (np.concatenate(column) for column in zip(*pieces, strict=True))
    feeds = np.array([move.kind == "feed" for move in moves], dtype=bool)[number]
    astray = np.array([move.astray for move in moves], dtype=bool)[number]
    for array in (starts, ends, number, feeds, astray):
        array.setflags(write=False)
    return Steps(starts, ends, number, feeds, astray)


def arc_points(move: Move, sag: float = CHORD_SAG) -> Floats:
    """Return points (n, 2) of a circular move from start to end; the two points of a straight one."""
    if move.centre is None:
        return np.array([move.start, move.end])
    centre = np.array(move.centre)
    radius = math.dist(move.start, move.centre)
    # Angles run from z towards x: with z to the right and x up they grow counter-clockwise.
    first = math.atan2(move.start[0] - centre[0], move.start[1] - centre[1])
    last = math.atan2(move.end[0] - centre[0], move.end[1] - centre[1])
    turn = (first - last if move.clockwise else last - first) % (2.0 * math.pi)
    if turn < 1e-9:
        turn = 2.0 * math.pi
    step = 2.0 * math.acos(max(-1.0, 1.0 - sag / radius))
    count = max(1, math.ceil(turn / step))
    angle = first + np.linspace(0.0, -turn if move.clockwise else turn, count + 1)
    points = centre + radius * np.column_stack([np.sin(angle), np.cos(angle)])
    points[0], points[-1] = move.start, move.end
    return points


def length(moves: Sequence[Move]) -> float:
    """Return the length of the path in mm."""
    chords = steps(moves)
    return float(np.hypot(*(chords.ends - chords.starts).T).sum())
