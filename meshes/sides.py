"""Sides of a turned part's half section: straight lines and arcs, and the chords that stand for arcs.

Chords are volume-true, as facets are in `meshes.revolve`: the corners between the ends of an arc stand so far off it,
along its radius, that the solid of revolution has exactly the volume that the arc's has (Pappus). They and the middles
of the chords are off the arc by `OFF` at most. Ends of an arc, and where a blend touches its sides, are exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from meshes.points import Point

OFF = 0.005  # mm by which chords and their corners may be off the arc that they stand for


@dataclass(frozen=True, slots=True)
class Line:
    """A straight side from corner to corner, (r, z) in mm."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """How long it is, mm."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Arc:
    """A side along a circle.

    Attributes
    ----------
    start, end, centre : (r, z)
        mm.
    turn : float
        From start to end about the centre, rad, + from r towards z.
    """

    start: Point
    end: Point
    centre: Point
    turn: float

    @property
    def radius(self) -> float:
        """Of the arc, mm."""
        return math.dist(self.centre, self.start)

    @property
    def first(self) -> float:
        """Direction from the centre to the start, rad from r towards z."""
        return math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])

    def at(self, share: float, off: float = 0.0) -> Point:
        """Return the point at a share of the turn (no unit), `off` mm outside of the circle."""
        angle, size = self.first + share * self.turn, self.radius + off
        return self.centre[0] + size * math.cos(angle), self.centre[1] + size * math.sin(angle)

    def extreme(self, direction: float) -> Point | None:
        """Return the point that lies farthest in a direction (rad), between the ends; None if an end does."""
        turned = (
            (direction - self.first) % math.tau if self.turn > 0.0 else (self.first - direction) % math.tau
        )
        return self.at(turned / abs(self.turn)) if turned < abs(self.turn) else None

    def normal(self, point: Point) -> Point:
        """Return the direction from the centre to a point on the arc, of length one."""
        away = math.dist(self.centre, point)
        return (point[0] - self.centre[0]) / away, (point[1] - self.centre[1]) / away

    def radii_at(self, z: float) -> tuple[float, ...]:
        """Return the radii (mm about the spindle axis) at which it passes a height, ends included."""
        up = z - self.centre[1]
        if abs(up) > self.radius:
            return ()
        across = math.sqrt(self.radius**2 - up**2)
        found = []
        for sign in (1.0, -1.0) if across > 0.0 else (1.0,):
            angle = math.atan2(up, sign * across)
            turned = (angle - self.first) % math.tau if self.turn > 0.0 else (self.first - angle) % math.tau
            if turned <= abs(self.turn) + 1e-12 or math.tau - turned < 1e-12:
                found.append(self.centre[0] + sign * across)
        return tuple(sorted(found))


Side = Line | Arc


# Chords


def chords(sides: Sequence[Side]) -> tuple[Point, ...]:
    """Return the corners of an outline with its arcs in volume-true chords, first point not repeated."""
    return tuple(point for side in sides for point in chords_of(side)[:-1])


def curved(sides: Sequence[Side]) -> tuple[bool, ...]:
    """Return of each edge of `chords` whether it stands for a piece of an arc."""
    return tuple(isinstance(side, Arc) for side in sides for _ in chords_of(side)[:-1])


def chords_of(side: Side) -> list[Point]:
    """Return the points of a side, both ends included."""
    if isinstance(side, Line):
        return [side.start, side.end]
    count = 2
    while _even(side, count) > OFF:
        count = max(count + 1, int(count * min(2.0, math.sqrt(_even(side, count) / OFF))))
    off = _true_off(side, count)
    while off > OFF:  # near the axis a little more than far from it
        count += 1
        off = _true_off(side, count)
    inner = [side.at(k / count, off) for k in range(1, count)]
    return [side.start, *((max(0.0, r), z) for r, z in inner), side.end]


def _even(side: Arc, count: int) -> float:
    """Return how far (mm) corners stand off an arc far from the axis whose chords hold its area, ends excepted."""
    sag = side.radius * (1.0 - math.cos(0.5 * side.turn / count))
    return 2.0 / 3.0 * sag * count / (count - 1)


def _true_off(side: Arc, count: int) -> float:
    """Return how far (mm) the corners between the ends must stand off an arc for its chords to hold its volume."""
    aim = moment(side)

    def missing(off: float) -> float:
        points = [side.start, *(side.at(k / count, off) for k in range(1, count)), side.end]
        return math.fsum(moment(Line(a, b)) for a, b in pairwise(points)) - aim

    low, high = 0.0, _even(side, count)
    at_low, at_high = missing(low), missing(high)
    for _ in range(20):
        if abs(high - low) < 1e-13 or at_high == at_low:
            break
        low, high, at_low = high, high - at_high * (high - low) / (at_high - at_low), at_high
        at_high = missing(high)
    return high if abs(high) <= 4.0 * OFF else _even(side, count)


# Closed forms


def moment(side: Side) -> float:
    """Return the integral of r^2/2 dz along a side, mm3: 2 pi times it, around an outline, is the solid's volume."""
    if isinstance(side, Line):
        (a, z0), (b, z1) = side.start, side.end
        return (a * a + a * b + b * b) / 6.0 * (z1 - z0)
    c, radius = side.centre[0], side.radius
    found = []
    for t in (side.first, side.first + side.turn):
        s = math.sin(t)
        found.append(
            c * c * s + 2.0 * c * radius * (0.5 * t + 0.25 * math.sin(2.0 * t)) + radius**2 * (s - s**3 / 3.0)
        )
    return 0.5 * radius * (found[1] - found[0])


def volume(sides: Sequence[Side]) -> float:
    """Return the volume (mm3) of the solid of revolution about r = 0, exactly; either sense of the outline."""
    return abs(math.tau * math.fsum(map(moment, sides)))


def area(sides: Sequence[Side]) -> float:
    """Return the area within an outline, mm2, exactly; + where it runs counter-clockwise in (r, z)."""
    found = []
    for side in sides:
        (a, b), (c, d) = side.start, side.end
        found.append(0.5 * (a * d - b * c))
        if isinstance(side, Arc):  # the segment between chord and arc
            found.append(0.5 * side.radius**2 * (side.turn - math.sin(side.turn)))
    return math.fsum(found)
