"""Verdicts of two revisions that differ, worst first."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from sim.assessment.results import Assessment
from sim.assessment.verdict import ORDER, NotJudged, Verdict

STILL = 1e-6  # relative; a figure that moves less has not moved: solvers end so near
Way = Literal["worse", "better", "moved", "new", "gone"]


@dataclass(frozen=True, slots=True)
class VerdictMove:
    """A verdict that differs; `old` or `new` is None where that revision does not judge it."""

    old: Verdict | None
    new: Verdict | None

    @property
    def now(self) -> Verdict:
        """The new one; the old one where there is none."""
        found = self.new or self.old
        if found is None:
            raise ValueError("a verdict moves from or to somewhere")
        return found

    @property
    def way(self) -> Way:
        """Which way it moved: by its status first, then by its margin."""
        if self.old is None:
            return "new"
        if self.new is None:
            return "gone"
        before, after = ORDER.index(self.old.status), ORDER.index(self.new.status)
        if before != after:
            return "worse" if after < before else "better"
        if _still(self.old.margin, self.new.margin):
            return "moved"
        return "worse" if self.new.margin < self.old.margin else "better"

    @property
    def rank(self) -> tuple[int, int, float]:
        """Sorts worst first: by the status now, what got worse before what did not; what is gone is as a warning."""
        status = ORDER.index("warn") if self.new is None else ORDER.index(self.new.status)
        worse = 0 if self.way in ("worse", "gone", "new") else 1
        return status, worse, self.now.margin


@dataclass(frozen=True, slots=True)
class Moves:
    """Verdicts that moved, worst first, and questions that are open in one revision only."""

    verdicts: tuple[VerdictMove, ...]
    opened: tuple[NotJudged, ...]
    closed: tuple[NotJudged, ...]


def moves(old: Assessment, new: Assessment, stages: Mapping[str, str]) -> Moves:
    """Return how the verdicts of two revisions differ.

    Parameters
    ----------
    old, new : Assessment
    stages : mapping
        For names of operations in the new revision what the old one calls them.
    """
    back = {was: name for name, was in stages.items()}
    before = {(back.get(v.stage, v.stage), v.key): v for v in old.verdicts}
    after = {(v.stage, v.key): v for v in new.verdicts}
    found = [VerdictMove(before.get(key), v) for key, v in after.items() if _moved(before.get(key), v)]
    found += [VerdictMove(v, None) for key, v in before.items() if key not in after]
    open_before = {(back.get(q.stage, q.stage), q.question): q for q in old.not_judged}
    open_after = {(q.stage, q.question): q for q in new.not_judged}
    return Moves(
        tuple(sorted(found, key=lambda move: move.rank)),
        tuple(q for key, q in open_after.items() if key not in open_before),
        tuple(q for key, q in open_before.items() if key not in open_after),
    )


def _moved(old: Verdict | None, new: Verdict) -> bool:
    if old is None or old.status != new.status:
        return True
    return not (_still(old.value, new.value) and _still(old.limit, new.limit))


def _still(old: float, new: float) -> bool:
    if not (math.isfinite(old) and math.isfinite(new)):
        return old == new or (math.isnan(old) and math.isnan(new))
    return math.isclose(old, new, rel_tol=STILL, abs_tol=1e-12)
