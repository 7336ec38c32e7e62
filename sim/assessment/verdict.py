"""One question with its answer, or why it has none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.base.rounding import SAME

Status = Literal["pass", "warn", "fail"]
ORDER: tuple[Status, ...] = ("fail", "warn", "pass")  # worst first


@dataclass(frozen=True, slots=True)
class Verdict:
    """One question with its answer.

    Attributes
    ----------
    key : str
        Of the rule that judges (`sim.assessment.verdicts.rule.Rule`): by it a verdict is looked up.
    name : str
        What is judged, in the trade's words: for people only.
    stage : str
        'boring', 'jaws' or the operation's name.
    status : {'pass', 'warn', 'fail'}
    value, limit : float
        In `unit`; the value must be at least the limit where `at_least` is True, at most it otherwise.
    unit : str
        '' for a factor or a share.
    basis : str
        Standard, handbook or 'common practice' that the limit comes from.
    message : str
        One sentence: what was found.
    advice : str
        One sentence: what to change; empty for a pass.
    """

    key: str
    name: str
    stage: str
    status: Status
    value: float
    limit: float
    unit: str
    basis: str
    message: str
    advice: str = ""
    at_least: bool = True

    @property
    def missed(self) -> bool:
        """Whether the value is on the wrong side of the limit, whatever follows from that."""
        beyond = self.limit - self.value if self.at_least else self.value - self.limit
        return beyond > SAME * abs(self.limit)

    @property
    def margin(self) -> float:
        """Value over limit (or the reverse for an upper limit): 1 is just enough, more is better."""
        high, low = (self.value, self.limit) if self.at_least else (self.limit, self.value)
        return high / low if low > 0.0 else float("inf")

    @property
    def rank(self) -> tuple[int, float]:
        """Sorts verdicts worst first; within a status the least margin first."""
        return ORDER.index(self.status), self.margin


@dataclass(frozen=True, slots=True)
class NotJudged:
    """One question that was not asked, or not answered by what stands in for it.

    Attributes
    ----------
    question : str
        What stays open, in the trade's words.
    stage : str
        As of a verdict; 'chuck' or 'machine' where it belongs to none of these.
    why : str
        What is not stated, or what was done in its place; one clause.
    needs : str
        What to state, or to do, so that it is asked.
    matters : bool
        The answer could throw the part or a jaw, break the chuck, or bring a tool into what turns.
    verdicts : tuple of str
        Keys of the verdicts that would answer it; empty where the program has none.
    """

    question: str
    stage: str
    why: str
    needs: str
    matters: bool
    verdicts: tuple[str, ...] = ()
