"""Straight lines and circles in a plane, cut where they meet, and the cells between them: mm, rad."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from meshes.points import Point

SAME = 1e-7  # mm within which two points are one


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight line from one point to another."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Of the line, mm."""
        return math.dist(self.start, self.end)

    def at(self, along: float) -> Point:
        """Return the point so many mm from the start."""
        share = along / self.length
        return (
            self.start[0] + share * (self.end[0] - self.start[0]),
            self.start[1] + share * (self.end[1] - self.start[1]),
        )

    def heading(self, along: float) -> float:  # noqa: ARG002  a line heads the same everywhere
        """Return the angle to x in which it goes."""
        return math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])

    @property
    def bend(self) -> float:
        """One over its radius, 1/mm."""
        return 0.0


@dataclass(frozen=True, slots=True)
class Round:
    """A full circle, counter-clockwise; places on it are angles to x.

    Attributes
    ----------
    centre : Point
        mm
    radius : float
        mm
    """

    centre: Point
    radius: float

    def at(self, turn: float) -> Point:
        """Return the point at an angle."""
        return (
            self.centre[0] + self.radius * math.cos(turn),
            self.centre[1] + self.radius * math.sin(turn),
        )

    def heading(self, turn: float) -> float:
        """Return the angle to x in which it goes at a place."""
        return turn + 0.5 * math.pi

    @property
    def bend(self) -> float:
        """One over its radius, 1/mm."""
        return 1.0 / self.radius


Curve: TypeAlias = Straight | Round


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a curve between two points.

    Attributes
    ----------
    curve : int
        Number of the curve.
    start, end : int
        Numbers of the points.
    low, high : float
        Their places on the curve: mm along a line, rad about a circle.
    """

    curve: int
    start: int
    end: int
    low: float
    high: float

    @property
    def middle(self) -> float:
        """Place of its middle on the curve."""
        return 0.5 * (self.low + self.high)


Side: TypeAlias = tuple[int, bool]  # a piece by its number, walked forward or not; what lies left of it


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Curves cut into pieces, and the cells that these bound.

    Attributes
    ----------
    curves : tuple of Curve
    points : tuple of Point
        mm
    pieces : tuple of Piece
    cells : tuple of tuple of tuple of Side
        Of each cell its outer border first, counter-clockwise, then those of what stands in it, clockwise.
    """

    curves: tuple[Curve, ...]
    points: tuple[Point, ...]
    pieces: tuple[Piece, ...]
    cells: tuple[tuple[tuple[Side, ...], ...], ...]

    def beside(self, side: Side, off: float) -> Point:
        """Return the point at a distance (mm) to the left of a side's middle."""
        piece = self.pieces[side[0]]
        curve = self.curves[piece.curve]
        x, y = curve.at(piece.middle)
        left = curve.heading(piece.middle) + (0.5 * math.pi if side[1] else -0.5 * math.pi)
        return x + off * math.cos(left), y + off * math.sin(left)


def cells(curves: tuple[Curve, ...]) -> Cells:
    """Cut curves where they meet and return the cells between them; straight lines meet at their ends only."""
    points: list[Point] = []
    pieces: list[Piece] = []
    for number, curve in enumerate(curves):
        places = sorted(_places(number, curves))
        for low, high in _steps(curve, places):
            start, end = (_number(points, curve.at(place)) for place in (low, high))
            pieces.append(Piece(number, start, end, low, high))
    return Cells(curves, tuple(points), tuple(pieces), _traced(curves, pieces))


def without(found: Cells, dropped: frozenset[int]) -> Cells:
    """Return the cells that the pieces bound which are not dropped."""
    pieces = [piece for number, piece in enumerate(found.pieces) if number not in dropped]
    return Cells(found.curves, found.points, tuple(pieces), _traced(found.curves, pieces))


def _places(number: int, curves: tuple[Curve, ...]) -> Iterator[float]:
    own = curves[number]
    if isinstance(own, Straight):
        yield from (0.0, own.length)
    for other_number, other in enumerate(curves):
        if other_number == number:
            continue
        for point in _meeting(own, other):
            place = _place(own, point)
            if isinstance(own, Round) or 0.0 < place < own.length:
                yield place


def _place(curve: Curve, point: Point) -> float:
    if isinstance(curve, Round):
        return math.atan2(point[1] - curve.centre[1], point[0] - curve.centre[0]) % (2.0 * math.pi)
    dx, dy = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
    return ((point[0] - curve.start[0]) * dx + (point[1] - curve.start[1]) * dy) / curve.length


def _steps(curve: Curve, places: list[float]) -> Iterator[tuple[float, float]]:
    """Yield the ends of a curve's pieces; a circle that meets nothing once is cut in two."""
    size = curve.radius if isinstance(curve, Round) else 1.0
    apart: list[float] = []
    for place in places:
        if not apart or (place - apart[-1]) * size > SAME:
            apart.append(place)
    if isinstance(curve, Straight):
        if len(apart) > 1 and curve.length - apart[-1] < SAME:
            apart[-1] = curve.length
        yield from pairwise(apart)
        return
    if len(apart) > 1 and (apart[0] + 2.0 * math.pi - apart[-1]) * size <= SAME:
        apart.pop()
    if not apart:
        apart = [0.0]
    if len(apart) == 1:
        apart.append(apart[0] + math.pi)
    yield from pairwise([*apart, apart[0] + 2.0 * math.pi])


def _meeting(one: Curve, other: Curve) -> list[Point]:
    if isinstance(one, Round) and isinstance(other, Round):
        return _two_circles(one, other)
    if isinstance(one, Straight) and isinstance(other, Round):
        return _line_and_circle(one, other)
    if isinstance(one, Round) and isinstance(other, Straight):
        return _line_and_circle(other, one)
    return []


def _two_circles(one: Round, other: Round) -> list[Point]:
    dx, dy = other.centre[0] - one.centre[0], other.centre[1] - one.centre[1]
    far = math.hypot(dx, dy)
    if far < SAME or not abs(one.radius - other.radius) - SAME < far < one.radius + other.radius + SAME:
        return []
    along = (one.radius**2 - other.radius**2 + far**2) / (2.0 * far)
    half = math.sqrt(max(0.0, one.radius**2 - along**2))
    x, y = one.centre[0] + along * dx / far, one.centre[1] + along * dy / far
    return [(x - sign * half * dy / far, y + sign * half * dx / far) for sign in (-1.0, 1.0)]


def _line_and_circle(line: Straight, circle: Round) -> list[Point]:
    length = line.length
    ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    along = (circle.centre[0] - line.start[0]) * ux + (circle.centre[1] - line.start[1]) * uy
    off = (circle.centre[0] - line.start[0]) * uy - (circle.centre[1] - line.start[1]) * ux
    if abs(off) > circle.radius + SAME:
        return []
    half = math.sqrt(max(0.0, circle.radius**2 - off**2))
    return [
        (line.start[0] + s * ux, line.start[1] + s * uy)
        for s in (along - half, along + half)
        if -SAME <= s <= length + SAME
    ]


def _number(points: list[Point], point: Point) -> int:
    for number, known in enumerate(points):
        if math.dist(known, point) < 4.0 * SAME:
            return number
    points.append(point)
    return len(points) - 1


def _traced(curves: tuple[Curve, ...], pieces: list[Piece]) -> tuple[tuple[tuple[Side, ...], ...], ...]:
    """Return the borders of each cell: half pieces that follow each other with the cell on their left."""
    leaving: dict[int, list[tuple[float, float, Side]]] = {}
    for number, piece in enumerate(pieces):
        curve = curves[piece.curve]
        ways = (
            (piece.start, curve.heading(piece.low), curve.bend, True),
            (piece.end, curve.heading(piece.high) + math.pi, -curve.bend, False),
        )
        for point, heading, bend, forward in ways:
            turn = round(heading % (2.0 * math.pi), 7) % round(2.0 * math.pi, 7)
            leaving.setdefault(point, []).append((turn, bend, (number, forward)))
    before: dict[Side, Side] = {}
    for ways_out in leaving.values():
        around = [side for _, _, side in sorted(ways_out)]
        for place, side in enumerate(around):
            before[side] = around[place - 1]
    borders: list[tuple[Side, ...]] = []
    seen: set[Side] = set()
    for first in before:
        border: list[Side] = []
        side = first
        while side not in seen:
            seen.add(side)
            border.append(side)
            side = before[side[0], not side[1]]
        if border:
            borders.append(tuple(border))
    return _nested(curves, pieces, borders)


def _nested(
    curves: tuple[Curve, ...], pieces: list[Piece], borders: list[tuple[Side, ...]]
) -> tuple[tuple[tuple[Side, ...], ...], ...]:
    """Return each outer border with those of what stands in it; what is outside of all is left out."""
    drawn = [outline(curves, pieces, border) for border in borders]
    areas = [area(one) for one in drawn]
    outer = [number for number, size in enumerate(areas) if size > 0.0]
    inside: dict[int, list[tuple[Side, ...]]] = {number: [borders[number]] for number in outer}
    for number, size in enumerate(areas):
        if size > 0.0:
            continue
        around = [n for n in outer if areas[n] > -size + SAME and _within(drawn[number][0], drawn[n])]
        if around:
            inside[min(around, key=lambda n: areas[n])].append(borders[number])
    return tuple(tuple(found) for found in inside.values())


def outline(curves: tuple[Curve, ...], pieces: list[Piece], border: tuple[Side, ...]) -> list[Point]:
    """Return points along a border, for areas' signs and what lies in what."""
    found: list[Point] = []
    for number, forward in border:
        piece = pieces[number]
        steps = 64 if isinstance(curves[piece.curve], Round) else 1
        low, high = (piece.low, piece.high) if forward else (piece.high, piece.low)
        found += [curves[piece.curve].at(low + (high - low) * n / steps) for n in range(steps)]
    return found


def area(points: list[Point]) -> float:
    """Return the area (mm2) in a closed line, negative where it goes clockwise."""
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]]))


def _within(point: Point, outline_of: list[Point]) -> bool:
    x, y = point
    inside = False
    for (x0, y0), (x1, y1) in pairwise([*outline_of, outline_of[0]]):
        if (y0 > y) != (y1 > y) and x < x0 + (x1 - x0) * (y - y0) / (y1 - y0):
            inside = not inside
    return inside
