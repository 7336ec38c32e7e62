"""Distributions of one figure, by their quantiles; scipy.stats has the curves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from sim.base.arrays import Floats

Kind = Literal["normal", "uniform", "triangular", "lognormal"]
CUT = 4.0  # standard deviations at which normal distributions end: 1 in 16 000 lies beyond


@dataclass(frozen=True, slots=True)
class Distribution:
    """One figure's distribution.

    Attributes
    ----------
    kind : str
    low, high : float
        Nothing lies beyond them; in the unit of the quantity.
    centre : float
        Mean (normal), middle (uniform), mode (triangular) or median (lognormal). In that unit.
    width : float
        Standard deviation (normal), or of the logarithm (lognormal); else 0.
        In that unit, of a logarithm none.

    Raises
    ------
    ValueError
        If low, centre and high do not rise.
    """

    kind: Kind
    low: float
    centre: float
    high: float
    width: float = 0.0

    def __post_init__(self) -> None:
        if not self.low <= self.centre <= self.high:
            raise ValueError(f"low, centre and high must rise, not {self.low}, {self.centre}, {self.high}")

    @property
    def is_fixed(self) -> bool:
        """Tell whether there is no spread."""
        return self.low == self.high

    def ppf(self, shares: ArrayLike) -> Floats:
        """Return the values below which the given shares lie."""
        p = np.asarray(shares, dtype=np.float64)
        if self.is_fixed:
            return np.full(p.shape, self.centre)
        if self.kind == "uniform":
            found = stats.uniform.ppf(p, self.low, self.high - self.low)
        elif self.kind == "triangular":
            span = self.high - self.low
            found = stats.triang.ppf(p, (self.centre - self.low) / span, self.low, span)
        elif self.kind == "normal":
            found = self.centre + self.width * stats.truncnorm.ppf(p, -CUT, CUT)
        else:
            found = self.centre * np.exp(self.width * stats.truncnorm.ppf(p, -CUT, CUT))
        return np.asarray(found, dtype=np.float64)


def normal(mean: float, deviation: float) -> Distribution:
    """Return a normal distribution, cut at `CUT` standard deviations."""
    return Distribution("normal", mean - CUT * deviation, mean, mean + CUT * deviation, deviation)


def uniform(low: float, high: float) -> Distribution:
    """Return a distribution in which all values between two ends are alike."""
    return Distribution("uniform", low, 0.5 * (low + high), high)


def triangular(low: float, mode: float, high: float) -> Distribution:
    """Return a distribution that is most likely at its mode and ends at low and high."""
    return Distribution("triangular", low, mode, high)


def lognormal(median: float, factor: float) -> Distribution:
    """Return a distribution whose logarithm is normal, `factor` being one standard deviation up."""
    return Distribution(
        "lognormal", median / factor**CUT, median, median * factor**CUT, float(np.log(factor))
    )
