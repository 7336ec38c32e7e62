"""What does not pass, and what was not asked although it matters: first on the sheet."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.setup_sheet.entries import Told


def standing(assessment: Assessment) -> tuple[Told, ...]:
    """Return how a setup stands, what fails first."""
    return tuple(_standing(assessment))


def _standing(assessment: Assessment) -> Iterator[Told]:
    many = len(assessment.verdicts)
    failing = [v for v in assessment.verdicts if v.status == "fail"]
    warned = [v for v in assessment.verdicts if v.status == "warn"]
    open_questions = assessment.unasked
    if failing:
        head = f"DO NOT USE: {len(failing)} of {many} verdicts {'fails' if len(failing) == 1 else 'fail'}"
        yield Told(head, tuple(map(_line, failing)), "fail")
    elif not warned and not open_questions:
        yield Told(f"All {many} verdicts pass", (), "pass")
    if warned:
        yield Told(
            f"{len(warned)} of {many} verdicts {'warns' if len(warned) == 1 else 'warn'}",
            tuple(map(_line, warned)),
            "warn",
        )
    if open_questions:
        head = f"NOT JUDGED, and it matters: {len(open_questions)}"
        lines = tuple(f"{one.question} ({one.stage}): {one.why}." for one in open_questions)
        yield Told(head, lines, "warn")


def _line(verdict: Verdict) -> str:
    advice = f" {verdict.advice}" if verdict.advice else ""
    return f"{verdict.name} ({verdict.stage}): {verdict.message}{advice}"
