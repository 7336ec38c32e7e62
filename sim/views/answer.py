"""The answer at the head of a page: one sentence, what was found, and what to change."""

from __future__ import annotations

from dataclasses import dataclass

from sim.assessment.results import Assessment
from sim.assessment.said import said, unasked
from sim.assessment.verdict import Verdict
from sim.views.colours import STATUS_SYMBOL
from sim.views.wording import row, sentence


@dataclass(frozen=True, slots=True)
class Answer:
    """What a reader wants first.

    Attributes
    ----------
    status, symbol, says : str
        The state, as a class, a sign and words.
    about : str
        The verdict that decides, with its stage; empty where all pass.
    found, change : str
        What was found there and what to change; of a setup that passes, what is nearest to its limit.
    more : str
        What else does not pass, and what was not asked.
    """

    status: str
    symbol: str
    says: str
    about: str
    found: str
    change: str
    more: str


def answer(assessment: Assessment) -> Answer:
    """Return the answer of a setup, the worst verdict first."""
    verdicts = sorted(assessment.verdicts, key=lambda v: v.rank)
    bad = [v for v in verdicts if v.status != "pass"]
    status = assessment.status
    more = [_counts(verdicts), _others(bad), unasked(len(assessment.unasked))]
    words = "; ".join(one for one in more if one)
    if bad:
        worst = bad[0]
        return Answer(
            status, STATUS_SYMBOL[status], said(assessment), f"{worst.name}, {worst.stage}", _found(worst),
            sentence(worst.advice), words,
        )  # fmt: skip
    nearest = f"Nearest to its limit: {verdicts[0].name}, {verdicts[0].stage}: {_figures(verdicts[0])}."
    return Answer(status, STATUS_SYMBOL[status], said(assessment), "", nearest, "", words)


def _found(verdict: Verdict) -> str:
    return f"{sentence(verdict.message).rstrip('.')} ({_figures(verdict)})."


def _figures(verdict: Verdict) -> str:
    shown = row(verdict)
    return f"{shown['value']}, {shown['limit']}"


def _counts(verdicts: list[Verdict]) -> str:
    passed = sum(v.status == "pass" for v in verdicts)
    return f"{passed} of {len(verdicts)} verdicts pass"


def _others(bad: list[Verdict]) -> str:
    names = list(dict.fromkeys(f"{v.name}, {v.stage}" for v in bad[1:4]))
    rest = len(bad) - 1 - len(bad[1:4])
    if not names:
        return ""
    return f"also: {'; '.join(names)}" + (f"; {rest} more" if rest > 0 else "")
