"""Verdict on the pockets as they may come off the tool, at the limits of their sizes.

No errors are added up: the whole setup is judged again at the limits, each rule at its own worst state.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sim.assessment.verdict import ORDER, Status, Verdict
from sim.assessment.verdicts.rule import Rule

STAGE = "boring"
MOST_NAMED = 3  # verdicts, the worst in full

POCKETS_AT_THEIR_LIMITS = Rule(
    key="pockets_at_their_limits",
    name="pockets at their limits",
    unit="verdicts",
    at_least=False,
    basis="the whole setup judged again with its pockets at the limits of their stated tolerances, in all combinations",
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry", "contact"}),
    view="",
    asks="with the pockets bored as large, small, deep or shallow as their tolerances allow: does every verdict stay?",
)


@dataclass(frozen=True, slots=True, eq=False)
class AtLimit:
    """The verdicts on a setup whose pockets are at limits of their sizes, and which these are, in words."""

    told: str
    verdicts: tuple[Verdict, ...]


def pocket_limit_verdicts(stated: Sequence[Verdict], limits: Sequence[AtLimit]) -> Iterator[Verdict]:
    """Yield the verdict on which others are worse at a limit than as stated; none where nothing has a tolerance."""
    if not limits:
        return
    before = {(one.key, one.stage): one.status for one in stated}
    worse = [(at.told, one) for at in limits for one in at.verdicts if _worse(one, before)]
    if not worse:
        yield POCKETS_AT_THEIR_LIMITS.verdict(
            STAGE,
            0.0,
            0.0,
            message=f"judged again with {_each(limits)}: no verdict is worse than as drawn.",
            advice="",
        )
        return
    worse.sort(key=lambda pair: pair[1].rank)
    told, worst = worse[0]
    keys = dict.fromkeys((one.key, one.stage) for _, one in worse)
    named = dict.fromkeys(f"{one.name} ({one.stage})" for _, one in worse[1:] if one.key != worst.key)
    others = list(named)[: MOST_NAMED - 1]
    more = f"; worse there or at another limit, too: {', '.join(others)}" if others else ""
    status: Status = "fail" if worst.status == "fail" else "warn"
    yield POCKETS_AT_THEIR_LIMITS.verdict(
        STAGE,
        float(len(keys)),
        0.0,
        message=f"with {told}, {worst.name} ({worst.stage}) {SAID[worst.status]}: "
        f"{worst.message.rstrip('.')}{more}.",
        advice="Bore the pockets to closer tolerances and state these, or make room for them. "
        f"Of {worst.name}: {worst.advice}",
        otherwise=status,
    )


SAID: dict[Status, str] = {"fail": "fails", "warn": "warns", "pass": "passes"}


def _worse(one: Verdict, before: dict[tuple[str, str], Status]) -> bool:
    """Tell whether a verdict at a limit is worse than as stated; one that is only asked there was none before."""
    return ORDER.index(one.status) < ORDER.index(before.get((one.key, one.stage), "pass"))


def _each(limits: Sequence[AtLimit]) -> str:
    """Return the limits in words; of many only how many there are."""
    if len(limits) <= MOST_NAMED:
        return "; with ".join(at.told for at in limits)
    return f"the pockets at their limits in all {len(limits)} combinations"
