"""Formulas over floats and arrays: an array is its values, one by one, to the last bit."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.base.arrays import Floats
from sim.base.floats import atan, choose, hypot, larger, power, root, smaller, tan

RNG = np.random.default_rng(11)
ONE, OTHER = RNG.uniform(0.01, 1.5, 4000), RNG.uniform(0.01, 1.5, 4000)


@pytest.mark.parametrize(("many", "one"), [(tan, math.tan), (atan, math.atan), (root, math.sqrt)])
def test_of_one_value(many: Callable[[Floats], Floats], one: Callable[[float], float]) -> None:
    assert many(ONE).tolist() == [one(x) for x in ONE.tolist()]


@pytest.mark.parametrize(
    ("many", "one"), [(hypot, math.hypot), (power, math.pow), (larger, max), (smaller, min)]
)
def test_of_two_values(
    many: Callable[[Floats, Floats | float], Floats], one: Callable[[float, float], float]
) -> None:
    pairs = list(zip(ONE.tolist(), OTHER.tolist(), strict=True))
    assert many(ONE, OTHER).tolist() == [one(x, y) for x, y in pairs]
    assert many(ONE, 0.3).tolist() == [one(x, 0.3) for x in ONE.tolist()]


def test_floats_stay_floats() -> None:
    found = [
        tan(0.3),
        atan(0.3),
        root(2.0),
        hypot(3.0, 4.0),
        power(2.0, 0.5),
        larger(1.0, 2.0),
        smaller(1.0, 2.0),
    ]
    assert [type(value) for value in (*found, choose(found[0] > 0.0, 1.0, 2.0))] == [float] * 8


def test_a_choice_is_made_for_each_value() -> None:
    assert choose(np.array([True, False]), np.array([1.0, 2.0]), 9.0).tolist() == [1.0, 9.0]


def test_what_does_not_vary_is_the_same_number() -> None:
    """Computed once for the whole batch; nothing stands for what varies in one place only."""
    assert power(np.full(5, 0.3), -0.26).tolist() == [math.pow(0.3, -0.26)] * 5
    assert hypot(np.full(3, 2.0), np.array([1.0, 1.0, 4.0])).tolist() == [
        math.hypot(2.0, y) for y in (1.0, 1.0, 4.0)
    ]
    assert tan(np.array([])).size == 0
