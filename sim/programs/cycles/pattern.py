"""The same contour several times, each time nearer to the part (pattern repeating); lengths in mm.

How controls do it (common practice, no source): the first time the contour stands off by the whole relief and the
allowance, the last time by the allowance alone, and between them it moves by equal shares. Each time the tool goes from
the start, moved aside as much, along the contour and at rapid to the next start.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from meshes.points import Point
from sim.programs.cycles.contour import TIE, Contour, require_outside
from sim.programs.cycles.frame import shifted
from sim.programs.path import Move
from sim.programs.words import ProgramError

MOST_MOVES = 100_000


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a cycle that repeats a contour is told.

    Attributes
    ----------
    relief : (x, z)
        By which the first pass stands off more than the last, mm, x as radius.
    count : int
        Of passes.
    allowance : (x, z)
        By which the last pass stands off, mm, x as radius.
    code : str
        Of the cycle, for stages and messages.
    line : int
        Of its block.
    """

    relief: Point
    count: int
    allowance: Point
    code: str
    line: int


def repeated(contour: Contour, told: Pattern) -> tuple[Move, ...]:
    """Return the moves of a pattern repeating cycle, from its start and back to it; without speeds and feeds.

    Raises
    ------
    ProgramError
        If relief or allowance would move the contour into the part.
    """
    if told.count * len(contour.shape) > MOST_MOVES:
        raise ProgramError(
            told.line, told.code,
            f"would make {told.count} passes along {len(contour.shape)} moves; at most {MOST_MOVES} are followed",
        )  # fmt: skip
    side = _side(contour, told)
    start = contour.approach.start
    made: list[Move] = []
    at = start
    for number in range(told.count):
        share = 0.0 if told.count == 1 else 1.0 - number / (told.count - 1)
        by = (
            told.allowance[0] + share * told.relief[0],
            told.allowance[1] + share * told.relief[1],
        )
        require_outside(contour.shape, by, side, "U and W, or I and K,")
        stage = f"rough pass {number + 1} of {told.count} ({told.code})"
        approach = shifted(contour.approach, by)
        if at != approach.start:
            made.append(Move("rapid", at, approach.start, stage=stage))
        if approach.start != approach.end:
            made.append(Move(approach.kind, approach.start, approach.end, stage=stage))
        for move in contour.shape:
            one = shifted(move, by)
            made.append(Move(one.kind, one.start, one.end, one.centre, one.clockwise, stage=stage))
        at = made[-1].end if made else at
    if at != start:
        made.append(Move("rapid", at, start, stage=f"return ({told.code})"))
    return tuple(made)


def _side(contour: Contour, told: Pattern) -> int:
    """Return on which side of the contour the start lies: 1 where it is outer, cut towards the chuck."""
    begin, end, start = contour.approach.end, contour.shape[-1].end, contour.approach.start
    chord, off = (end[0] - begin[0], end[1] - begin[1]), (start[0] - begin[0], start[1] - begin[1])
    across = chord[0] * off[1] - chord[1] * off[0]
    if abs(across) <= TIE * max(1.0, math.hypot(*chord)):
        raise ProgramError(
            told.line, told.code,
            "must start beside the line from the first to the last point of its contour: on which side the metal lies "
            "is open",
        )  # fmt: skip
    return 1 if across > 0.0 else -1
