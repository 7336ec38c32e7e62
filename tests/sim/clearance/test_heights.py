"""Outlines over a line: beside numpy's interpolation on a dense line, and areas of rings by the shoelace formula."""

from __future__ import annotations

import numpy as np
import pytest

from sim.base.arrays import Floats
from sim.clearance.heights import Heights, raised

LANES, AT = 5, np.linspace(0.0, 10.0, 4001)


def drawn(seed: int) -> tuple[Heights, Floats, Floats]:
    """Return ground in some lanes, and outlines that begin and end below it."""
    rng = np.random.default_rng(seed)
    counts = rng.integers(2, 9, LANES)
    along = [np.r_[0.0, np.sort(rng.uniform(0.5, 9.5, count)), 10.0] for count in counts]
    ground = Heights(
        np.repeat(np.arange(LANES), counts + 2),
        np.concatenate(along),
        rng.uniform(0.0, 2.0, int(counts.sum()) + 2 * LANES),
    )
    places = np.sort(rng.uniform(0.2, 9.8, (LANES, 7)), axis=1)
    up = rng.uniform(0.5, 2.5, (LANES, 7))
    up[:, [0, -1]] = -1.0
    return ground, places, up


@pytest.mark.parametrize("seed", range(6))
def test_the_higher_of_two_is_their_greatest_at_every_place(seed: int) -> None:
    ground, along, height = drawn(seed)
    found = raised(ground, along, height).highest()
    for lane in range(LANES):
        low = np.interp(AT, ground.along[ground.lane == lane], ground.height[ground.lane == lane])
        high = np.interp(AT, along[lane], height[lane], left=-1.0, right=-1.0)
        own = found.lane == lane
        assert (np.diff(found.along[own]) >= 0.0).all()
        assert np.interp(AT, found.along[own], found.height[own]) == pytest.approx(
            np.maximum(low, high), abs=1e-9
        )


@pytest.mark.parametrize("seed", range(6))
def test_the_layers_between_two_have_the_area_by_which_one_rises(seed: int) -> None:
    ground, along, height = drawn(seed)
    both = raised(ground, along, height)
    points, ring, lane = both.layers()
    after = np.r_[1 : len(ring), 0]
    first = np.flatnonzero(np.r_[True, ring[1:] != ring[:-1]])
    after[np.r_[first[1:], len(ring)] - 1] = first
    areas = np.bincount(ring, 0.5 * (points[:, 0] * points[after, 1] - points[after, 0] * points[:, 1]))
    assert (areas > 0.0).all()
    for number in range(LANES):
        under = [
            np.trapezoid(one.height[one.lane == number], one.along[one.lane == number])
            for one in (ground, both.highest())
        ]
        assert areas[lane == number].sum() == pytest.approx(under[1] - under[0], abs=1e-12)


def test_an_outline_below_the_ground_changes_nothing() -> None:
    ground = Heights(np.zeros(3, dtype=np.int64), np.array([0.0, 4.0, 9.0]), np.array([1.0, 3.0, 1.0]))
    both = raised(ground, np.array([[1.0, 4.0, 6.0]]), np.array([[0.0, 2.9, 0.0]]))
    found = both.highest()
    assert (found.along == ground.along).all()
    assert (found.height == ground.height).all()
    assert not len(both.layers()[0])


def test_the_ends_of_the_ground_stay_where_an_outline_is_above_them() -> None:
    ground = Heights(np.zeros(2, dtype=np.int64), np.array([2.0, 8.0]), np.array([1.0, 1.0]))
    both = raised(ground, np.array([[0.0, 5.0, 10.0]]), np.array([[-1.0, 6.0, -1.0]]))
    found = both.highest()
    assert found.height[[0, -1]].tolist() == [1.0, 1.0]
    assert found.height.max() == pytest.approx(6.0)
    assert np.isin([(2.0, 1.0), (5.0, 6.0), (8.0, 1.0)], both.layers()[0]).all()
