"""Steps that the same edges lead: beside plain overlays of every single step, which ask nothing of runs."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.clearance.led_runs import LedRuns, bands
from sim.clearance.removal import BLOCK, Cuts, removal_of
from sim.clearance.tiles import Standing

Floats = NDArray[np.float64]
STOCK = shapely.Polygon([(57, 0), (75, 0), (75, 30), (62, 33), (60, 24), (58, 40), (57, 22)])


def insert(seed: int) -> Floats:
    """Return a convex outline with its tip at the origin; it lies above and inside of the tip."""
    rng = np.random.default_rng(seed)
    points = rng.uniform((-6.0, 0.0), (0.0, 7.0), (12, 2))
    hull = shapely.orient_polygons(shapely.convex_hull(shapely.multipoints([*points, (0.0, 0.0)])))
    return np.asarray(shapely.get_coordinates(hull)[:-1])


def contour(seed: int, count: int = 3 * BLOCK + 5) -> Floats:
    """Return places of the tip along the wall of a pocket that waves, now and then back a little."""
    rng = np.random.default_rng(seed)
    z = 44.0 - 36.0 * np.cumsum(rng.uniform(0.2, 1.0, count)) / count
    x = 59.0 + rng.uniform(0.5, 3.0) * np.sin(z / rng.uniform(2.0, 5.0))
    places = np.column_stack([x, z])
    places[count // 3] += (0.0, 1.0)
    return places


def covered(outline: Floats, start: Floats, end: Floats) -> BaseGeometry:
    """Return what a convex outline covers on its way: the hull of its two places."""
    return shapely.convex_hull(shapely.multipoints(np.vstack([outline + start, outline + end])))


def difference(one: BaseGeometry, other: BaseGeometry) -> float:
    return float(shapely.area(shapely.symmetric_difference(one, other)))


@pytest.mark.parametrize("seed", range(8))
def test_a_run_covers_what_its_steps_do(seed: int) -> None:
    outline, places = insert(seed), contour(seed)
    runs = LedRuns.of(outline, places[:-1], places[1:], BLOCK)
    assert len(runs.first) < len(runs.run) / 2
    for number, cover in enumerate(runs.covers()):
        rows = np.flatnonzero(runs.run == number)
        steps = shapely.union_all([covered(outline, places[k], places[k + 1]) for k in rows])
        assert shapely.is_valid(cover)
        assert difference(cover, steps) < 1e-9


@pytest.mark.parametrize("seed", range(8))
def test_a_band_is_what_a_step_reaches_beyond_its_start(seed: int) -> None:
    outline, places = insert(seed), contour(seed)
    runs = LedRuns.of(outline, places[:-1], places[1:], BLOCK)
    block = np.arange(len(runs.run)) // BLOCK
    steps, taken = bands(runs, np.full(block[-1] + 1, STOCK, dtype=object), block)
    assert len(steps) > len(runs.run) / 2
    assert shapely.is_valid(taken).all()
    assert (shapely.area(taken) > 0.0).sum() > len(steps) / 4
    for step, found in zip(steps, taken, strict=True):
        front = covered(outline, places[step], places[step + 1]) - shapely.Polygon(outline + places[step])
        assert difference(found, front & STOCK) < 1e-9


@pytest.mark.parametrize("seed", range(4))
def test_what_each_step_takes_is_what_is_left_less_what_it_leaves(seed: int) -> None:
    """Through the blocks, with steps that come back over what is cut."""
    outline, places = insert(seed), contour(seed)
    starts, ends = places[:-1], places[1:]
    whole = np.array([covered(outline, *pair) for pair in zip(starts, ends, strict=True)])

    def cuts_of(some: NDArray[np.int64]) -> Cuts:
        runs = LedRuns.of(outline, starts[some], ends[some], BLOCK)
        covers = np.full(len(some), shapely.Polygon(), dtype=object)
        covers[runs.rows()] = runs.covers()
        return Cuts(whole[some].__getitem__, covers.__getitem__, whole[some].__getitem__, runs)

    taken = removal_of(len(whole), cuts_of, Standing.whole(STOCK))
    left = STOCK
    for cut, removed in zip(whole, taken.removed, strict=True):
        assert difference(removed, left & cut) < 1e-8
        left = left - cut
    assert difference(left, taken.left) < 1e-8


def test_where_the_chain_meets_a_corner_or_lies_beside_an_edge_an_overlay_is_asked() -> None:
    outline = np.array([(-6.0, 0.0), (0.0, 0.0), (0.0, 6.0), (-6.0, 6.0)])
    z = np.linspace(30.0, 20.0, 41)
    places = np.column_stack([np.full(41, 60.0), z])
    step = shapely.Polygon(
        [(58, 0), (70, 0), (70, 25), (58, 25)]
    )  # its face lies where the edge is after 20 steps
    runs = LedRuns.of(outline, places[:-1], places[1:], BLOCK)
    steps, taken = bands(runs, np.array([step], dtype=object), np.zeros(40, dtype=np.int64))
    assert set(range(40)) - set(steps.tolist()) == {19, 20}
    assert shapely.area(taken[steps < 19]).sum() == 0.0
    assert shapely.area(taken[steps > 20]) == pytest.approx(np.full(19, 2.0 * 0.25))
    assert not len(bands(runs, np.array([None]), np.zeros(40, dtype=np.int64))[0])
