"""Where to stand between borders: clear of what only warns if that can be, as far inside of what fails as can be."""

from __future__ import annotations

import numpy as np

from sim.assessment.verdicts.rule import MET
from sim.base.arrays import Flags, Floats

CLEAR = 1.05  # margin kept from what only warns, where it can be (assumption, no source)
ALIKE = 1e-6  # margins this near to each other do not tell places apart
FOLLOWING = 4  # margins after the least that tell places of one least margin apart


def farthest_inside(hard: Floats, soft: Floats) -> int | None:
    """Return the number of the place that is best, None where something fails at every one.

    Of the places that are not warned of, the one whose least margin of what fails is largest; where several are alike,
    the next margins decide, what warns among them, and at last the middle of those that are left.

    Parameters
    ----------
    hard, soft : (h, n), (s, n) arrays
        Margins of what fails and of what only warns, at n places in a row. No unit.
    """
    least = hard.min(axis=0)
    left = np.flatnonzero(_quietest(least >= MET, soft))
    if not len(left):
        return None
    for row in (least, *np.sort(np.concatenate([hard, soft]), axis=0)[: 1 + FOLLOWING]):
        left = left[row[left] >= row[left].max() - ALIKE]
    return int(left[len(left) // 2])


def _quietest(holds: Flags, soft: Floats) -> Flags:
    """Return which of the places that hold are warned of least: clear of every warning that can be kept clear of."""
    if not holds.any():
        return holds
    can_be = soft[(soft[:, holds] >= MET).any(axis=1)]
    for margin in (CLEAR, MET):
        quiet = holds & (can_be >= margin).all(axis=0)
        if quiet.any():
            return quiet
    warned = (can_be < MET).sum(axis=0)
    return np.asarray(holds & (warned == warned[holds].min()))
