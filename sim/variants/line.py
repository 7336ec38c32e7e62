"""One verdict over arrays: value, limit, and what it is called where the limit is missed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.assessment.verdicts.rule import Rule
from sim.base.arrays import Floats
from sim.variants.result import FAIL, PASS, Codes


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A verdict of n variants.

    Attributes
    ----------
    rule : Rule
    stage : str
        As in `Verdict`.
    value, limit : (n,) array, or float where all are alike
        In the unit of the verdict.
    otherwise : int or (n,) array
        Status where the limit is missed.
    passed : int or (n,) array
        Status where it is met.
    """

    rule: Rule
    stage: str
    value: Floats | float
    limit: Floats | float
    otherwise: int | Codes = FAIL
    passed: int | Codes = PASS

    @property
    def status(self) -> Codes:
        """Status of each variant, by the same rule as `sim.assessment.verdicts.rule`."""
        met = self.rule.met(np.asarray(self.value), self.limit)
        return np.asarray(np.where(met, self.passed, self.otherwise), dtype=np.int8)
