"""How near steps come to a stock of many corners is what is measured to all of it. Elementary geometry, no source."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from sim.base.arrays import Flags, Geometries
from sim.clearance import spans
from sim.clearance.cells import in_cells
from sim.clearance.spans import Span, Trees, own_of


def wall(seed: int) -> Geometries:
    """A wall of many teeth that is hollow in its middle, in pieces; the tips of its upper teeth are all in one line."""
    rng = np.random.default_rng(seed)
    z = np.linspace(0.0, 20.0, 1601)
    tip = np.where(z > 14.0, 40.0, 40.0 + 0.02 * (14.0 - z) * z)
    x = np.where(np.arange(1601) % 2, tip, tip + rng.uniform(0.1, 2.0, 1601))
    shape = shapely.Polygon([*zip(x.tolist(), z.tolist(), strict=True), (60.0, 20.0), (60.0, 0.0)])
    found = in_cells(shape, np.array(shapely.bounds(shape)))
    return np.array([piece for piece, _ in found], dtype=object)


def span_of(stock: Geometries) -> Span:
    none, empty = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=object)
    return Span(none, stock, stock, none, empty, np.zeros((1, 4)), none, empty)


def passing(seed: int, tilted: Flags) -> Geometries:
    """Boxes one after the other down the wall and through its hollow, or jumping about; some stand on a corner."""
    rng = np.random.default_rng(seed)
    count = len(tilted)
    z = np.linspace(19.0, 1.0, count)
    x = 38.0 - 0.5 * np.maximum(0.0, np.sin(z)) + np.where(z < 14.0, 0.015 * (14.0 - z) * z, 0.0)
    jump = rng.random(count) < 0.1
    x[jump], z[jump] = rng.uniform(30.0, 39.0, jump.sum()), rng.uniform(-5.0, 25.0, jump.sum())
    boxes = np.asarray(shapely.box(x - 3.0, z, x, z + 1.5), dtype=object)
    corners = np.stack([x - 3.0, z, x - 1.5, z - 1.5, x, z, x - 1.5, z + 1.5], axis=1).reshape(-1, 4, 2)
    return np.where(tilted, np.asarray(shapely.polygons(corners), dtype=object), boxes)


@pytest.mark.parametrize("lines", [40, 10**6])
@pytest.mark.parametrize("seed", range(3))
def test_the_nearest_is_that_of_all_edges(seed: int, lines: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spans, "_LINES", lines)
    monkeypatch.setattr(spans, "_AT_ONCE", 50)
    stock = wall(seed)
    assert len(stock) > 5
    shapes = passing(seed, np.random.default_rng(seed).random(400) < 0.3)
    asked: list[int] = []
    query = spans.query_nearest
    monkeypatch.setattr(
        spans, "query_nearest", lambda tree, some: asked.append(len(some)) or query(tree, some)
    )
    trees = Trees.of(span_of(stock))
    found = trees.nearest(shapes, np.full(400, np.inf))
    outside = ~shapely.intersects(shapely.union_all(stock), shapes)
    assert outside.sum() > 300
    expected = shapely.distance(shapes[:, None], stock).min(axis=1)
    assert found[outside] == pytest.approx(expected[outside], rel=1e-11)
    assert sum(asked) < 380  # in one line what is nearest is known of most steps
    assert lines > 1000 or len(trees.outline) < 100


@pytest.mark.parametrize("pieces", [1, 9])
@pytest.mark.parametrize("seed", range(3))
def test_what_lies_out_of_reach_is_not_looked_for(
    seed: int, pieces: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reaches a hair longer and shorter than the distance: within them it is told, and little else is asked for."""
    monkeypatch.setattr(spans, "_AT_ONCE", 50)
    stock = wall(seed)
    stock = stock if pieces > 1 else np.array([shapely.union_all(stock, grid_size=1e-9), None])[:1]
    rng = np.random.default_rng(seed)
    shapes = passing(seed, rng.random(400) < 0.3)
    expected = shapely.distance(shapes[:, None], stock).min(axis=1)
    reach = expected * rng.choice(
        [0.5, 1.0 - 1e-6, 1.0, 1.0 + 1e-6, np.inf], 400, p=[0.6, 0.1, 0.1, 0.1, 0.1]
    )
    asked: list[int] = []
    query = spans.query_nearest
    monkeypatch.setattr(
        spans, "query_nearest", lambda tree, some: asked.append(len(some)) or query(tree, some)
    )
    found = Trees.of(span_of(stock)).nearest(shapes, reach)
    told = (reach >= expected) & (expected > 0.0)
    assert told.sum() > 80
    assert found[told] == pytest.approx(expected[told], rel=1e-11)
    assert pieces > 1 or sum(asked) < 220


def test_a_step_beside_no_stock_is_near_nothing() -> None:
    shapes, reach = passing(0, np.ones(3, dtype=bool)), np.full(3, np.inf)
    assert np.isinf(Trees.of(span_of(np.zeros(0, dtype=object))).nearest(shapes, reach)).all()


def test_a_piece_in_several_spans_is_copied_once() -> None:
    """And is there unprepared where the others are prepared, which two threads must not ask at once."""
    stock = wall(0)
    shapely.prepare(stock)
    one, other = own_of([span_of(stock[:5]), span_of(stock[2:])])
    assert [id(piece) for piece in one.after[2:]] == [id(piece) for piece in other.before[:3]]
    assert not shapely.is_prepared(one.after).any()
    for own, first in ((one.after, 0), (other.after, 2)):
        assert shapely.equals_exact(own, stock[first : first + len(own)]).all()
