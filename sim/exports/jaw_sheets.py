"""A bored soft jaw over its plan: between which heights there is metal over each point. Jaw frame, mm.

Heights are those of level planes and of cones about the lines that were the spindle's axis while the jaw was turned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import shapely

from meshes import soft_jaw
from meshes.points import Point
from meshes.sector import sector_radius
from meshes.soft_jaw import SoftJawBlank
from sim.base.arrays import Floats
from sim.base.errors import NotAvailableError
from sim.exports.plan_curves import SAME, Cells, Curve, Round, Side, Straight, cells, without

BESIDE = 1e-5  # mm beside a line at which one looks what there is
_DIGITS = 9  # of a length in mm that count
NOT_EXACT = (
    "no STEP file of the jaw: a chamfer or a relief groove runs into a screw hole, a counterbore or what was bored "
    "before, where its edge is no exact curve; its STL and 3MF files stand for it"
)


@dataclass(frozen=True, slots=True)
class Level:
    """A plane at a height, mm."""

    z: float

    def over(self, point: Point) -> float:  # noqa: ARG002  the same everywhere
        """Return its height over a point."""
        return self.z


@dataclass(frozen=True, slots=True)
class Cone:
    """A cone about a line along z: `apex` is the height of its tip, `rise` how much it rises for 1 mm of radius."""

    centre: Point
    apex: float
    rise: float

    def over(self, point: Point) -> float:
        """Return its height over a point."""
        return self.apex + self.rise * math.dist(point, self.centre)


Sheet: TypeAlias = Level | Cone
Stack: TypeAlias = tuple[tuple[Sheet, Sheet], ...]  # from where to where there is metal, from below


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """What was turned out about one line.

    Attributes
    ----------
    centre : Point
        Place of the line, mm.
    borders : tuple of (Point, Point)
        Straight (r, z) borders of what went, mm.
    radii : tuple of float
        Of their corners, mm.
    """

    centre: Point
    borders: tuple[tuple[Point, Point], ...]
    radii: tuple[float, ...]

    def taken(self, point: Point) -> list[tuple[Sheet, Sheet]]:
        """Return between which sheets it takes the metal over a point."""
        radius = math.dist(point, self.centre)
        found: list[tuple[float, Sheet]] = []
        for (r0, z0), (r1, z1) in self.borders:
            if min(r0, r1) < radius < max(r0, r1):
                sheet = self._sheet((r0, z0), (r1, z1))
                found.append((sheet.over(point), sheet))
        ordered = [sheet for _, sheet in sorted(found, key=lambda one: one[0])]
        return list(zip(ordered[::2], ordered[1::2], strict=True))

    def _sheet(self, low: Point, high: Point) -> Sheet:
        if abs(high[1] - low[1]) < SAME:
            return Level(low[1])
        rise = (high[1] - low[1]) / (high[0] - low[0])
        return Cone(self.centre, round(low[1] - rise * low[0], _DIGITS), round(rise, 12))


@dataclass(frozen=True, slots=True, eq=False)
class JawPlan:
    """A jaw's plan in cells, over each of which the metal has the same borders below and above.

    Attributes
    ----------
    cells : Cells
    stacks : tuple of Stack
        Of each cell.
    """

    cells: Cells
    stacks: tuple[Stack, ...]


def jaw_plan(blank: SoftJawBlank, turned: tuple[tuple[float, Floats], ...]) -> JawPlan:
    """Return the plan of a jaw.

    Parameters
    ----------
    blank : SoftJawBlank
    turned : tuple of (float, (n, 2) array)
        Radius of the inner end while it was turned, and the (r, z) outline that went, mm.

    Raises
    ------
    NotAvailableError
        If a cone passes through what is not about its own axis, or a place is too slim to be told from others.
    """
    about = _turned(turned, blank.height)
    holes = [
        Round((at, 0.0), 0.5 * d) for at in blank.screws for d in (blank.counterbore_diameter, blank.hole_diameter)
    ]  # fmt: skip
    rims = [Round(one.centre, radius) for one in about for radius in one.radii]
    sides = _sides(blank)
    curves: tuple[Curve, ...] = (*sides, *holes, *rims)
    found = cells(curves)
    outside = frozenset(
        number
        for number, piece in enumerate(found.pieces)
        if not _within(blank, curves[piece.curve].at(piece.middle), sides)
    )
    found = without(found, outside)
    stacks = tuple(_stack_of(borders, found, blank, about) for borders in found.cells)
    return JawPlan(found, stacks)


def _turned(turned: tuple[tuple[float, Floats], ...], height: float) -> tuple[Turned, ...]:
    """Return what went about each line, all outlines about the same one put together, the jaw's height only."""
    by_place: dict[float, list[shapely.Polygon]] = {}
    for inner, outline in turned:
        by_place.setdefault(round(inner, _DIGITS), []).append(shapely.Polygon(outline))
    found = []
    for inner, outlines in by_place.items():
        whole = shapely.union_all(outlines)
        far = float(whole.bounds[2]) + 1.0
        # Radii below nothing: so the axis is no border of what went.
        whole = shapely.intersection(whole, shapely.box(-1.0, 0.0, far, height))
        borders, radii = [], set()
        for polygon in shapely.get_parts(whole):
            for ring in (polygon.exterior, *polygon.interiors):
                corners = [(round(r, _DIGITS), round(z, _DIGITS)) for r, z in ring.coords]
                radii |= {r for r, _ in corners if r > 0.0}
                borders += [(a, b) for a, b in pairwise(corners) if abs(a[0] - b[0]) > SAME]
        found.append(Turned((-inner, 0.0), tuple(borders), _apart(radii)))
    return tuple(found)


def _apart(radii: set[float]) -> tuple[float, ...]:
    found: list[float] = []
    for radius in sorted(radii):
        if not found or radius - found[-1] > 4.0 * SAME:
            found.append(radius)
    return tuple(found)


def _sides(blank: SoftJawBlank) -> tuple[Curve, ...]:
    """Return the outline of the blank from the top; a sector's round end as the whole circle that it is part of."""
    tip, side, length = 0.5 * blank.tip_width, 0.5 * blank.width, blank.length
    if blank.sector_angle is None:
        flank = soft_jaw.flank_length(blank)
        corners = [(0.0, -tip), (flank, -side), (length, -side), (length, side), (flank, side), (0.0, tip)]
        if flank == 0.0:
            corners = [(0.0, -side), (length, -side), (length, side), (0.0, side)]
        return tuple(Straight(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
    radius = sector_radius(length, blank.tip_width, blank.sector_angle)
    half = 0.5 * blank.sector_angle
    out = length - radius * (1.0 - math.cos(half)), radius * math.sin(half)
    return (
        Straight((0.0, tip), (0.0, -tip)),
        Straight((0.0, -tip), (out[0], -out[1])),
        Straight(out, (0.0, tip)),
        Round((length - radius, 0.0), radius),
    )


def _within(blank: SoftJawBlank, point: Point, sides: tuple[Curve, ...]) -> bool:
    """Tell whether a point lies in the blank's plan or on its edge; the plan has no hollow: all sides have it left."""
    for side in sides:
        if isinstance(side, Round):
            if math.dist(point, side.centre) > side.radius + SAME:
                return False
            continue
        dx, dy = side.end[0] - side.start[0], side.end[1] - side.start[1]
        if (dx * (point[1] - side.start[1]) - dy * (point[0] - side.start[0])) / side.length < -SAME:
            return False
    return -SAME <= point[0] <= blank.length + SAME


def _stack_of(
    borders: tuple[tuple[Side, ...], ...], found: Cells, blank: SoftJawBlank, about: tuple[Turned, ...]
) -> Stack:
    """Return the stack over a cell, looked at beside all of its sides."""
    stacks = {_stack(found.beside(side, BESIDE), blank, about) for border in borders for side in border}
    if len(stacks) != 1:
        raise NotAvailableError(NOT_EXACT)
    (only,) = stacks
    _require_apart(only, borders, found)
    return only


def _stack(point: Point, blank: SoftJawBlank, about: tuple[Turned, ...]) -> Stack:
    taken: list[tuple[Sheet, Sheet]] = [cut for one in about for cut in one.taken(point)]
    for at in blank.screws:
        off = math.dist(point, (at, 0.0))
        if off < 0.5 * blank.hole_diameter:
            return ()
        if off < 0.5 * blank.counterbore_diameter:
            taken.append((Level(blank.height - blank.counterbore_depth), Level(blank.height)))
    left: list[tuple[Sheet, Sheet]] = [(Level(0.0), Level(blank.height))]
    for low, high in taken:
        kept: list[tuple[Sheet, Sheet]] = []
        for bottom, top in left:
            if low.over(point) > bottom.over(point) + SAME:
                kept.append((bottom, min(low, top, key=lambda sheet: sheet.over(point))))
            if high.over(point) < top.over(point) - SAME:
                kept.append((max(high, bottom, key=lambda sheet: sheet.over(point)), top))
        left = [(b, t) for b, t in kept if t.over(point) - b.over(point) > SAME]
    return tuple(left)


def _require_apart(stack: Stack, borders: tuple[tuple[Side, ...], ...], found: Cells) -> None:
    """Refuse a cell in which a cone passes through another height: their common line would be no line or circle."""
    sheets = [sheet for pair in stack for sheet in pair]
    for border in borders:
        for number, _ in border:
            piece = found.pieces[number]
            curve = found.curves[piece.curve]
            for place in (piece.low, piece.middle, piece.high):
                heights = [sheet.over(curve.at(place)) for sheet in sheets]
                if any(b < a - 10.0 * SAME for a, b in pairwise(heights)):
                    raise NotAvailableError(NOT_EXACT)
