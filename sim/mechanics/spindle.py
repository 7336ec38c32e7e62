"""Power and torque that a spindle gives over its speed, by the points of the machine's own chart.

A chart has constant torque up to a base speed, then constant power, at the top often less: power over speed is straight
in the first, level in the second. Points joined by straight lines give both exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import overload

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number, choose, smaller

Chart = Sequence[tuple[float, float]]
"""Speeds (rev/min, rising) with the power (W) there."""


def shaft_power(torque: Number, speed: Number) -> Number:
    """Return the power (W) of a torque (N mm) at a spindle speed (rev/min): M 2 pi n."""
    return torque * speed * (2.0 * math.pi / 60_000.0)


@overload
def power_given(speed: float, chart: Chart) -> float: ...
@overload
def power_given(speed: Floats, chart: Chart) -> Floats: ...
def power_given(speed: Floats | float, chart: Chart) -> Floats | float:
    """Return the power (W) at a spindle speed (rev/min); below the first point its torque, so power goes with speed."""
    speeds, powers = zip((0.0, 0.0), *chart, strict=True)
    found = np.interp(speed, speeds, powers)
    return np.asarray(found) if isinstance(speed, np.ndarray) else float(found)


def least_power_given(low: Number, high: Number, chart: Chart) -> Number:
    """Return the least power (W) between two spindle speeds (rev/min), `high` not below `low`."""
    least = smaller(power_given(low, chart), power_given(high, chart))
    for speed, power in chart:
        between = (low < speed) & (speed < high)
        least = smaller(least, choose(between, power, least))
    return least
