"""Chamfers and roundings between two straight blocks, and a straight block whose end lies at an angle.

``,C`` cuts a corner off along a line that leaves both blocks at the same distance from it; ``,R`` puts an arc in that
touches both; ``,A`` is the angle of a line, counter-clockwise from z with x up (common practice, no source). Lengths
are those of the half section: none is a diameter.
"""

from __future__ import annotations

import dataclasses
import math
from typing import Literal, NamedTuple

from meshes.points import Point
from sim.programs.compensation import Programmed
from sim.programs.path import Move
from sim.programs.words import Block, ProgramError, Word

_NONE = 1e-9  # mm, left of a line
_STRAIGHT = 1e-6  # sine of a turn that is none


class Corner(NamedTuple):
    """What lies between a block and the next one.

    Attributes
    ----------
    kind : {'chamfer', 'rounding'}
    size : float
        Distance of a chamfer's ends from the corner, or radius, mm; greater than 0.
    towards : int
        Sign of the next block's way across this one, where the word says it; 0 where not.
    line : int
    text : str
        Of the word.
    """

    kind: Literal["chamfer", "rounding"]
    size: float
    towards: int
    line: int
    text: str

    def error(self, message: str) -> ProgramError:
        """Return the error that names its word."""
        return ProgramError(self.line, self.text, message)


def cornered(before: Programmed, own: list[Programmed], corner: Corner, line: int) -> list[Programmed]:
    """Return the move before a corner, the corner, and the move behind it.

    Parameters
    ----------
    before : Programmed
        The move of the block that the corner's word stands in.
    own : list of Programmed
        Moves of the next block.
    corner : Corner
    line : int
        Of the next block.

    Raises
    ------
    ProgramError
        If that is not one straight move at feed, if it goes straight on or back, or if there is no room.
    """
    first = before.move
    if _length(first) <= _NONE:
        raise corner.error(f"has no room: the corner before it uses line {first.line} up")
    second = own[0].move if len(own) == 1 else None
    if second is None or second.kind != "feed" or second.centre is not None or _length(second) <= _NONE:
        raise corner.error(f"needs a straight move by G1 in the next block, line {line}, to lie between")
    u, v = _direction(first), _direction(second)
    turn = math.atan2(u[1] * v[0] - u[0] * v[1], u[0] * v[0] + u[1] * v[1])  # positive to the left
    if abs(math.sin(turn)) < _STRAIGHT:
        raise corner.error(f"has no corner to lie in: line {line} goes straight on or back")
    _require_way(corner, u, v)
    reach = corner.size if corner.kind == "chamfer" else corner.size * math.tan(0.5 * abs(turn))
    for move in (first, second):
        if reach > _length(move) + _NONE:
            raise corner.error(
                f"takes {reach:.4f} mm of the {_length(move):.4f} mm that are left of line {move.line}; it must fit"
            )
    a, b = _along(first.end, u, -reach), _along(second.start, v, reach)
    centre = None
    if corner.kind == "rounding":
        left = 1.0 if turn > 0.0 else -1.0
        centre = _along(a, (u[1], -u[0]), left * corner.size)
    between = dataclasses.replace(
        first, start=a, end=b, centre=centre, clockwise=centre is not None and turn < 0.0,
        speed=_higher(first.speed, second.speed), feed=_higher(first.feed, second.feed),
    )  # fmt: skip
    # What two corners leave nothing of is no move; with compensation its side still counts.
    used_up = before.side == "none" and math.dist(first.start, a) <= _NONE
    return [
        *([] if used_up else [dataclasses.replace(before, move=dataclasses.replace(first, end=a))]),
        dataclasses.replace(before, move=between),
        dataclasses.replace(own[0], move=dataclasses.replace(second, start=b)),
    ]


def _require_way(corner: Corner, u: Point, v: Point) -> None:
    """Refuse a sign that says another way than the next block goes."""
    if corner.towards == 0:
        return
    if max(map(abs, u)) < 1.0 - _STRAIGHT:
        raise corner.error("has a sign, which says the next block's way behind a block along one axis only")
    across = v[1] if abs(u[0]) > 0.5 else v[0]
    if across * corner.towards <= 0.0:
        raise corner.error("has a sign that says another way than the next block goes")


def at_angle(block: Block, word: Word, start: Point, end: Point, *, x: bool, z: bool) -> Point:
    """Return the end of a line by one coordinate and its angle.

    Parameters
    ----------
    block : Block
    word : Word
        The angle, deg.
    start, end : (x, z)
        mm; of the end that coordinate counts which the block gives.
    x, z : bool
        Which that is.

    Raises
    ------
    ProgramError
        If the block gives both coordinates or none, or if the line never comes there.
    """
    if x == z:
        raise ProgramError(
            block.line, word.text, "is the angle of a line and needs X or Z beside it, not both and not none"
        )
    angle = math.radians(word.value)
    dx, dz = end[0] - start[0], end[1] - start[1]
    if abs(math.sin(angle) if x else math.cos(angle)) < _STRAIGHT or (dx if x else dz) == 0.0:
        axis = "X" if x else "Z"
        raise ProgramError(
            block.line, word.text, f"is the angle of a line that does not come to another {axis}"
        )
    return (end[0], start[1] + dx / math.tan(angle)) if x else (start[0] + dz * math.tan(angle), end[1])


def _higher(first: float | None, second: float | None) -> float | None:
    """Return the larger of two figures; None if one is not known."""
    return None if first is None or second is None else max(first, second)


def _length(move: Move) -> float:
    return math.dist(move.start, move.end)


def _direction(move: Move) -> Point:
    length = _length(move)
    return (move.end[0] - move.start[0]) / length, (move.end[1] - move.start[1]) / length


def _along(point: Point, way: Point, by: float) -> Point:
    return point[0] + by * way[0], point[1] + by * way[1]
