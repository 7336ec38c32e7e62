"""One verdict over arrays: value, limit, and what it is called where the limit is missed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.verdicts.rule import RELATIVE
from sim.variants.result import FAIL, PASS, Codes

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A verdict of n variants.

    Attributes
    ----------
    name, stage : str
        As in `Verdict`.
    value, limit : (n,) arrays
    at_least : bool
        The value must be at least the limit; at most where False.
    otherwise : int or (n,) array
        Status where the limit is missed.
    passed : int or (n,) array
        Status where it is met.
    """

    name: str
    stage: str
    value: Floats
    limit: Floats
    at_least: bool
    otherwise: int | Codes = FAIL
    passed: int | Codes = PASS

    @property
    def status(self) -> Codes:
        """Status of each variant, by the same rule as `sim.assessment.verdicts.rule`."""
        slack = RELATIVE * np.abs(self.limit)
        met = self.value >= self.limit - slack if self.at_least else self.value <= self.limit + slack
        return np.asarray(np.where(met, self.passed, self.otherwise), dtype=np.int8)
