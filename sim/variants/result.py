"""Verdicts of many variants as arrays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.verdict import Status
from sim.assessment.verdicts.rule import margins
from sim.base.arrays import Flags, Floats

Codes = NDArray[np.int8]

FAIL, WARN, PASS, REFUSED = 0, 1, 2, -1  # worst first, as verdicts are shown; refused is no status
WORDS: tuple[Status, ...] = ("fail", "warn", "pass")


def fails_where(grave: Flags) -> Codes:
    """Return what variants that miss a limit are: FAIL where it is grave, else WARN."""
    return np.where(grave, FAIL, WARN).astype(np.int8)


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """n variants under m verdicts, columns in the order of the assessment they come from.

    Attributes
    ----------
    keys, names, stages, units : tuples of m str
        As in `Verdict`; names are for people only.
    at_least : (m,) bool array
        The value must be at least its limit; at most where False.
    carried : (m,) bool array
        Taken over from the assessment: no key that varies here can change it.
    status : (n, m) int8 array
        FAIL, WARN or PASS; REFUSED all along a refused row.
    value, limit : (n, m) arrays
        In the verdict's unit; nan in a refused row.
    refused : (n,) int16 array
        0, or the place in `reasons` that says why `check` would refuse the variant.
    reasons : tuple of str
        The first is empty.
    figures : mapping of (n,) arrays
        By 'operation name: figure unit', see `sim.variants.judge`.
    unasked : int
        Questions that matter and were not asked of the setup: no variant of it is more than a warning.
    """

    keys: tuple[str, ...]
    names: tuple[str, ...]
    stages: tuple[str, ...]
    units: tuple[str, ...]
    at_least: Flags
    carried: Flags
    status: Codes
    value: Floats
    limit: Floats
    refused: NDArray[np.int16]
    reasons: tuple[str, ...]
    figures: Mapping[str, Floats]
    unasked: int

    @property
    def worst(self) -> Codes:
        """Worst status of each variant, (n,); REFUSED where it is refused."""
        worst = self.status.min(axis=1)
        return np.asarray(np.minimum(worst, WARN) if self.unasked else worst, dtype=np.int8)

    @property
    def margin(self) -> Floats:
        """Value over limit, or the reverse for an upper limit, (n, m): 1 is just enough, more is better."""
        return margins(self.value, self.limit, at_least=self.at_least)

    def column(self, key: str, stage: str) -> int:
        """Return the column of a verdict, by the key of its rule.

        Raises
        ------
        KeyError
            If there is none of that key and stage.
        """
        for column, found in enumerate(zip(self.keys, self.stages, strict=True)):
            if found == (key, stage):
                return column
        raise KeyError(f"no verdict '{key}' of '{stage}'")

    def word(self, row: int) -> str:
        """Return the worst status of a variant in words; 'refused' where there is none."""
        worst = int(self.worst[row])
        return "refused" if worst == REFUSED else WORDS[worst]
