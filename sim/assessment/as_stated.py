"""What is judged as if jaws or part had been cut as stated, where the path that cuts them fails to do so.

Grip, travel and contact are those of the pocket as the scenario states it, and of the part that an earlier operation
was to make. Where the path leaves metal or cuts too deep, they hold for something that is not there: no such verdict
passes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.bar import BAR_SLENDERNESS
from sim.assessment.verdicts.boring import STEADY_PRESSURE
from sim.assessment.verdicts.jaw import UNBALANCE, WALL_TO_THE_COUNTERBORE
from sim.assessment.verdicts.path import (
    CUT_BELOW_THE_PART,
    CUT_BELOW_THE_POCKET,
    STOCK_LEFT_IN_THE_POCKET,
    STOCK_LEFT_ON_THE_PART,
)
from sim.assessment.verdicts.pockets import METAL_FOR_A_REBORE
from sim.assessment.verdicts.program import CHUCK_CLOSED, SPEED_AND_FEED_STATED, SPINDLE_TURNS

_NOT_CUT = (STOCK_LEFT_IN_THE_POCKET.key, CUT_BELOW_THE_POCKET.key)
_NOT_TURNED = (STOCK_LEFT_ON_THE_PART.key, CUT_BELOW_THE_PART.key)
BORING, JAWS = "boring", "jaws"
# Of the jaws themselves what their pocket decides; of an operation all but what does not ask for it.
OF_JAWS = (WALL_TO_THE_COUNTERBORE.key, METAL_FOR_A_REBORE.key, UNBALANCE.key)
APART = (
    STEADY_PRESSURE.key,
    BAR_SLENDERNESS.key,
    SPEED_AND_FEED_STATED.key,
    SPINDLE_TURNS.key,
    CHUCK_CLOSED.key,
)
CORRECT = "Correct what cuts it first, then judge this again."


def doubts(verdicts: Iterable[Verdict], operations: Sequence[str]) -> dict[str, str]:
    """Return the stages whose verdicts hold for what has not been cut as stated, with a sentence that says so.

    Parameters
    ----------
    verdicts : iterable of Verdict
    operations : sequence of str
        Names, in their order.
    """
    failed = {(v.key, v.stage) for v in verdicts if v.status == "fail"}
    found: dict[str, str] = {}
    if any((key, BORING) in failed for key in _NOT_CUT):
        words = "judged as if the pockets were bored as stated, which the path does not do"
        found = dict.fromkeys((JAWS, *operations), words)
    for number, operation in enumerate(operations):
        if any((key, operation) in failed for key in _NOT_TURNED):
            for later in operations[number + 1 :]:
                turned = (
                    f"judged as if the part came as stated, which the program of '{operation}' does not leave"
                )
                found[later] = f"{found[later]}; {turned}" if later in found else turned
    return found


def depends(key: str, stage: str, doubted: dict[str, str]) -> bool:
    """Tell whether a verdict (its key) asks for what has not been cut as stated; `doubted` is from `doubts`."""
    if stage not in doubted:
        return False
    return key in OF_JAWS if stage == JAWS else key not in APART


def without_passes(verdicts: Iterable[Verdict], doubted: dict[str, str]) -> list[Verdict]:
    """Return the verdicts with a warning for each pass that holds for what has not been cut as stated."""
    return [
        replace(
            one,
            status="warn",
            message=f"{one.message.rstrip('.')}; {doubted[one.stage]}.",
            advice=CORRECT,
        )
        if one.status == "pass" and depends(one.key, one.stage, doubted)
        else one
        for one in verdicts
    ]
