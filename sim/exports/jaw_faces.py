"""The faces of a bored soft jaw, exact: planes, cylinders, cones; edges straight, round, or hyperbolas. Jaw frame, mm.

A cell of the plan has a level or conical face where its metal begins and ends, a piece of the plan's lines an upright
one where the metal beside it differs. Faces of one surface are joined afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from sim.base.errors import NotAvailableError
from sim.exports.faces import Corner, Edge, Face, Loop, Surface, Way
from sim.exports.jaw_sheets import NOT_EXACT, JawPlan, Level, Sheet, Stack
from sim.exports.joined_faces import joined
from sim.exports.plan_curves import SAME, Round, Side, Straight

_DIGITS = 6  # of heights in mm by which corners are told apart


def edge_sheet(sheet: Sheet, curve: Straight | Round) -> Sheet:
    """Return what an edge over a curve lies on: on a cone over a circle about its axis that is a level.

    Raises
    ------
    NotAvailableError
        Over another circle, where the edge is no exact curve.
    """
    if isinstance(sheet, Level) or isinstance(curve, Straight):
        return sheet
    if math.dist(curve.centre, sheet.centre) > SAME:
        raise NotAvailableError(NOT_EXACT)
    return Level(sheet.apex + sheet.rise * curve.radius)


def jaw_faces(plan: JawPlan) -> tuple[Face, ...]:
    """Return all faces of a jaw, joined where they lie on one surface.

    Raises
    ------
    NotAvailableError
        If an edge is no exact curve, or metal meets in one line only.
    """
    upright = _Upright(plan)
    faces = [*_over_cells(plan), *upright.faces()]
    _require_closed(faces)
    found = joined(faces, plan.cells)
    _require_closed(found)
    return found


def corner(point: int, z: float) -> Corner:
    """Return a corner over a point of the plan, its height told apart from others by some digits."""
    return point, round(z, _DIGITS) + 0.0


def _edge(plan: JawPlan, number: int, sheet: Sheet) -> Edge:
    piece, points = plan.cells.pieces[number], plan.cells.points
    lies_on = edge_sheet(sheet, plan.cells.curves[piece.curve])
    if isinstance(lies_on, Level):
        lies_on = Level(round(lies_on.z, _DIGITS) + 0.0)
    start, end = (corner(p, lies_on.over(points[p])) for p in (piece.start, piece.end))
    return Edge(piece.curve, lies_on, start, end, piece.low, piece.high)


def _over_cells(plan: JawPlan) -> Iterator[Face]:
    for borders, stack in zip(plan.cells.cells, plan.stacks, strict=True):
        for low, high in stack:
            for sheet, up in ((low, False), (high, True)):
                kept = Level(round(sheet.z, _DIGITS) + 0.0) if isinstance(sheet, Level) else sheet
                loops = tuple(_loop(plan, border, sheet, up=up) for border in borders)
                yield Face(Surface(None, kept, _out_of(kept, up=up)), loops)


def _out_of(sheet: Sheet, *, up: bool) -> bool:
    """Tell whether the outside lies along the surface's own normal: up of a level, away from the axis of a cone."""
    if isinstance(sheet, Level):
        return up
    return up == (sheet.rise < 0.0)


def _loop(plan: JawPlan, border: tuple[Side, ...], sheet: Sheet, *, up: bool) -> Loop:
    ways = [(_edge(plan, number, sheet), forward) for number, forward in border]
    return tuple(ways) if up else tuple((edge, not forward) for edge, forward in reversed(ways))


class _Upright:
    """Faces over the pieces of the plan; upright edges end at every height at which something ends over their point."""

    def __init__(self, plan: JawPlan) -> None:
        self.plan = plan
        self.beside: dict[Side, Stack] = {}
        self.heights: dict[int, set[float]] = {}
        for borders, stack in zip(plan.cells.cells, plan.stacks, strict=True):
            for border in borders:
                for side in border:
                    self.beside[side] = stack
                    for sheet in (sheet for pair in stack for sheet in pair):
                        edge = _edge(plan, side[0], sheet)
                        for point, z in (edge.start, edge.end):
                            self.heights.setdefault(point, set()).add(z)

    def faces(self) -> Iterator[Face]:
        for number in range(len(self.plan.cells.pieces)):
            left = self._edges(self.beside.get((number, True), ()), number)
            right = self._edges(self.beside.get((number, False), ()), number)
            for low, high in _less(left, right):
                yield self._face(number, low, high, metal_left=True)
            for low, high in _less(right, left):
                yield self._face(number, low, high, metal_left=False)

    def _edges(self, stack: Stack, number: int) -> list[tuple[Edge, Edge]]:
        return [(_edge(self.plan, number, low), _edge(self.plan, number, high)) for low, high in stack]

    def _face(self, number: int, low: Edge, high: Edge, *, metal_left: bool) -> Face:
        piece = self.plan.cells.pieces[number]
        up = self._up(low.end, high.end)
        down = [(edge, not way) for edge, way in reversed(self._up(low.start, high.start))]
        loop = [(low, True), *up, (high, False), *down]
        if not metal_left:
            loop = [(edge, not way) for edge, way in reversed(loop)]
        # A circle runs counter-clockwise, so the axis of its cylinder lies left; a plane's normal points left.
        outward = metal_left == isinstance(self.plan.cells.curves[piece.curve], Round)
        return Face(Surface(piece.curve, None, outward), (tuple(loop),))

    def _up(self, low: Corner, high: Corner) -> list[Way]:
        (point, bottom), (_, top) = low, high
        steps = sorted(z for z in self.heights[point] if bottom <= z <= top)
        return [(Edge(None, None, (point, a), (point, b)), True) for a, b in pairwise(steps)]


def _less(these: list[tuple[Edge, Edge]], those: list[tuple[Edge, Edge]]) -> list[tuple[Edge, Edge]]:
    """Return what these spans over a piece have that those have not; where both have some, all are level."""
    if not those:
        return [(low, high) for low, high in these if low != high]
    left = list(these)
    for low, high in those:
        kept = []
        for bottom, top in left:
            below, above = min(low, top, key=_mean), max(high, bottom, key=_mean)
            if _mean(below) > _mean(bottom):
                kept.append((bottom, below))
            if _mean(above) < _mean(top):
                kept.append((above, top))
        left = kept
    return left


def _mean(edge: Edge) -> float:
    return 0.5 * (edge.start[1] + edge.end[1])


def _require_closed(faces: list[Face] | tuple[Face, ...]) -> None:
    """Refuse faces that do not bound metal: each edge must be walked once each way."""
    walked: dict[Edge, list[bool]] = {}
    for face in faces:
        for loop in face.loops:
            for edge, forward in loop:
                walked.setdefault(edge, []).append(forward)
    if any(sorted(ways) != [False, True] for ways in walked.values()):
        raise NotAvailableError(
            "no STEP file of the jaw: metal meets metal in one line only, which bounds no solid; its STL and 3MF files "
            "stand for it"
        )
