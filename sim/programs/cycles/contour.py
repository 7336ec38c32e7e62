"""The contour of a cycle: straight and circular moves between two blocks, and how levels cross it.

Levels, crossings and runs along the contour are in the frame of the cycle (`sim.programs.cycles.frame`): a level is a
value of the first coordinate, and the contour runs down the second one. Lengths in mm.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from meshes.points import Point
from sim.programs.path import Move, arc_points
from sim.programs.words import ProgramError

TIE = 1e-6  # mm: a surface that lies on a level by rounding is on it
# mm by which a contour may run back: ends of arcs are rounded to some thousandths (common practice, no source).
RUNS_BACK = 5e-3
_TINY = 1e-3  # mm, of an arc that its chord stands for
_INTO = 0.02  # share of the allowance by which rounding may turn it into the contour


class Contour(NamedTuple):
    """The moves between the blocks of a cycle.

    Attributes
    ----------
    approach : Move
        Of the first block: from where the tool stands when the cycle is called to where the contour begins.
    shape : tuple of Move
        The others, each from the end of the one before.
    """

    approach: Move
    shape: tuple[Move, ...]


class Crossing(NamedTuple):
    """Where a level crosses a contour: the number of the piece, the point, and whether the contour rises there."""

    piece: int
    point: Point
    rises: bool


def pieces_of(moves: Sequence[Move]) -> tuple[Move, ...]:
    """Return moves with every arc cut where it turns in one of its coordinates: pieces that run one way in both."""
    return tuple(piece for move in moves for piece in _monotone(move))


def crossings(pieces: Sequence[Move], level: float) -> list[Crossing]:
    """Return where pieces cross a level, in order; a surface on the level lies below it."""
    found = []
    above = pieces[0].start[0] > level + TIE
    for number, piece in enumerate(pieces):
        ends_above = piece.end[0] > level + TIE
        if ends_above != above:
            found.append(Crossing(number, (level, _where(piece, level)), ends_above))
            above = ends_above
    return found


def climbing(pieces: Sequence[Move], at: Crossing, height: float) -> list[Move]:
    """Return the contour behind a crossing as far as it rises, at most up to a height."""
    found: list[Move] = []
    start = at.point
    for piece in pieces[at.piece :]:
        if piece.end[0] <= start[0] + TIE:
            break
        over = piece.end[0] > height
        end = (height, _where(piece, height)) if over else piece.end
        found.append(_between(piece, start, end))
        if over:
            break
        start = end
    return found


def falling(pieces: Sequence[Move], at: Crossing, height: float) -> list[Move]:
    """Return the contour ahead of a crossing as far as it falls towards it, at most from a height."""
    found: list[Move] = []
    end = at.point
    for piece in reversed(pieces[: at.piece + 1]):
        if piece.start[0] <= end[0] + TIE:
            break
        over = piece.start[0] > height
        start = (height, _where(piece, height)) if over else piece.start
        found.append(_between(piece, start, end))
        if over:
            break
        end = start
    return found[::-1]


def require_outside(moves: Sequence[Move], by: Point, side: int, what: str) -> None:
    """Refuse a shift of a contour that would move it into the part.

    Parameters
    ----------
    moves : sequence of Move
    by : (float, float)
        The shift.
    side : int
        1 if the metal to be cut lies to the right of a contour that runs down the second coordinate, else -1.
    what : str
        Words that shift it, as in 'U and W'.

    Raises
    ------
    ProgramError
        Names the line of the contour.
    """
    size = math.hypot(*by)
    if size == 0.0:
        return
    for move in moves:
        points = arc_points(move).tolist()
        for one, other in itertools.pairwise(points):
            along = (other[0] - one[0], other[1] - one[1])
            length = math.hypot(*along)
            if length > 0.0 and side * (along[0] * by[1] - along[1] * by[0]) < -_INTO * size * length:
                raise ProgramError(
                    move.line or 0, "",
                    f"is a contour that {what} would move into the part instead of off it, so that roughing would cut "
                    "below it; turn the sign, or leave no allowance in the axis in which it faces both ways",
                )  # fmt: skip


def _monotone(move: Move) -> tuple[Move, ...]:
    if move.centre is None:
        return (move,)
    (cx, cz), radius = move.centre, math.dist(move.start, move.centre)
    turns = [(cx + radius, cz), (cx - radius, cz), (cx, cz + radius), (cx, cz - radius)]
    inside = sorted((share, point) for point in turns if 0.0 < (share := _share(move, point)) < 1.0)
    points = [move.start, *(point for _, point in inside), move.end]
    return tuple(_between(move, a, b) for a, b in itertools.pairwise(points) if a != b)


def _share(arc: Move, point: Point) -> float:
    """Share of an arc's turn at a point of its circle; 1 or more behind its end."""
    assert arc.centre is not None  # noqa: S101 - the caller asked
    cx, cz = arc.centre
    first, last, here = (math.atan2(p[0] - cx, p[1] - cz) for p in (arc.start, arc.end, point))
    sense = -1.0 if arc.clockwise else 1.0
    whole = (sense * (last - first)) % (2.0 * math.pi) or 2.0 * math.pi
    return ((sense * (here - first)) % (2.0 * math.pi)) / whole


def _where(piece: Move, level: float) -> float:
    """Second coordinate of a piece at a level that lies between its ends."""
    (x0, z0), (x1, z1) = piece.start, piece.end
    if piece.centre is None:
        return z0 if x1 == x0 else z0 + (z1 - z0) * min(1.0, max(0.0, (level - x0) / (x1 - x0)))
    (cx, cz), radius = piece.centre, math.dist(piece.start, piece.centre)
    half = math.sqrt(max(0.0, radius**2 - (level - cx) ** 2))
    found = cz + math.copysign(half, 0.5 * (z0 + z1) - cz)
    return min(max(found, min(z0, z1)), max(z0, z1))


def _between(move: Move, start: Point, end: Point) -> Move:
    """Return the part of a move between two of its points; a tiny arc as its chord, lest it read as a full circle."""
    if move.centre is None or math.dist(start, end) <= _TINY:
        return dataclasses.replace(move, start=start, end=end, centre=None, clockwise=False)
    return dataclasses.replace(move, start=start, end=end)
