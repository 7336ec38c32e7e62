"""Shares and percentiles of a sample with their sampling error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import stats

from sim.base.arrays import Flags, Floats

CONFIDENCE = 0.95
SHARES = (0.05, 0.5, 0.95)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with the ends of its interval, all in its unit; a probability is a share."""

    value: float
    low: float
    high: float


def probability(held: Flags, surely: Flags, perhaps: Flags) -> Estimate:
    """Return the share of rows that hold.

    Its interval is Wilson's (95 %), from its lower end for the rows that hold `surely` to its upper end for those
    that hold `perhaps`, which differ from `held` by what a model is known to be off. It takes the rows as drawn
    independently; a Sobol sequence scatters less.
    """
    return Estimate(float(held.mean()), _wilson(surely)[0], _wilson(perhaps)[1])


def _wilson(rows: Flags) -> tuple[float, float]:
    low, high = stats.binomtest(int(rows.sum()), rows.size).proportion_ci(CONFIDENCE, "wilson")
    return float(low), float(high)


def percentiles(values: Floats) -> tuple[Estimate, ...]:
    """Return the percentiles of `SHARES`, each with a distribution-free interval (95 %) from order statistics."""
    found = []
    for share in SHARES:
        at = float(np.quantile(values, share))
        # Typed as one number by the stubs.
        ends: Any = stats.quantile_test(values, q=at, p=share).confidence_interval(CONFIDENCE)
        # With few rows a tail's interval is open: then the sample's end stands for it.
        low = float(ends.low) if np.isfinite(ends.low) else float(values.min())
        high = float(ends.high) if np.isfinite(ends.high) else float(values.max())
        found.append(Estimate(at, low, high))
    return tuple(found)
