"""The order of readings that the manual asks users for: its hysteresis comes out, and another order would hide it."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from sim.manual import page
from sim.readings import Readings, read_readings
from sim.readings.hysteresis import hysteresis


def shown(tmp_path: Path) -> Readings:
    """The rows of the manual, read as `fit` reads them."""
    lines = re.findall(r"^    (pressure \(.*|\d+, .*)$", page("validation").text, re.MULTILINE)
    path = tmp_path / "gauge.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return read_readings(path, largest_pressure=10.0)


def three_times(pressures: list[float], falls: list[bool], share: float) -> Readings:
    """Three runs of one gauge that reads more by a share while the pressure falls."""
    p, down = np.array(pressures * 3), np.array(falls * 3)
    force = 4000.0 * p * np.where(down, 1.0 + share, 1.0)
    return Readings(p, np.zeros(p.size), np.full(p.size, 45.0), force, np.arange(2, p.size + 2))


def test_the_rows_of_the_manual_are_readings_with_hysteresis(tmp_path: Path) -> None:
    read = shown(tmp_path)
    assert not read.bad
    assert (
        read.pressure[0] == read.pressure[-1] > read.pressure[-2]
    )  # the second run begins above the first's end
    told = hysteresis(read)
    assert told is not None
    assert told.pairs == 2
    assert told.share == pytest.approx((13.6 / 12.2 + 9.2 / 8.15) / 2 - 1.0, abs=0.005)


def test_the_order_of_the_manual_gives_the_share() -> None:
    told = hysteresis(
        three_times([2.0, 3.0, 4.0, 3.0, 2.0, 1.0], [False, False, False, True, True, True], 0.12)
    )
    assert told is not None
    assert told.share == pytest.approx(0.12)


def test_a_run_that_begins_where_the_last_one_ended_hides_a_part_of_it() -> None:
    told = hysteresis(three_times([2.0, 3.0, 4.0, 3.0, 2.0], [False, False, False, True, True], 0.12))
    assert told is None or told.share < 0.1
