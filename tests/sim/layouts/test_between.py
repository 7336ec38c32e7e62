"""Margins between the grid's points: line by line as numpy interpolates, which no line of ours has a part in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.layouts.between import at_pressure, at_speed, read, stacked
from sim.layouts.criteria import LARGEST, LEAST, Criterion

PRESSURES = np.array([0.2, 0.5, 0.9, 2.0, 2.4])
SPEEDS = np.array([100.0, 800.0, 1500.0, 1600.0])


def criteria(seed: int) -> list[Criterion]:
    """Draw margins, none and more than are told among them; every second is read as a load."""
    drawn = np.random.default_rng(seed).uniform(-0.5, 1.2 * LARGEST, (6, len(PRESSURES), len(SPEEDS)))
    drawn[0, 1:3], drawn[1] = 0.0, np.round(drawn[1])
    return [Criterion(str(k), margin, as_load=bool(k % 2)) for k, margin in enumerate(drawn)]


def expected(one: Criterion, place: float, nodes: np.ndarray, line: np.ndarray) -> float:
    """Return one margin at one place, by numpy."""
    if one.as_load:
        return 1.0 / float(np.interp(place, nodes, 1.0 / np.maximum(line, LEAST)))
    return float(np.interp(place, nodes, line))


@given(st.integers(0, 999), st.floats(0.0, 3.0), st.floats(0.0, 2000.0))
@example(seed=1, pressure=0.9, speed=1500.0)
@example(seed=2, pressure=2.4, speed=100.0)
@example(seed=3, pressure=0.2, speed=1600.0)
def test_lines_are_those_that_numpy_interpolates(seed: int, pressure: float, speed: float) -> None:
    drawn = criteria(seed)
    by_speed, by_pressure = at_speed(drawn, SPEEDS, speed), at_pressure(drawn, PRESSURES, pressure)
    both = read(drawn, [pressure, 1.3], PRESSURES, by_speed)
    for one, slow, pressed, ends in zip(drawn, by_speed, by_pressure, both, strict=True):
        for found, row in zip(slow, one.margin, strict=True):
            assert found == expected(one, speed**2, SPEEDS**2, row)
        for found, column in zip(pressed, one.margin.T, strict=True):
            assert found == expected(one, pressure, PRESSURES, column)
        for found, place in zip(ends, (pressure, 1.3), strict=True):
            assert found == expected(one, place, PRESSURES, slow)


def test_nothing_asked_and_a_single_node() -> None:
    drawn = criteria(4)
    assert read([], PRESSURES, PRESSURES, stacked([])[..., 0]).size == 0
    single = read(drawn, PRESSURES, PRESSURES[:1], stacked(drawn)[:, :1, 0])
    assert single.shape == (6, len(PRESSURES))
    assert single[0] == pytest.approx(drawn[0].margin[0, 0])
