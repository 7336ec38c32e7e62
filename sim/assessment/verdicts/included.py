"""Verdict on values that come from gauge readings: were the readings behind them accepted."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.printable import printable
from sim.scenario import Scenario
from sim.scenario.included import REJECTED, WITH_FINDINGS, Included

STAGE = "jaws"

GAUGE_READINGS = Rule(
    key="gauge_readings",
    name="gauge readings",
    unit="files in doubt",
    at_least=False,
    basis="what the fit that has written the file says of its readings",
    depends=frozenset(),
    view="",
    asks="were the readings accepted, from which an included file has its values?",
)


def included_verdicts(scenario: Scenario) -> Iterator[Verdict]:
    """Yield the verdict on the worst included file that states what a fit of gauge readings gives; none without one."""
    files = [one for one in scenario.included if one.is_gauged]
    if not files:
        return
    worst = max(files, key=_weight)
    judged = worst.judgement
    said = (
        "it does not say whether the gauge readings behind them were accepted"
        if judged is None
        else judged.told
    )
    found = () if judged is None else judged.findings
    more = f" ({printable('; '.join(map(_gist, found)))})" if found else ""
    weight = _weight(worst)
    yield GAUGE_READINGS.verdict(
        STAGE,
        float(sum(_weight(one) > 0 for one in files)),
        0.0,
        message=f"values from {printable(worst.file)}; {said}{more}.",
        advice="Take the values from readings that a fit accepts: clear up what it has found, measure again."
        if judged is not None
        else "Fit the readings again (chuckscene fit), or state the values in the scenario itself, with their source.",
        otherwise="fail" if weight == _REJECTED else "warn",
    )


_REJECTED = 3


def _gist(finding: str) -> str:
    """Return what a finding says first, without its name; the file has its reasons."""
    return finding.split(": ")[:2][-1].rstrip(".")


def _weight(one: Included) -> int:
    """Return how much a file's values are in doubt: 0 for accepted readings, most for rejected ones."""
    if one.judgement is None:
        return 1
    return {REJECTED: _REJECTED, WITH_FINDINGS: 2}.get(one.judgement.word, 0)
