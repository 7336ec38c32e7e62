"""Roughing along contours drawn at random: what is cut, how deep, how it moves, and a second expansion.

The metal is counted with planar overlays of the moves as they come out; nothing of the expansion is asked.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from cycle_expansion import expand
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.geometry import LineString

from meshes.points import Point
from sim.programs.cycles.contour import Contour
from sim.programs.cycles.pattern import Pattern, repeated
from sim.programs.cycles.roughing import Roughing, roughed
from sim.programs.path import Move, arc_points


@dataclass(frozen=True)
class Drawn:
    """A cycle as it would be outside, towards the chuck, and how it lies instead."""

    contour: Contour
    told: Roughing
    x: int
    z: int

    def image(self, point: Point) -> Point:
        a, b = self.x * point[0], self.z * point[1]
        return (b, a) if self.told.facing else (a, b)

    def plain(self, point: Point) -> Point:
        a, b = (point[1], point[0]) if self.told.facing else point
        return self.x * a, self.z * b

    def moves(self) -> tuple[Move, ...]:
        """Return the moves as they come out, seen outside and towards the chuck."""
        found = roughed(
            Contour(self.moved(self.contour.approach), tuple(map(self.moved, self.contour.shape))), self.told
        )
        return tuple(self.moved(move, back=True) for move in found)

    def moved(self, move: Move, *, back: bool = False) -> Move:
        to = self.plain if back else self.image
        mirrored = (self.x * self.z < 0) != self.told.facing
        centre = None if move.centre is None else to(move.centre)
        return Move(
            move.kind, to(move.start), to(move.end), centre, move.clockwise != mirrored, stage=move.stage
        )


def mm(least: float, most: float) -> st.SearchStrategy[float]:
    """Hundredths of a mm."""
    return st.integers(round(100 * least), round(100 * most)).map(lambda n: n / 100.0)


@st.composite
def drawn(draw: st.DrawFn, *, hollows: bool) -> Drawn:
    """A contour of lines and arcs that runs towards smaller z, and does not fall unless there are hollows."""
    at: Point = (draw(mm(5.0, 20.0)), 0.0)
    shape = []
    lowest = -80 if hollows else 0
    for _ in range(draw(st.integers(1, 7))):
        if draw(st.booleans()):
            rise = draw(st.sampled_from([0.0, 1.0, 2.5, -2.0, 6.0] if hollows else [0.0, 1.0, 2.5, 6.0]))
            run = draw(mm(0.5 if rise <= 0.0 else 0.0, 15.0))
            end = (at[0] + rise, at[1] - run)
            shape.append(Move("feed", at, end))
        else:
            radius = draw(mm(0.5, 12.0))
            low, high = sorted(draw(st.tuples(st.integers(lowest, 88), st.integers(lowest, 88))))
            high = min(max(high, low + 5), 90)
            a, b = math.radians(low), math.radians(high)
            end = (
                at[0] + radius * (math.cos(a) - math.cos(b)),
                at[1] - radius * (math.sin(b) - math.sin(a)),
            )
            fillet = draw(st.booleans())
            turn = a if fillet else b
            sign = radius if fillet else -radius
            centre = (at[0] + sign * math.cos(turn), at[1] + sign * math.sin(turn))
            shape.append(Move("feed", at, end, centre, fillet))
        at = end
    if shape[-1].end[1] > -0.4:
        shape.append(Move("feed", at, (at[0], at[1] - 3.0)))
    points = np.concatenate([arc_points(move) for move in shape])
    start = (float(points[:, 0].max()) + draw(mm(1.0, 20.0)), draw(st.sampled_from([0.5, 2.0])))
    first = shape[0].start
    approach = Move(
        draw(st.sampled_from(["rapid", "feed"])), start, (first[0], start[1] if not hollows else first[1])
    )
    if not hollows:
        shape.insert(0, Move("feed", approach.end, first))
    x, z, facing = draw(st.sampled_from([1, -1])), draw(st.sampled_from([1, -1])), draw(st.booleans())
    plain = (draw(st.sampled_from([0.0, 0.2, 0.5])), 0.0 if hollows else draw(st.sampled_from([0.0, 0.1])))
    allowance = (x * plain[0], z * plain[1])
    told = Roughing(
        facing=facing,
        hollows=hollows,
        depth=draw(mm(0.7, 5.0)),
        retract=draw(st.sampled_from([0.2, 0.5, 1.0])),
        allowance=(allowance[1], allowance[0]) if facing else allowance,
        code="G71",
        line=1,
    )
    # A level on a corner or along a surface is open to rounding; the examples by hand say how that goes.
    levels = start[0] - told.depth * np.arange(1, 200)
    assume(not _on_a_corner(shape, levels))
    return Drawn(Contour(approach, tuple(shape)), told, x, z)


def _on_a_corner(shape: list[Move], levels: np.ndarray) -> bool:
    ends = np.array([x for move in shape for x in (move.start[0], move.end[0])])
    tops = np.array(
        [arc_points(move)[:, 0].max() for move in shape] + [arc_points(move)[:, 0].min() for move in shape]
    )
    return bool(np.abs(np.concatenate([ends, tops])[:, None] - levels[None, :]).min() < 2e-3)


def _shift(one: Drawn) -> Point:
    return one.plain(one.told.allowance)


def _begin(one: Drawn) -> Point:
    """Where the contour with its allowance begins."""
    shift, first = _shift(one), one.contour.approach.end
    return first[0] + shift[0], first[1] + shift[1]


def _line(one: Drawn, shift: Point) -> list[Point]:
    points = np.concatenate(
        [arc_points(m, 2e-6)[(0 if n == 0 else 1) :] for n, m in enumerate(one.contour.shape)]
    ) + np.array(shift)
    return [(float(x), float(z)) for x, z in points]


def _metal(one: Drawn) -> Polygon:
    """What lies between the contour with its allowance and the level of the start."""
    shift, start = _shift(one), one.contour.approach.start
    line = _line(one, shift)
    top, right = start[0] + shift[0], start[1] + shift[1]
    return Polygon([*line, (top, line[-1][1]), (top, right), (line[0][0], right)]).buffer(0)


def _above(move: Move, top: float) -> Polygon:
    """All that a tool takes that comes from above."""
    points = [(float(x), float(z)) for x, z in arc_points(move)]
    points = [(min(x, top), z) for x, z in points]
    if max(z for _, z in points) - min(z for _, z in points) < 1e-9:
        return Polygon()
    return Polygon([*points, (top, points[-1][1]), (top, points[0][1])]).buffer(0)


def _deeper(cut: shapely.Geometry, depth: float) -> float:
    """Area of a cut that lies more than a depth below its own upper side."""
    return float(cut.intersection(shapely.affinity.translate(cut, -depth - 1e-3, 0.0)).area)


def _checked(one: Drawn) -> None:
    moves, metal = one.moves(), _metal(one)
    start = one.contour.approach.start
    top = start[0] + _shift(one)[0]
    assert moves[0].start == pytest.approx(start)
    assert moves[-1].end == pytest.approx(start)
    for before, after in itertools.pairwise(moves):
        assert math.dist(before.end, after.start) < 1e-9
    # Ahead of the contour's first point there is air: the step of the first block takes nothing there.
    left = metal.intersection(shapely.box(-100.0, -1e3, 1e3, _begin(one)[1])).buffer(0)
    solid = Polygon([*_line(one, _shift(one)), (-100.0, -500.0), (-100.0, 0.0)]).buffer(0)
    thin = 2e-3 * metal.length  # of chords in place of arcs, and of ends on levels
    for stage, group in itertools.groupby(moves[:-1], key=lambda move: move.stage):
        passed = list(group)
        level = max(
            (abs(m.end[1] - m.start[1]) for m in passed if m.kind == "feed" and m.end[0] == m.start[0]),
            default=0,
        )
        # An escape longer than its pass meets the flank behind it: said in `roughing`, and not mended.
        escapes = not one.told.hollows or level > one.told.retract or "pass" not in stage
        for move in passed:
            if move.kind == "rapid":
                # A rapid move runs through nothing that is still there.
                way = LineString([move.start, move.end])
                if move.start == start or (move.end == _begin(one) and move.start[1] != move.end[1]):
                    continue  # as the first block says, wherever that leads
                if escapes:
                    assert way.intersection(left.buffer(-1e-2)).length < 1e-6, move
                    assert way.intersection(solid.buffer(-1e-2)).length < 1e-6, move
            else:
                cut = _above(move, top)
                assert cut.difference(metal).area < thin, move
                assert _deeper(left.intersection(cut).buffer(-1e-4), one.told.depth) < thin, (stage, move)
                left = left.difference(cut).buffer(0)
    assert left.area < thin


@settings(max_examples=50, deadline=None)
@given(drawn(hollows=False))
def test_turning_takes_all_but_the_allowance(one: Drawn) -> None:
    """Never below contour and allowance, no cut deeper than stated, all of it in the end, and back at the start."""
    _checked(one)


@settings(max_examples=50, deadline=None)
@given(drawn(hollows=True))
def test_hollows_are_emptied_too(one: Drawn) -> None:
    _checked(one)


def _walked(points: list[Point]) -> np.ndarray:
    """Return a polyline at 4001 places, equally far from one another along it."""
    shares = np.linspace(0.0, 1.0, 4001)
    return shapely.get_coordinates(
        shapely.line_interpolate_point(LineString(points), shares, normalized=True)
    )


@settings(max_examples=60, deadline=None)
@given(st.booleans().flatmap(lambda hollows: drawn(hollows=hollows)))
def test_a_second_expansion_moves_alike(one: Drawn) -> None:
    """The overlays of `cycle_expansion` give the same way, rapid and feed, step by step."""
    start, told = one.contour.approach.start, one.told
    steps = expand(start, _line(one, (0.0, 0.0)), told.depth, told.retract, _shift(one), hollows=told.hollows)
    moves = one.moves()
    ours = [start, *[(float(x), float(z)) for move in moves for x, z in arc_points(move)[1:]]]
    theirs = [start, *(at for _, at in steps)]
    assert LineString(ours).length == pytest.approx(LineString(theirs).length, rel=1e-4, abs=0.02)
    assert np.abs(_walked(ours) - _walked(theirs)).max() < 0.05
    fed = sum(math.dist(a, b) for (_, a), (feeds, b) in itertools.pairwise(steps) if feeds)
    # The oracle steps at rapid: steps and the way to the contour feed where the first block does.
    feeding = sum(LineString(arc_points(move)).length for move in moves if move.kind == "feed")
    steps_down = sum(
        math.dist(move.start, move.end)
        for move in moves
        if move.kind == "feed" and one.contour.approach.kind == "feed" and _steps_down(move, one)
    )
    assert feeding - steps_down == pytest.approx(fed, rel=1e-3, abs=0.05)


def _steps_down(move: Move, one: Drawn) -> bool:
    right = one.contour.approach.start[1] + _shift(one)[1]
    down = abs(move.end[1] - right) < 1e-9 or math.dist(move.end, _begin(one)) < 1e-9
    return abs(move.start[1] - right) < 1e-9 and down


@settings(max_examples=25, deadline=None)
@given(drawn(hollows=False), st.integers(2, 6), mm(0.5, 6.0))
def test_a_pattern_comes_nearer_by_equal_shares(one: Drawn, count: int, relief: float) -> None:
    """Every pass is the contour moved straight aside; passes lie equally far apart, the last one at the allowance."""
    told = Pattern((relief, 0.0), count, (0.3, 0.0), "G73", 1)
    moves = repeated(one.contour, told)
    size = len(one.contour.shape)
    feeds = [[m for m in moves if m.stage.startswith(f"rough pass {n + 1} ")][-size:] for n in range(count)]
    for n, passed in enumerate(feeds):
        by = 0.3 + relief * (count - 1 - n) / (count - 1)
        for move, bare in zip(passed, one.contour.shape, strict=True):
            assert move.end == pytest.approx((bare.end[0] + by, bare.end[1]))
            assert (move.centre is None) == (bare.centre is None)
    assert moves[-1].end == one.contour.approach.start
    for before, after in itertools.pairwise(moves):
        assert math.dist(before.end, after.start) < 1e-9
