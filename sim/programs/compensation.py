"""Nose radius compensation (G41, G42 of ISO 6983-1): from the programmed contour to the path of the tip.

While compensation is on, the program gives the contour to be turned, and the control keeps the nose circle
on its left (G41) or right (G42), seen along the motion with z to the right and x up. The path of the
circle's centre is the contour moved aside by the nose radius, cut off at the crossing in inner corners. Round
outer ones some controls carry it on an arc about the corner; others run on along both tangents to where they
cross or, where the contour turns by more than a right angle, one nose radius on along both and straight across
(common practice, no source): the same part, but the tool reaches up to 0.41 nose radii farther out. The
programmed tip lies beside the centre by the nose radius along both axes. Compensation comes on and goes off along
a straight move, square to the next or last element of the contour (common practice, no source: controls differ in
these two moves).
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from meshes.points import Point
from sim.programs.path import Move
from sim.programs.words import ProgramError

Side = Literal["none", "left", "right"]
Corners = Literal["rolled", "intersection"]
_SAME = 1e-6  # mm


@dataclass(frozen=True, slots=True)
class Nose:
    """The cutting corner of a tool.

    Attributes
    ----------
    radius : float
        mm.
    direction : (int, int)
        Signs of (x, z) from the nose's centre to the programmed tip: (1, -1) for a boring bar, (-1, -1) for
        a tool that turns outer diameters towards the chuck, (0, 0) if the centre itself is programmed.
    """

    radius: float
    direction: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Programmed:
    """A move as programmed, the compensation that is on at its end, and the number of its tool."""

    move: Move
    side: Side
    tool: int | None = None


def compensated(
    programmed: Sequence[Programmed], noses: Mapping[int, Nose], otherwise: Nose, corners: Corners = "rolled"
) -> tuple[Move, ...]:
    """Return the moves of the programmed tip.

    Parameters
    ----------
    programmed : sequence of Programmed
        Moves in order, each starting where the one before ends.
    noses : mapping of int to Nose
        By the number of the tool.
    otherwise : Nose
        Of a tool that is not among them.
    corners : {'rolled', 'intersection'}
        How outer corners are run: on an arc about them, or on along the tangents.

    Raises
    ------
    ProgramError
        If the contour cannot be followed with this nose radius; the message names the line.
    """
    moves: list[Move] = []
    index = 0
    while index < len(programmed):
        if programmed[index].side == "none":
            moves.append(programmed[index].move)
            index += 1
            continue
        end = index
        while end < len(programmed) and programmed[end].side == programmed[index].side:
            end += 1
        leaving = programmed[end].move if end < len(programmed) else None
        change = end < len(programmed) and programmed[end].side != "none"
        if change:
            raise _error(programmed[end].move, "changes G41 to G42 or back without G40 between them")
        tool = programmed[index].tool
        for other in programmed[index + 1 : end + 1]:
            if other.tool != tool:
                raise _error(other.move, "must be ended by G40 before another tool is called")
        nose = otherwise if tool is None else noses.get(tool, otherwise)
        side = 1.0 if programmed[index].side == "left" else -1.0
        run = [one.move for one in programmed[index:end]]
        moves += _run(run, leaving, side * nose.radius, nose, corners)
        index = end + (leaving is not None)
    return tuple(moves)


def _run(run: list[Move], leaving: Move | None, offset: float, nose: Nose, corners: Corners) -> list[Move]:
    """Return the moves from the one that turns compensation on to the one that turns it off."""
    first = run[0]
    if first.centre is not None:
        raise _error(first, "turns compensation on along an arc; it must come on along a straight move")
    if leaving is not None and leaving.centre is not None:
        raise _error(leaving, "turns compensation off along an arc; it must go off along a straight move")
    tip = (nose.radius * nose.direction[0], nose.radius * nose.direction[1])
    contour = [move for move in run[1:] if not _vanishes(move, offset)]
    if not contour:
        normal = _normal(first, at_end=True)
        target = _beside(first.end, normal, offset)
        on = dataclasses.replace(first, end=_sum(target, tip))
        if leaving is None:
            return [on]
        return [on, dataclasses.replace(leaving, start=on.end)]
    centres = _joined([_aside(move, offset) for move in contour], contour, offset, corners)
    begin, end = centres[0].start, centres[-1].end
    moves = [dataclasses.replace(first, end=_sum(begin, tip))]
    moves += [_shifted(move, tip) for move in centres]
    if leaving is not None:
        moves.append(dataclasses.replace(leaving, start=_sum(end, tip)))
    return moves


def _vanishes(move: Move, offset: float) -> bool:
    """Tell whether the centre stands still: no way to go, or a fillet as tight as the nose."""
    if move.centre is None:
        return math.dist(move.start, move.end) <= _SAME
    return abs(_radius_aside(move, move.centre, offset)) <= _SAME


def _radius_aside(move: Move, centre: Point, offset: float) -> float:
    """Radius (mm) of an arc moved aside: the centre of a counter-clockwise one lies to its left."""
    return math.dist(move.start, centre) + (offset if move.clockwise else -offset)


def _aside(move: Move, offset: float) -> Move:
    """Move an element of the contour aside, to the left by `offset` (mm)."""
    start = _beside(move.start, _normal(move, at_end=False), offset)
    end = _beside(move.end, _normal(move, at_end=True), offset)
    if move.centre is not None and _radius_aside(move, move.centre, offset) <= 0.0:
        raise _error(move, "is an arc too tight for the nose radius")
    return move.placed(start, end, move.centre)


def _joined(aside: list[Move], contour: list[Move], offset: float, corners: Corners) -> list[Move]:
    """Connect neighbouring elements: round outer corners as asked, at crossings in inner ones."""
    done = [aside[0]]
    for element, original, before in zip(aside[1:], contour[1:], contour[:-1], strict=True):
        last = done[-1]
        gap = math.dist(last.end, element.start)
        turn = _turn(before, original)
        if gap <= 4.0 * _SAME:
            done.append(element.placed(last.end, element.end, element.centre))
        elif turn * offset < 0.0 or abs(turn) < 1e-12:
            # The contour turns away from the tool.
            if corners == "rolled":
                corner = dataclasses.replace(
                    original, start=last.end, end=element.start, centre=original.start, clockwise=offset > 0.0
                )
                done += [corner, element]
            else:
                done += _on_tangents(done.pop(), element, abs(offset))
        else:
            crossing = _crossing(last, element)
            if crossing is None:
                raise _error(original, "leaves no room for the nose radius in an inner corner")
            done[-1] = _cut(last, crossing, at_end=True)
            done.append(_cut(element, crossing, at_end=False))
    return done


def _on_tangents(last: Move, element: Move, radius: float) -> list[Move]:
    """Run on along the end of one element and into the next one, round an outer corner; straight ones get longer."""
    u, v = _direction(last, at_end=True), _direction(element, at_end=False)
    along = u[0] * v[0] + u[1] * v[1]
    # Half the turn's tangent; behind a right angle both go on by one radius, and straight across from there.
    share = math.sqrt(max(0.0, 1.0 - along) / (1.0 + along)) if along > 0.0 else 1.0
    a, b = _beside(last.end, u, share * radius), _beside(element.start, v, -share * radius)
    if along >= -_SAME:
        a = b = (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]))
    before = (
        [dataclasses.replace(last, end=a)]
        if last.centre is None
        else [last, dataclasses.replace(element, start=last.end, end=a, centre=None, clockwise=False)]
    )
    across = [] if a == b else [dataclasses.replace(element, start=a, end=b, centre=None, clockwise=False)]
    behind = (
        [dataclasses.replace(element, start=b)]
        if element.centre is None
        else [dataclasses.replace(element, start=b, end=element.start, centre=None, clockwise=False), element]
    )
    return [*before, *across, *behind]


def _cut(move: Move, point: Point, *, at_end: bool) -> Move:
    """Shorten an element to a point on it; an element must not be used up by that."""
    if move.centre is None:
        along = (move.end[0] - move.start[0], move.end[1] - move.start[1])
        other = move.start if at_end else move.end
        left = (point[0] - other[0], point[1] - other[1])
        if (left[0] * along[0] + left[1] * along[1]) * (1.0 if at_end else -1.0) <= 0.0:
            raise _error(move, "is too short for the nose radius in an inner corner")
    elif _angle_share(move, point) is None:
        raise _error(move, "is too short for the nose radius in an inner corner")
    return (
        move.placed(move.start, point, move.centre) if at_end else move.placed(point, move.end, move.centre)
    )


def _angle_share(move: Move, point: Point) -> float | None:
    """Share of an arc's turn at a point of its circle; None outside the arc."""
    assert move.centre is not None  # noqa: S101 - the caller asked
    angles = [math.atan2(p[0] - move.centre[0], p[1] - move.centre[1]) for p in (move.start, move.end, point)]
    sense = -1.0 if move.clockwise else 1.0
    whole = (sense * (angles[1] - angles[0])) % (2.0 * math.pi) or 2.0 * math.pi
    share = ((sense * (angles[2] - angles[0])) % (2.0 * math.pi)) / whole
    return share if 1e-9 < share < 1.0 - 1e-9 else None


def _crossing(first: Move, second: Move) -> Point | None:
    """Where two elements, made longer, cross nearest to where they should meet."""
    if first.centre is None and second.centre is None:
        points = _line_line(first, second)
    elif first.centre is None:
        points = _line_circle(first, second)
    elif second.centre is None:
        points = _line_circle(second, first)
    else:
        points = _circle_circle(first, second)
    if not points:
        return None
    return min(points, key=lambda point: math.dist(point, first.end) + math.dist(point, second.start))


def _line_line(first: Move, second: Move) -> list[Point]:
    (ax, az), (bx, bz) = first.start, first.end
    (cx, cz), (dx, dz) = second.start, second.end
    across = (bx - ax) * (dz - cz) - (bz - az) * (dx - cx)
    if abs(across) < 1e-12:
        return []
    share = ((cx - ax) * (dz - cz) - (cz - az) * (dx - cx)) / across
    return [(ax + share * (bx - ax), az + share * (bz - az))]


def _line_circle(line: Move, arc: Move) -> list[Point]:
    assert arc.centre is not None  # noqa: S101 - the caller asked
    radius = math.dist(arc.start, arc.centre)
    length = math.dist(line.start, line.end)
    ux, uz = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    px, pz = line.start[0] - arc.centre[0], line.start[1] - arc.centre[1]
    along = -(px * ux + pz * uz)
    square = radius**2 - (px * uz - pz * ux) ** 2
    if square < 0.0:
        return []
    root = math.sqrt(square)
    return [(line.start[0] + s * ux, line.start[1] + s * uz) for s in (along - root, along + root)]


def _circle_circle(first: Move, second: Move) -> list[Point]:
    assert first.centre is not None  # noqa: S101 - the caller asked
    assert second.centre is not None  # noqa: S101 - the caller asked
    r, s = math.dist(first.start, first.centre), math.dist(second.start, second.centre)
    apart = math.dist(first.centre, second.centre)
    if apart < 1e-12:
        return []
    along = (apart**2 + r**2 - s**2) / (2.0 * apart)
    square = r**2 - along**2
    if square < 0.0:
        return []
    root = math.sqrt(square)
    ux, uz = (second.centre[0] - first.centre[0]) / apart, (second.centre[1] - first.centre[1]) / apart
    foot = (first.centre[0] + along * ux, first.centre[1] + along * uz)
    return [(foot[0] - h * uz, foot[1] + h * ux) for h in (root, -root)]


def _direction(move: Move, *, at_end: bool) -> tuple[float, float]:
    """Return the unit direction (x, z) of a move at its start or end."""
    if move.centre is None:
        along = (move.end[0] - move.start[0], move.end[1] - move.start[1])
    else:
        point = move.end if at_end else move.start
        spoke = (point[0] - move.centre[0], point[1] - move.centre[1])
        # Counter-clockwise with z right and x up: the spoke (z, x) turned to the left is (-x, z).
        along = (spoke[1], -spoke[0]) if not move.clockwise else (-spoke[1], spoke[0])
    length = math.hypot(*along)
    return (0.0, 0.0) if length == 0.0 else (along[0] / length, along[1] / length)


def _normal(move: Move, *, at_end: bool) -> tuple[float, float]:
    """Return the unit normal (x, z) to the left of a move."""
    dx, dz = _direction(move, at_end=at_end)
    return dz, -dx


def _turn(before: Move, after: Move) -> float:
    """Sine of the turn from one element to the next, positive to the left."""
    ax, az = _direction(before, at_end=True)
    bx, bz = _direction(after, at_end=False)
    return az * bx - ax * bz


def _beside(point: Point, normal: tuple[float, float], offset: float) -> Point:
    return point[0] + offset * normal[0], point[1] + offset * normal[1]


def _sum(point: Point, other: tuple[float, float]) -> Point:
    return point[0] + other[0], point[1] + other[1]


def _shifted(move: Move, by: tuple[float, float]) -> Move:
    return move.placed(
        _sum(move.start, by),
        _sum(move.end, by),
        None if move.centre is None else _sum(move.centre, by),
    )


def _error(move: Move, message: str) -> ProgramError:
    return ProgramError(move.line or 0, "G41/G42", message)
