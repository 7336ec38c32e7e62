"""The best variants of a study judged once more by the full check, so that none is named that `check` would refuse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.layouts.full_check import FullCheck, full_check_changed
from sim.studies.plan import Case
from sim.studies.summary import BEST, Best, Summary


@dataclass(frozen=True, slots=True, eq=False)
class Confirmed:
    """A variant that is named, and what the full check says of it."""

    best: Best
    check: FullCheck


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """What a study names.

    Attributes
    ----------
    best : tuple of Confirmed
        That the full check confirms, `BEST` of them at most, in the summary's order.
    rejected : tuple of Confirmed
        That passed from shared solutions but not the full check.
    """

    best: tuple[Confirmed, ...] = ()
    rejected: tuple[Confirmed, ...] = ()


def confirmed(found: Summary, cases: Sequence[Case]) -> Named:
    """Return the best variants of a summary, each assessed as its file would have it; what is refused is left out."""
    by_name = {case.name: case for case in cases}
    named: list[Confirmed] = []
    rejected: list[Confirmed] = []
    for one in found.best:
        if len(named) == BEST:
            break
        made = Confirmed(one, _checked(by_name[one.scenario], one.variant))
        (named if made.check.confirmed else rejected).append(made)
    return Named(tuple(named), tuple(rejected))


def _checked(case: Case, variant: int) -> FullCheck:
    quantities = case.design.quantities
    values = case.design.values(np.array([variant - case.first]))
    changes = {q.key: q.text(own[0]) for q, own in zip(quantities, values, strict=True)}
    return full_check_changed(case.tables, case.path, changes, case.model)
