"""Sampling errors against printed intervals and by drawing again and again."""

from __future__ import annotations

import numpy as np
import pytest

from sim.uncertainty.probability import percentiles, probability


def rows(held: int, count: int) -> np.ndarray:
    return np.arange(count) < held


@pytest.mark.parametrize(
    ("held", "count", "low", "high"),
    # Newcombe, Statistics in Medicine 17 (1998), 857-872, table I, score method without continuity correction
    # (recomputed from what they solve in test_derived_again.py).
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_as_printed(held: int, count: int, low: float, high: float) -> None:
    found = probability(*[rows(held, count)] * 3)
    assert found.value == held / count
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


def test_what_a_model_is_off_widens_the_interval() -> None:
    alone = probability(*[rows(900, 1000)] * 3)
    wider = probability(rows(900, 1000), rows(850, 1000), rows(930, 1000))
    assert wider.low < alone.low < alone.value == wider.value < alone.high < wider.high


def test_intervals_of_percentiles_hold_the_true_ones_as_often_as_they_say() -> None:
    rng = np.random.default_rng(5)
    hits = np.zeros(3)
    for _ in range(40):
        found = percentiles(rng.uniform(size=120))
        hits += [e.low <= p <= e.high for e, p in zip(found, (0.05, 0.5, 0.95), strict=True)]
    assert (hits >= 0.85 * 40).all()
