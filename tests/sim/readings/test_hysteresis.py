"""Readings with falling pressure beside those with rising pressure, on rows written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.readings import Readings
from sim.readings.hysteresis import hysteresis, untold


def rows(*read: tuple[float, float], height: float = 40.0, speed: float = 0.0) -> Readings:
    """Pressure (MPa) and force (N) in the order in which they were read."""
    p, f = np.array(read).T
    n = len(p)
    return Readings(p, np.full(n, speed), np.full(n, height), f, np.arange(2, n + 2))


def test_the_same_pressures_up_and_down() -> None:
    """10 and 20 % more on the way down: 15 % in the mean, 20 % at 10 bar between lines 3 and 6."""
    found = hysteresis(
        rows((0.5, 500.0), (1.0, 1000.0), (1.5, 1500.0), (2.0, 2000.0), (1.0, 1200.0), (0.5, 550.0))
    )
    assert found is not None
    assert found.share == pytest.approx(0.15)
    assert (found.largest, found.pressure) == (pytest.approx(0.2), 1.0)
    assert found.lines == (3, 6)
    assert found.pairs == 2


def test_between_two_pressures_a_line_is_drawn() -> None:
    found = hysteresis(rows((1.0, 1000.0), (2.0, 2000.0), (1.5, 1650.0)))
    assert found is not None
    assert found.share == pytest.approx(0.1)


def test_rising_alone_falling_beyond_and_other_heights_say_nothing() -> None:
    assert hysteresis(rows((0.5, 500.0), (1.0, 1000.0), (2.0, 2000.0))) is None
    # below all that was read with rising pressure
    assert hysteresis(rows((1.0, 1000.0), (2.0, 2000.0), (0.5, 900.0))) is None
    one, other = rows((1.0, 1000.0), (2.0, 2000.0)), rows((1.0, 600.0), (2.0, 1200.0), height=90.0)
    both = (
        np.concatenate([getattr(r, n) for r in (one, other)])
        for n in ("pressure", "speed", "height", "force")
    )
    assert hysteresis(Readings(*both, np.arange(2, 6))) is None


def test_readings_repeated_without_a_change_of_pressure_are_no_hysteresis() -> None:
    assert hysteresis(rows((1.0, 1000.0), (1.0, 1100.0), (1.0, 900.0))) is None


def test_scatter_alone_is_none() -> None:
    rng, up = np.random.default_rng(5), np.linspace(0.5, 2.5, 9)
    pressure = np.concatenate([up, up[::-1][1:]])
    alarms = 0
    for _ in range(100):
        force = 1000.0 * pressure * (1.0 + rng.normal(0.0, 0.02, pressure.size))
        alarms += hysteresis(rows(*zip(pressure, force, strict=True))) is not None
    assert alarms <= 5


def test_repeats_in_another_order_hide_it_and_a_direction_tells_it() -> None:
    """Up to a pressure and down to it by turns, 15 % apart: by the lines alone nothing falls."""
    read = rows(*[(1.0, 1000.0 * (1.0 + 0.15 * (k % 2))) for k in range(8)])
    assert hysteresis(read) is None
    assert "pressures are repeated and no column direction" in untold(read)
    told = replace(read, falls=np.arange(8) % 2 == 1)
    found = hysteresis(told)
    assert found is not None
    assert found.share == pytest.approx(0.15)
    assert untold(told) == ""


def test_a_direction_that_never_falls_tells_none() -> None:
    read = replace(rows((1.0, 1000.0), (2.0, 2000.0)), falls=np.zeros(2, dtype=bool))
    assert untold(read) == "no reading was taken with falling pressure"
    assert untold(rows((1.0, 1000.0), (2.0, 2000.0))) == ""


def test_a_repeat_at_another_height_or_speed_is_none() -> None:
    one, other = rows((1.0, 1000.0)), rows((1.0, 900.0), height=90.0)
    both = (
        np.concatenate([getattr(r, n) for r in (one, other)])
        for n in ("pressure", "speed", "height", "force")
    )
    assert untold(Readings(*both, np.arange(2, 4))) == ""
