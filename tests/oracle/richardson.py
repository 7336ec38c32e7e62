"""Error estimates from a series of meshes (Richardson 1911; Roache, J. Fluids Eng. 116, 1994, 405)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

LOWEST_ORDER, HIGHEST_ORDER = 0.5, 6.0


def observed_order(levels: Sequence[int], values: Sequence[float]) -> float:
    """Return p of f = f0 + c level^-p through the last three values; nan if they do not run one way or are two."""
    if len(values) < 3:
        return float("nan")
    (a, b, c), (f, g, h) = levels[-3:], values[-3:]
    if not np.all(np.isfinite([f, g, h])) or (f - g) * (g - h) <= 0.0:
        return float("nan")
    orders = np.linspace(LOWEST_ORDER, HIGHEST_ORDER, 1101)
    ratio = (a**-orders - b**-orders) / (b**-orders - c**-orders)
    return float(orders[np.argmin(np.abs(np.log(ratio * (g - h) / (f - g))))])


def extrapolated(levels: Sequence[int], values: Sequence[float]) -> float:
    """Return f0; with two levels by order 1; the finest value if three levels do not run one way."""
    order = 1.0 if len(values) < 3 else observed_order(levels, values)
    if np.isnan(order):
        return float(values[-1])
    ratio = (levels[-1] / levels[-2]) ** order
    return float(values[-1] + (values[-1] - values[-2]) / (ratio - 1.0))


def error_estimate(levels: Sequence[int], values: Sequence[float]) -> float:
    """Return the estimated size of the finest value's error; the last change if three levels do not run one way."""
    if len(values) >= 3 and np.isnan(observed_order(levels, values)):
        return float(np.max(np.abs(np.diff(values[-3:]))))
    return abs(extrapolated(levels, values) - float(values[-1]))
