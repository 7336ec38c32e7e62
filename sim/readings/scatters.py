"""What few readings tell of a scatter and of a mean, in the plane: bounds of `CONFIDENCE`.

Errors of three jaws that know nothing of each other scatter a part alike in every direction, so a vector counts as
two readings of one variance. The sum of squares about a mean then follows chi-square with two degrees of freedom for
each vector but one (any textbook). The scatter between groups whose members scatter, too, has the bounds of J. S.
Williams (A confidence interval for variance components, Biometrika 49, 1962): F and chi-square combined; they cover
as often as they say, or a little oftener (counted in `tests/sim/readings/test_dial_fit.py`). Groups of unlike size
count with the harmonic mean of their sizes (J. D. Thomas, R. A. Hultquist, Annals of Statistics 6, 1978). A mean
vector lies in the circle of Hotelling's T^2 for two dimensions of one variance, |mean - true|^2 <= s^2 2 F / n; what
that allows its length covers oftener than it says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from sim.readings.fit import CONFIDENCE, Estimate

Vectors = NDArray[np.complex128]
TAIL = 0.5 * (1.0 - CONFIDENCE)
LEAST = (
    3  # vectors in all, below which their scatter is not told: of two the upper bound is six times the value
)
MOST_OFF = 2.0  # upper bound over value from which on more readings are asked for


@dataclass(frozen=True, slots=True)
class Squares:
    """A sum of squares, in the square of the vectors' unit (mm, mm/N or rad), and its degrees of freedom."""

    total: float
    freedom: int

    @property
    def mean(self) -> float:
        """Variance in one direction."""
        return self.total / self.freedom if self.freedom else 0.0


def within(groups: Sequence[Vectors]) -> Squares:
    """Return what vectors scatter about the mean of their group."""
    total = sum(float(np.sum(np.abs(group - group.mean()) ** 2)) for group in groups)
    return Squares(total, sum(2 * (len(group) - 1) for group in groups))


def deviation(squares: Squares) -> Estimate:
    """Return the standard deviation in one direction with its bounds, by chi-square."""
    low, high = (math.sqrt(squares.total / stats.chi2.ppf(p, squares.freedom)) for p in (1.0 - TAIL, TAIL))
    return Estimate(math.sqrt(squares.mean), float(low), float(high))


def between(means: Vectors, counts: Sequence[int], inside: Squares) -> Estimate:
    """Return the standard deviation in one direction of what groups have for themselves, with its bounds.

    Parameters
    ----------
    means : (m,) array
        Of the groups.
    counts : sequence of int
        Members of each.
    inside : Squares
        What members scatter about their means. Without degrees of freedom all of what is found counts as that of the
        groups, and the lower bound is 0.
    """
    own = Squares(float(np.sum(np.abs(means - means.mean()) ** 2)), 2 * (len(means) - 1))
    if not inside.freedom:
        plain = deviation(own)
        return Estimate(plain.value, 0.0, plain.high)
    of_mean = inside.mean * float(np.mean(1.0 / np.asarray(counts, dtype=np.float64)))

    def left(p: float) -> float:
        allowed = stats.f.ppf(p, own.freedom, inside.freedom) * of_mean * own.freedom
        return math.sqrt(max(own.total - allowed, 0.0) / stats.chi2.ppf(p, own.freedom))

    value = math.sqrt(max(own.mean - of_mean, 0.0))
    # Means that agree better than their members let expect tell nothing: what they scatter bounds it then.
    return Estimate(value, min(left(1.0 - TAIL), value), max(left(TAIL), math.sqrt(own.mean)))


def length(mean: complex, count: int, inside: Squares) -> Estimate:
    """Return how long a mean vector is, with bounds."""
    off = math.sqrt(2.0 * float(stats.f.ppf(CONFIDENCE, 2, inside.freedom)) * inside.mean / count)
    return Estimate(abs(mean), max(abs(mean) - off, 0.0), abs(mean) + off)


def widened(found: Estimate, step: float) -> Estimate:
    """Return an estimate whose upper bound also covers what a dial that reads in steps cannot show."""
    return Estimate(found.value, found.low, math.hypot(found.high, step), found.held)


def upper_over_value(count: int) -> float:
    """Return by how much the upper bound of a scatter is over its value, of one group of so many vectors."""
    freedom = 2 * (count - 1)
    return math.sqrt(freedom / float(stats.chi2.ppf(TAIL, freedom)))


def needed(ratio: float = MOST_OFF) -> int:
    """Return how many vectors of one group bring the upper bound within so many times the value."""
    count = 2
    while upper_over_value(count) > ratio:
        count += 1
    return count
