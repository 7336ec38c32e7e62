"""What differs between a float and an array gives the same of both."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.base.arrays import largest, least, over, root, where


def test_of_floats_come_floats() -> None:
    found = root(2.0), least(2.0, 1.0), largest(2.0, 1.0), where(True, 1.0, 2.0), over(1.0, 4.0)
    assert [type(one) for one in found] == [float] * 5
    assert found == (math.sqrt(2.0), 1.0, 2.0, 1.0, 0.25)


def test_an_array_is_its_elements() -> None:
    rng = np.random.default_rng(1)
    a, b = rng.uniform(-1.0, 9.0, 200), rng.uniform(-1.0, 9.0, 200)
    b[3] = 0.0
    flags = a > b
    of_floats = [
        [root(x), least(x, 4.0, y), largest(x, 4.0, y), where(x > y, x, y), over(abs(x), y)]
        for x, y in zip(a.tolist(), b.tolist(), strict=True)
    ]
    of_arrays = [root(a), least(a, 4.0, b), largest(a, 4.0, b), where(flags, a, b), over(np.abs(a), b)]
    assert np.array_equal(np.array(of_floats).T, np.array(of_arrays), equal_nan=True)


@pytest.mark.parametrize("x", [-1.0, np.array([-1.0])])
def test_no_root_of_less_than_nothing(x: float) -> None:
    assert np.isnan(root(x))


@pytest.mark.parametrize("above", [0.0, 3.0])
def test_over_nothing_is_infinite(above: float) -> None:
    assert over(above, 0.0) == math.inf
    assert over(above, np.zeros(1))[0] == math.inf
