"""The stock that each step finds is the stock less all cuts before it. Elementary geometry, no source."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Geometries
from sim.clearance import removal, stock
from sim.clearance.obstacle import is_touch
from sim.clearance.shapes import EMPTY
from sim.clearance.spans import Span, Trees, spans_of
from sim.clearance.sweep import ToolSweep, along_path
from sim.clearance.tool import Tool, ToolPart, pieces
from sim.programs.path import Move


def laid_out(
    cuts: Geometries, feeds: Flags, left: BaseGeometry, spanned: int
) -> tuple[removal.Removal, list[Span]]:
    """What the steps that feed take of a stock, and all steps in spans of so many blocks."""
    taken = removal.removal(cuts[feeds], left)
    removed = np.full(len(feeds), EMPTY, dtype=object)
    removed[feeds] = taken.removed
    return taken, spans_of(feeds, taken, removed, spanned)


@pytest.mark.parametrize("spanned", [1, 2, 5])
@pytest.mark.parametrize("seed", range(3))
def test_a_step_finds_what_the_cuts_before_it_leave(
    seed: int, spanned: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rapid steps between cuts that overlap, three cuts to a block: what its span leaves and is still to remove."""
    monkeypatch.setattr(removal, "BLOCK", 3)
    rng = np.random.default_rng(seed)
    feeds = rng.random(40) < 0.6
    left: BaseGeometry = shapely.box(0.0, 0.0, 20.0, 10.0)
    low = rng.uniform((0.0, 0.0), (18.0, 8.0), (40, 2))
    cuts = np.asarray(shapely.box(*low.T, *(low + rng.uniform(0.5, 4.0, (40, 2))).T), dtype=object)
    taken, spans = laid_out(cuts, feeds, left, spanned)
    assert np.concatenate([span.rows for span in spans]).tolist() == list(range(40))
    assert len(spans) == -(-len(taken.together) // spanned)
    for number, span in enumerate(spans):
        blocks = [int(feeds[:step].sum()) // 3 for step in span.cutting.tolist()]
        assert (span.block + spanned * number).tolist() == blocks
        for step in span.rows.tolist():
            found = shapely.union_all([*span.after, *span.pieces[span.cutting >= step]], grid_size=1e-9)
            assert found.symmetric_difference(left).area < 1e-6
            if feeds[step]:
                left = left.difference(cuts[step])


@pytest.mark.parametrize("spanned", [1, 3, 8])
@pytest.mark.parametrize("seed", range(4))
def test_the_distance_of_a_step_is_that_to_what_the_cuts_up_to_it_leave(
    seed: int, spanned: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rectangles that pass small pieces of stock, which come off one by one; beyond what is asked for there is none."""
    monkeypatch.setattr(removal, "BLOCK", 4)
    rng = np.random.default_rng(seed)
    count = 60
    feeds = rng.random(count) < 0.7
    corners = rng.uniform((0.0, 0.0), (30.0, 20.0), (count, 2))
    cuts = np.asarray(shapely.box(*corners.T, *(corners + rng.uniform(0.3, 5.0, (count, 2))).T), dtype=object)
    # All that is there comes off in the end, but for a far corner: what is nearest mostly is still to be cut.
    left: BaseGeometry = shapely.union_all([*cuts[feeds], shapely.box(60.0, 0.0, 61.0, 1.0)])
    _, spans = laid_out(cuts, feeds, left, spanned)
    low = rng.uniform((-6.0, -6.0), (36.0, 26.0), (count, 2))
    shapes = np.asarray(shapely.box(*low.T, *(low + rng.uniform(0.1, 2.0, (count, 2))).T), dtype=object)
    reach = rng.choice([2.0, 8.0, np.inf], count)
    found = [
        stock._distance(shapes[span.rows], span.rows, span, Trees.of(span), reach[span.rows])
        for span in spans
    ]
    expected = []
    for step in range(count):
        if feeds[step]:
            left = left.difference(cuts[step])
        gap = float(shapely.distance(shapes[step], left))
        expected.append(gap if gap <= reach[step] else np.inf)
    assert np.concatenate(found) == pytest.approx(np.array(expected), abs=1e-9)
    assert len({round(one, 6) for one in expected}) > 10


def all_pieces(sweep: ToolSweep, *_: object) -> list[int]:
    return list(range(len(sweep.tool.parts)))


@pytest.mark.parametrize("seed", range(2))
def test_pieces_that_are_passed_over_touch_nothing(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Random paths of a tool with a plate and a bar: the same touches as when every piece is looked at in each span."""
    rng = np.random.default_rng(seed)
    insert = pieces("insert", "insert", [(-5.0, 0.2), (0.0, 0.0), (-1.0, 5.0)])
    plate = ToolPart(
        "holder", "holder", np.array([(-9.0, 1.0), (-1.0, 1.0), (-1.0, 30.0), (-9.0, 30.0)]), 0.0, 6.0
    )
    bar = pieces("bar", "shank", [(-9.0, 8.0), (-3.0, 8.0), (-3.0, 60.0), (-9.0, 60.0)])
    tool = Tool("tool", (*insert, plate, *bar), 0.0)
    points = [tuple(one) for one in rng.uniform((30.0, 5.0), (50.0, 60.0), (30, 2)).tolist()]
    kinds = ["rapid" if one < 0.3 else "feed" for one in rng.random(29).tolist()]
    moves = [Move(kind, a, b) for kind, a, b in zip(kinds, points, points[1:], strict=False)]  # type: ignore[arg-type]
    sweep = along_path(moves, tool)
    feeding = np.flatnonzero(sweep.path.feeds)
    monkeypatch.setattr(removal, "BLOCK", 2)
    taken = removal.removal(sweep.images(0, feeding), shapely.box(40.0, 0.0, 70.0, 40.0))
    removed = np.full(len(moves), EMPTY, dtype=object)
    removed[feeding] = taken.removed
    spans = spans_of(sweep.path.feeds, taken, removed, 2)

    def safe(_: int) -> Flags:
        return np.zeros(120, dtype=bool)

    found = [[(o.kind, o.step, o.piece) for o in stock._overlaps(sweep, one, safe, "stock")] for one in spans]
    near = [stock._coming_near(sweep, one, shapely.STRtree(one.after)) for one in spans]
    assert any(len(one) < len(tool.parts) for one in near)
    monkeypatch.setattr(stock, "_coming_near", all_pieces)
    every = [[(o.kind, o.step, o.piece) for o in stock._overlaps(sweep, one, safe, "stock")] for one in spans]
    assert found == every
    assert any(found)


@pytest.mark.parametrize("off", [0.0, 0.004, 0.02])
def test_touches_in_turn_are_those_of_each_step(off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate goes in and out of a wall with a gap, at times by less than what is a touch; few are overlaid."""
    plate = ToolPart(
        "plate", "holder", np.array([(-9.0, 0.0), (0.0, 0.0), (0.0, 6.0), (-9.0, 6.0)]), 0.0, 4.0
    )
    z = np.linspace(50.0, 5.0, 401)
    x = 40.0 + off + 0.5 * np.maximum(0.0, np.sin(z / 4.0))
    points = [tuple(one) for one in np.column_stack([x, z]).tolist()]
    moves = [Move("feed", a, b) for a, b in itertools.pairwise(points)]
    sweep = along_path(
        moves, Tool("tool", (*pieces("insert", "insert", [(-1.0, 0.0), (0.0, 0.0), (0.0, 1.0)]), plate), 0.0)
    )
    walls = np.array(
        [
            shapely.box(np.hypot(40.0, 4.0), 30.0, 70.0, 60.0),
            shapely.box(np.hypot(40.0, 4.0), 0.0, 70.0, 20.0),
        ]
    )
    shapely.prepare(walls)
    steps, of = np.repeat(np.arange(400), 2), np.tile([0, 1], 400)
    images = sweep.images(1, steps)
    expected = stock.is_touch(images, walls[of])
    asked = []
    monkeypatch.setattr(stock, "is_touch", lambda a, b: asked.append(len(a)) or is_touch(a, b))
    found = stock._touch_in_turn(sweep, steps, images, walls, of)
    assert found.tolist() == expected.tolist()
    assert 0 < expected.sum() < len(expected)
    assert sum(asked) < len(steps) - expected.sum() / 2
