"""What is judged as if jaws or part had been cut as stated, where the path that cuts them fails to do so.

Grip, travel and contact are those of the pocket as the scenario states it, and of the part that an earlier operation
was to make. Where the path leaves metal or cuts too deep, they hold for something that is not there: no such verdict
passes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from sim.assessment.results import Verdict

_NOT_CUT = ("stock left in the pocket", "cut below the pocket")
_NOT_TURNED = ("stock left on the part", "cut below the part")
BORING, JAWS = "boring", "jaws"
# Of the jaws themselves what their pocket decides; of an operation all but what does not ask for it.
OF_JAWS = ("wall to the counterbore", "metal for a re-bore", "unbalance")
APART = ("steady pressure", "bar slenderness", "speed and feed stated", "spindle turns", "chuck closed")
CORRECT = "Correct what cuts it first, then judge this again."


def doubts(verdicts: Iterable[Verdict], operations: Sequence[str]) -> dict[str, str]:
    """Return the stages whose verdicts hold for what has not been cut as stated, with a sentence that says so.

    Parameters
    ----------
    verdicts : iterable of Verdict
    operations : sequence of str
        Names, in their order.
    """
    failed = {(v.name, v.stage) for v in verdicts if v.status == "fail"}
    found: dict[str, str] = {}
    if any((name, BORING) in failed for name in _NOT_CUT):
        words = "judged as if the pockets were bored as stated, which the path does not do"
        found = dict.fromkeys((JAWS, *operations), words)
    for number, operation in enumerate(operations):
        if any((name, operation) in failed for name in _NOT_TURNED):
            for later in operations[number + 1 :]:
                turned = (
                    f"judged as if the part came as stated, which the program of '{operation}' does not leave"
                )
                found[later] = f"{found[later]}; {turned}" if later in found else turned
    return found


def depends(name: str, stage: str, doubted: dict[str, str]) -> bool:
    """Tell whether a verdict asks for what has not been cut as stated; `doubted` is from `doubts`."""
    if stage not in doubted:
        return False
    return name in OF_JAWS if stage == JAWS else name not in APART


def without_passes(verdicts: Iterable[Verdict], doubted: dict[str, str]) -> list[Verdict]:
    """Return the verdicts with a warning for each pass that holds for what has not been cut as stated."""
    return [
        replace(
            one,
            status="warn",
            message=f"{one.message.rstrip('.')}; {doubted[one.stage]}.",
            advice=CORRECT,
        )
        if one.status == "pass" and depends(one.name, one.stage, doubted)
        else one
        for one in verdicts
    ]
