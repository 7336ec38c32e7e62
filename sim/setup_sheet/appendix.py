"""Behind the pages of a set-up, where it is asked for: every verdict with its limit and its basis, and every cut."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.base.counted import NONE, ONE, counted
from sim.base.rounding import against, speed_against
from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.form import Form
from sim.setup_sheet.gripping import MOST_CUTS, cut_entry
from sim.setup_sheet.runs import strong
from sim.setup_sheet.standing import stage_words

SHOWN = {"rpm": "rev/min"}


def appendix(assessment: Assessment, form: Form) -> Iterator[Section]:
    """Yield all verdicts, the worst first, and the cuts of operations that have more than their step shows."""
    rows = sorted(assessment.verdicts, key=lambda one: one.rank)
    yield Section(
        form.say("All {count} verdicts, worst first", count=len(rows)),
        tuple(_verdict(one, form) for one in rows),
    )
    for figures in assessment.operations:
        operation = figures.operation
        if len(operation.cuts) > MOST_CUTS:
            least = assessment.scenario.limits.holding_factor
            cuts = zip(operation.cuts, figures.demands, figures.holdings, strict=True)
            yield Section(
                form.say("All cuts: {name}", name=operation.name),
                tuple(cut_entry(cut, demand, holding, least, form) for cut, demand, holding in cuts),
            )


def _verdict(verdict: Verdict, form: Form) -> Entry:
    # Words stand apart from each other, so that a phrase of one language is no part of another one.
    status = {"pass": form.say("passes"), "warn": form.say("WARNS"), "fail": form.say("FAILS")}[
        verdict.status
    ]
    told = [
        f"{strong(status)}, {_figures(verdict, form)} ({stage_words(verdict.stage, form)})",
        verdict.message,
    ]
    if verdict.advice:
        told.append(verdict.advice)
    return Entry(form.say(verdict.name), (*told, form.say("by: {basis}", basis=verdict.basis)))


def _figures(verdict: Verdict, form: Form) -> str:
    """Return value and limit in the unit in which they were judged."""
    unit = SHOWN.get(verdict.unit, verdict.unit)
    if verdict.unit in ONE:
        none = verdict.limit == 0.0 and not verdict.at_least
        value, limit = counted(verdict.value, verdict.unit), NONE if none else f"{verdict.limit:.0f}"
    elif math.isfinite(verdict.value) and math.isfinite(verdict.limit):
        compare = speed_against if verdict.unit == "rpm" else against
        first, limit = compare(verdict.value, verdict.limit)
        value = f"{first} {unit}".rstrip()
    else:
        value, limit = "–" if math.isnan(verdict.value) else f"{verdict.value:g}", f"{verdict.limit:g}"
    phrase = "{value}, at least {limit}" if verdict.at_least else "{value}, at most {limit}"
    return form.say(phrase, value=strong(form.number(value)), limit=form.number(limit))
