"""What a study comes to: how many pass, what blocks most, the best few; added up block by block."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.assessment.verdicts.rules import rule_of
from sim.base.arrays import Ints
from sim.studies.rows import STATUSES, Rows
from sim.variants import FAIL, WARN

if TYPE_CHECKING:
    from sim.studies.plan import Case

BEST = 5
KEPT = 3 * BEST  # of a block and of the whole: those behind follow where the full check refuses one
MOST_REASONS = 100  # kept of the sentences of refused variants


@dataclass(frozen=True, slots=True)
class Best:
    """A variant that passes.

    Attributes
    ----------
    variant : int
    scenario : str
    warns : bool
    margin : float
        No unit; 1 is just enough.
    closest : str
        Verdict and stage that set the margin.
    values : dict
        By column.
    """

    variant: int
    scenario: str
    warns: bool
    margin: float
    closest: str
    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Summary:
    """Counts of variants.

    Attributes
    ----------
    statuses : dict
        Variants by worst status: fail, warn, pass, refused.
    together : int
        Variants from shared solutions; the others were assessed one by one.
    failing : dict
        By 'verdict, stage': how many variants fail it.
    alone : dict
        The same for variants that fail nothing else.
    refusals : dict
        By reason: how many variants cannot be made.
    best : tuple of Best
        What passes without a warning first, then by margin.
    """

    statuses: dict[str, int] = field(default_factory=dict)
    together: int = 0
    failing: dict[str, int] = field(default_factory=dict)
    alone: dict[str, int] = field(default_factory=dict)
    refusals: dict[str, int] = field(default_factory=dict)
    best: tuple[Best, ...] = ()

    @property
    def count(self) -> int:
        """Number of variants."""
        return sum(self.statuses.values())

    @property
    def fitting(self) -> int:
        """Variants in which nothing fails."""
        return self.statuses.get("pass", 0) + self.statuses.get("warn", 0)

    def as_object(self) -> dict[str, Any]:
        """Return it as plain dictionaries and numbers."""
        found = asdict(self)
        for one in found["best"]:
            one["margin"] = one["margin"] if math.isfinite(one["margin"]) else None
        found["best"] = list(found["best"])
        return found


def from_object(found: dict[str, Any]) -> Summary:
    """Return a summary as `Summary.as_object` wrote it."""
    best = [{**one, "margin": math.inf if one["margin"] is None else one["margin"]} for one in found["best"]]
    return Summary(**{**found, "best": tuple(Best(**one) for one in best)})


def summed(case: Case, ids: Ints, values: tuple[list[Any], ...], rows: Rows) -> Summary:
    """Return the summary of a block."""
    statuses = Counter(STATUSES[code] for code in rows.worst.tolist())
    fails = rows.status == FAIL
    single = fails.sum(axis=1) == 1
    names = [f"{rule_of(key).name}, {stage}" for key, stage, _ in case.verdicts]
    failing = {n: int(c) for n, c in zip(names, fails.sum(axis=0), strict=True) if c}
    alone = {n: int(c) for n, c in zip(names, fails[single].sum(axis=0), strict=True) if c}
    # A refused variant's sentence differs in its numbers only from many others.
    refusals = Counter(text.split(", found")[0] for text in rows.refusal if text)
    fitting = np.flatnonzero(rows.worst > FAIL)
    order = np.lexsort((ids[fitting], -rows.margin[fitting], rows.worst[fitting] == WARN))
    best = tuple(
        Best(
            int(ids[row]),
            case.name,
            bool(rows.worst[row] == WARN),
            float(rows.margin[row]),
            str(rows.closest[row]),
            {q.column: one[row] for q, one in zip(case.design.quantities, values, strict=True)},
        )
        for row in fitting[order[:KEPT]]
    )
    return Summary(
        dict(statuses), int(rows.quick.sum()), failing, alone, dict(refusals.most_common(MOST_REASONS)), best
    )


def together(summaries: Iterable[Summary]) -> Summary:
    """Return the sum of summaries."""
    counts = [Counter[str]() for _ in range(4)]
    quick = 0
    best: list[Best] = []
    for one in summaries:
        for total, more in zip(counts, (one.statuses, one.failing, one.alone, one.refusals), strict=True):
            total.update(more)
        quick += one.together
        best = sorted([*best, *one.best], key=lambda b: (b.warns, -b.margin, b.variant))[:KEPT]
    statuses, failing, alone, refusals = (dict(c.most_common(MOST_REASONS)) for c in counts)
    return Summary(statuses, quick, failing, alone, refusals, tuple(best))
