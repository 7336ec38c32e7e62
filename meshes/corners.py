"""Corners of a half section as they are stated, and the sides between them; what does not fit is refused."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from meshes.points import Point
from meshes.sides import Arc, Line, Side, area, chords, chords_of

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SAME = 1e-9  # mm within which two corners are one
SAG = 1e-6  # mm by which a radius may fall short of half the way that it spans: rounding of what was typed
FLAT = 1e-6  # rad off one line within which two sides have no corner between them


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline as it is stated.

    Attributes
    ----------
    r, z : float
        Its place, mm; of a broken corner where its sides would meet.
    arc : float
        Radius (mm) of the arc on which the outline comes here from the corner before; 0 for a straight way.
    convex : bool
        The metal bulges out along the arc; else the arc hollows it.
    longer : bool
        The arc is the longer one of the two that the radius leaves.
    chamfer, radius : float
        What breaks the corner: legs along both sides, or an arc that touches both, mm; 0 for none.
    """

    r: float
    z: float
    arc: float = 0.0
    convex: bool = True
    longer: bool = False
    chamfer: float = 0.0
    radius: float = 0.0

    @property
    def place(self) -> Point:
        """(r, z), mm."""
        return self.r, self.z

    @property
    def plain(self) -> bool:
        """It is reached on a straight line and sharp."""
        return self.arc == self.chamfer == self.radius == 0.0


@dataclass(slots=True)
class WrongCornersError(ValueError):
    """What is wrong with corners: for each mistake the corner's number from 0, what of it, and a clause."""

    mistakes: list[tuple[int, str, str]] = field(default_factory=list)

    def __str__(self) -> str:
        return "; ".join(f"corner {k + 1}: {what} {words}" for k, what, words in self.mistakes)


def sides_of(corners: Sequence[Corner]) -> tuple[Side, ...]:
    """Return the sides of a closed outline in order, the first behind its first corner.

    Raises
    ------
    WrongCornersError
        If an arc or a blend does not fit, or an arc crosses the outline or the axis.
    """
    mistakes = [*_wrong_arcs(corners), *_wrong_blends(corners)]
    if mistakes:
        raise WrongCornersError(mistakes)
    if all(one.arc == 0.0 for one in corners):
        found = _sides(corners, 1.0)
        _require_apart(found, corners)
        return found
    # The metal lies on the side of a way where it would lie if all ways were straight.
    plain = _chord_area(corners)
    arcs = [k for k, one in enumerate(corners) if one.arc]
    if abs(plain) > SAG**2:
        found = _sides(corners, math.copysign(1.0, plain))
        _require_off_the_axis(found, corners)
        _require_apart(found, corners)
        if plain * area(found) <= 0.0:
            words = "turns the outline inside out: state the other curve, or a larger radius"
            raise WrongCornersError([(arcs[0], "arc", words)])
        return found
    # Straight they would enclose nothing, as of a ball: what the arcs alone leave, if that is one outline.
    made = [(sense, _sides(corners, sense)) for sense in (1.0, -1.0)]
    right = [
        sides
        for sense, sides in made
        if sense * area(sides) > 0.0 and _off_the_axis(sides) and _simple(sides)
    ]
    if len(right) != 1:
        words = "leaves open on which side of it the metal lies: state a further corner beside it"
        raise WrongCornersError([(arcs[0], "arc", words)])
    return right[0]


def _wrong_arcs(corners: Sequence[Corner]) -> list[tuple[int, str, str]]:
    found = []
    for k, one in enumerate(corners):
        if not one.arc:
            continue
        way = math.dist(corners[k - 1].place, one.place)
        if way <= SAME:
            found.append((k, "arc", "must run between two corners that stand apart, found both at one place"))
        elif one.arc < 0.5 * way - SAG:
            words = f"must be at least {0.5 * way:.4g} mm, half the way from the corner before, found {one.arc:g} mm"
            found.append((k, "arc", words))
    return found


def _wrong_blends(corners: Sequence[Corner]) -> list[tuple[int, str, str]]:
    found = []
    count = len(corners)
    taken = {}
    for k, one in enumerate(corners):
        what, size = ("chamfer", one.chamfer) if one.chamfer else ("radius", one.radius)
        if not size:
            continue
        if one.arc or corners[(k + 1) % count].arc:
            found.append((k, what, "must stand between two straight sides, found an arc beside it"))
            continue
        if one.r <= SAME:
            found.append((k, what, "must be none on the spindle axis, found a corner with r = 0 mm"))
            continue
        turn = _between(corners, k)
        if turn is None:
            found.append((k, what, "must break a corner, found both its sides in one line"))
            continue
        taken[k] = size if one.chamfer else size / math.tan(0.5 * turn)
    for k, reach in taken.items():
        what = "chamfer" if corners[k].chamfer else "radius"
        for other in ((k - 1) % count, (k + 1) % count):
            room = math.dist(corners[k].place, corners[other].place) - taken.get(other, 0.0)
            if reach > room + SAG:
                left = "that the blend at its other end leaves" if other in taken else "that the side has"
                words = f"must fit on its sides: it takes {reach:.4g} mm of {max(room, 0.0):.4g} mm {left}"
                found.append((k, what, words))
                break
    return found


def _between(corners: Sequence[Corner], k: int) -> float | None:
    """Return the angle between both straight sides of a corner, rad; None where they make one line or none."""
    here, before, after = corners[k].place, corners[k - 1].place, corners[(k + 1) % len(corners)].place
    one, other = (before[0] - here[0], before[1] - here[1]), (after[0] - here[0], after[1] - here[1])
    if math.hypot(*one) <= SAME or math.hypot(*other) <= SAME:
        return None
    turn = abs(math.atan2(one[0] * other[1] - one[1] * other[0], one[0] * other[0] + one[1] * other[1]))
    return turn if FLAT < turn < math.pi - FLAT else None


def _sides(corners: Sequence[Corner], sense: float) -> tuple[Side, ...]:
    """Return the sides where the outline runs counter-clockwise (`sense` 1, metal on the left) or clockwise (-1)."""
    broken = [_blend(corners, k) for k in range(len(corners))]
    found: list[Side] = []
    for k, made in enumerate(broken):
        if isinstance(made, Line | Arc):
            found.append(made)
        start = made if isinstance(made, tuple) else made.end
        into, next_one = broken[(k + 1) % len(corners)], corners[(k + 1) % len(corners)]
        end = into if isinstance(into, tuple) else into.start
        if next_one.arc:
            found.append(_arc(start, end, next_one, sense))
        elif math.dist(start, end) > SAME:
            found.append(Line(start, end))
    return tuple(found)


def _arc(start: Point, end: Point, to: Corner, sense: float) -> Arc:
    way = math.dist(start, end)
    left = sense * (1.0 if to.convex else -1.0)  # + where the way turns to its left, towards z from r
    half = math.asin(min(1.0, 0.5 * way / to.arc))
    turn = left * 2.0 * (math.pi - half if to.longer else half)
    # The centre stands left of the chord where the way turns left by less than half a turn.
    off = math.sqrt(max(0.0, to.arc**2 - 0.25 * way**2)) * left * (-1.0 if to.longer else 1.0) / way
    r, z = end[0] - start[0], end[1] - start[1]
    return Arc(start, end, (0.5 * (start[0] + end[0]) - off * z, 0.5 * (start[1] + end[1]) + off * r), turn)


def _blend(corners: Sequence[Corner], k: int) -> Point | Side:
    """Return what stands at a corner: itself, the line of its chamfer, or the arc that touches both sides."""
    one = corners[k]
    turn = _between(corners, k) if one.chamfer or one.radius else None
    if turn is None:
        return one.place
    before, after = corners[k - 1].place, corners[(k + 1) % len(corners)].place
    reach = one.chamfer or one.radius / math.tan(0.5 * turn)
    start, end = _along(one.place, before, reach), _along(one.place, after, reach)
    if one.chamfer:
        return Line(start, end)
    middle = 0.5 * (start[0] + end[0]), 0.5 * (start[1] + end[1])
    away = math.hypot(one.radius, reach)
    centre = _along(one.place, middle, away)
    u, v = (start[0] - centre[0], start[1] - centre[1]), (end[0] - centre[0], end[1] - centre[1])
    return Arc(start, end, centre, math.copysign(math.pi - turn, u[0] * v[1] - u[1] * v[0]))


def _along(here: Point, there: Point, size: float) -> Point:
    share = size / math.dist(here, there)
    return here[0] + share * (there[0] - here[0]), here[1] + share * (there[1] - here[1])


def _chord_area(corners: Sequence[Corner]) -> float:
    places = [one.place for one in corners]
    return 0.5 * math.fsum(a * d - b * c for (a, b), (c, d) in pairwise((*places, places[0])))


def _simple(sides: Sequence[Side]) -> bool:
    import shapely

    return bool(shapely.Polygon(chords(sides)).is_valid)


def _off_the_axis(sides: Sequence[Side]) -> bool:
    return all(_inmost(side) >= -SAG for side in sides)


def _inmost(side: Side) -> float:
    """Return the least radius about the spindle axis that an arc reaches between its ends, mm; 0 for none."""
    found = side.extreme(math.pi) if isinstance(side, Arc) else None
    return 0.0 if found is None else found[0]


def _require_off_the_axis(sides: Sequence[Side], corners: Sequence[Corner]) -> None:
    """Refuse an arc that reaches across the spindle axis."""
    for side in sides:
        if _inmost(side) < -SAG:
            words = f"must keep to r >= 0 mm, found that it reaches r = {_inmost(side):.4g} mm"
            raise WrongCornersError([(_nearest(side, corners), "arc", words)])


def _require_apart(sides: Sequence[Side], corners: Sequence[Corner]) -> None:
    """Refuse an arc or blend that crosses another side or touches it."""
    import shapely

    ring = chords(sides)
    if shapely.Polygon(ring).is_valid:
        return
    named = [n for n, side in enumerate(sides) if isinstance(side, Arc)] or range(len(sides))
    runs = [shapely.LineString(chords_of(side)) for side in sides]
    for n in named:
        for m, other in enumerate(runs):
            if m == n:
                continue
            shared = shapely.intersection(runs[n], other)
            ends = [sides[n].start, sides[n].end] if abs(m - n) in (1, len(runs) - 1) else []
            met = [p for p in _points(shared) if all(math.dist(p, end) > SAG for end in ends)]
            if not met:
                continue
            r, z = met[0]
            k = _nearest(sides[n], corners)
            what = "arc" if corners[k].arc else "radius" if corners[k].radius else "chamfer"
            words = f"must not meet another side of the outline, found that it does at r = {r:.4g}, z = {z:.4g} mm"
            raise WrongCornersError([(k, what, words)])


def _points(shape: BaseGeometry) -> list[Point]:
    import shapely

    return [(float(r), float(z)) for r, z in shapely.get_coordinates(shape)]


def _nearest(side: Side, corners: Sequence[Corner]) -> int:
    """Return which corner states a side: the one that its arc leads to, else the nearest that is broken."""
    led = [k for k, one in enumerate(corners) if one.arc and math.dist(one.place, side.end) <= SAME]
    broken = [k for k, one in enumerate(corners) if not one.plain] or [0]
    middle = side.at(0.5) if isinstance(side, Arc) else side.start
    return led[0] if led else min(broken, key=lambda k: math.dist(corners[k].place, middle))
