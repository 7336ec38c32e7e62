"""What does not pass, and what was not asked although it matters: first on the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sim.assessment.results import Assessment
from sim.assessment.verdict import NotJudged, Verdict
from sim.setup_sheet.entries import Told
from sim.setup_sheet.form import Form
from sim.setup_sheet.runs import strong

STAGES = {"boring": "boring the jaws", "jaws": "jaws", "chuck": "chuck", "machine": "machine"}


def standing(assessment: Assessment, form: Form) -> tuple[Told, ...]:
    """Return how a setup stands, what fails first; names of verdicts in the sheet's language, their words English."""
    found = tuple(_standing(assessment, form))
    if form.language == "en" or not any(one.lines for one in found):
        return found
    last = found[-1]
    said = form.say("What verdicts and questions say is in English.")
    return (*found[:-1], replace(last, lines=(*last.lines[:-1], f"{last.lines[-1]} {said}")))


def _standing(assessment: Assessment, form: Form) -> Iterator[Told]:
    many = len(assessment.verdicts)
    failing = [v for v in assessment.verdicts if v.status == "fail"]
    warned = [v for v in assessment.verdicts if v.status == "warn"]
    open_questions = assessment.unasked
    if failing:
        phrase = (
            "DO NOT USE: {count} of {many} verdicts fails"
            if len(failing) == 1
            else "DO NOT USE: {count} of {many} verdicts fail"
        )
        yield Told(
            form.say(phrase, count=len(failing), many=many), tuple(_line(v, form) for v in failing), "fail"
        )
    elif not warned and not open_questions:
        yield Told(form.say("All {many} verdicts pass", many=many), (), "pass")
    if warned:
        phrase = "{count} of {many} verdicts warns" if len(warned) == 1 else "{count} of {many} verdicts warn"
        yield Told(
            form.say(phrase, count=len(warned), many=many), tuple(_line(v, form) for v in warned), "warn"
        )
    if open_questions:
        head = form.say("NOT ASKED, and it matters: {count}", count=len(open_questions))
        lines = tuple(_questions(open_questions, form))
        yield Told(head, lines, "warn")


def _questions(unasked: Sequence[NotJudged], form: Form) -> Iterator[str]:
    """Yield each question once, with all of the stages where it is open for the same reason."""
    stages: dict[tuple[str, str], list[str]] = {}
    for one in unasked:
        stages.setdefault((one.question, one.why), []).append(stage_words(one.stage, form))
    for (question, why), where in stages.items():
        yield f"{question} ({', '.join(where)}): {why}."


def _line(verdict: Verdict, form: Form) -> str:
    advice = f" {verdict.advice}" if verdict.advice else ""
    return f"{strong(form.say(verdict.name))} ({stage_words(verdict.stage, form)}): {verdict.message}{advice}"


def stage_words(stage: str, form: Form) -> str:
    """Return where in the work something is asked; an operation by its own name."""
    return form.say(STAGES[stage]) if stage in STAGES else stage
