"""A judged setup on one screen: what holds it, what does not pass, and of each stage what is nearest to its limit."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.unequal import why_unequal
from sim.assessment.verdict import NotJudged
from sim.base.counted import NONE
from sim.base.rounding import at_most_text, margin_text, range_texts
from sim.terminal.cuts import times_held
from sim.terminal.figures import MARKS, figures, kilonewtons

WIDTH = 80  # characters: what every terminal has
UNASKED = "?"  # the mark of what nobody asked and matters
MOST = 100.0  # a margin beyond this says no more than that


def summary(assessment: Assessment, headline: str) -> Iterator[RenderableType]:
    """Yield what a setter wants to know first, on one screen of 80 columns.

    Parameters
    ----------
    assessment : Assessment
    headline : str
        The worst status with the counts.
    """
    yield Text(assessment.scenario.named, style="bold")
    yield Text(headline, style="bold" if assessment.status != "pass" else "")
    yield from (Text(one.brief) for one in assessment.scenario.included if one.brief)
    yield from _failing(assessment)
    yield from _headed(_grip(assessment))
    asked = f"{assessment.scenario.limits.holding_factor:g} asked"
    yield Text(
        f"({_there(assessment)}, jaws: at that speed, the cut pushing off jaw 1; held: times, {asked})",
        style="dim",
    )
    if _gains(assessment):
        yield Text("What speed adds to jaws that press outward counts for no holding.")
    yield from _unequal(assessment)
    yield _jaws(assessment)
    yield from _wrong(assessment)
    yield from _not_asked(assessment.not_judged)
    yield from _headed(_passes(assessment))
    yield Text(_more(assessment.not_judged), style="dim")
    yield Text("")
    yield Text.assemble(("Cautions: ", "bold"), " ".join(CAUTIONS))


def _headed(table: Table) -> Iterator[RenderableType]:
    """Yield a table that has rows, below an empty line."""
    if table.row_count:
        yield Text("")
        yield table


def _table(first: str, *numbers: str) -> Table:
    found = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    found.add_column(first, overflow="fold", min_width=min(len(first), 24))
    for name in numbers:
        found.add_column(name, justify="right", no_wrap=True)
    return found


def _failing(assessment: Assessment) -> Iterator[RenderableType]:
    """Yield the names of what fails, below the headline: the figures come first, but nobody reads past it."""
    failing = [v for v in assessment.verdicts if v.status == "fail"]
    for stage in dict.fromkeys(v.stage for v in failing):
        names = ", ".join(v.name for v in failing if v.stage == stage)
        yield Text(f"{MARKS['fail']}  {stage}: {names}", style="bold")


def _unequal(assessment: Assessment) -> Iterator[RenderableType]:
    """Yield, for an operation whose jaws grip unequally, why they do."""
    for one in assessment.operations:
        if words := why_unequal(one, assessment.scenario.soft_jaw):
            yield Text(f"{one.operation.name}: {words}; the side force then adds to that.")


def _gains(assessment: Assessment) -> bool:
    return assessment.parts.direction == "inside"


def _there(assessment: Assessment) -> str:
    """Return what the grip at the highest speed is called: jaws that press outward gain."""
    return "at speed" if _gains(assessment) else "left"


def _grip(assessment: Assessment) -> Table:
    """Return grip at rest and at the highest speed, what the cuts ask for, and what each jaw keeps there.

    A jaw has no figure where the part is not held.
    """
    table = _table(
        "GRIP, kN", "at rest", "rev/min", _there(assessment), "cuts need", "held", "jaw 1", "jaw 2", "jaw 3"
    )
    for one in assessment.operations:
        grip, there = one.grip, one.contact_at_speed
        each = ["-"] * 3 if there is None else [kilonewtons(float(n)) for n in there.grip_n]
        table.add_row(
            one.operation.name,
            kilonewtons(grip.rest_total),
            _whole(one.operation.gripping.speed_high),
            kilonewtons(grip.high_speed_total),
            kilonewtons(grip.needed_total),
            times_held(assessment, one),
            *each,
        )
    return table


def _jaws(assessment: Assessment) -> Table:
    """Return where the jaws stand, what presses them and how fast they turn."""
    scenario, boring = assessment.scenario, assessment.boring
    table = _table("JAWS", "travel mm", "of", "bar", "rev/min", "allowed", "run-out µm")
    stroke = f"{scenario.chuck.stroke:g}"
    table.add_row(
        "boring"
        if scenario.boring.fixture.kind == "none"
        else f"boring, {_words(scenario.boring.fixture.kind)}",
        f"{scenario.boring.travel:.2f}",
        stroke,
        _bar(scenario.boring.pressure),
        _whole(boring.highest_speed),
        "",
        "",
    )
    for one in assessment.operations:
        first, last = range_texts(one.travel.first, one.travel.last, 2)
        table.add_row(
            one.operation.name,
            first if first == last else f"{first} to {last}",
            stroke,
            _bar(one.operation.gripping.pressure),
            _whole(one.operation.gripping.speed_high),
            _floor(one.grip.permissible.least),
            f"{one.running.run_out:.0f}",
        )
    return table


def _wrong(assessment: Assessment) -> Iterator[RenderableType]:
    """Yield every verdict that does not pass: figure, limit, what was found and what to change."""
    wrong = [v for v in assessment.verdicts if v.status != "pass"]
    heads = [
        *(["DOES NOT PASS"] if wrong else []),
        *(["NOT ASKED, AND IT MATTERS"] if assessment.unasked else []),
    ]
    if heads:
        yield Text("")
        yield Text("; ".join(heads), style="bold")
    for verdict in wrong:
        value, limit = figures(verdict)
        bound = limit if limit == NONE else f"must be {limit}"
        head = f"{MARKS[verdict.status]}  {verdict.name}, {verdict.stage}: {value}, {bound}"
        yield Text(head, style="bold" if verdict.status == "fail" else "")
        message = f"{verdict.message[0].upper()}{verdict.message[1:]}"
        yield Padding(Text(f"{message} {verdict.advice}".strip()), (0, 0, 0, 2), expand=False)


def _not_asked(found: tuple[NotJudged, ...]) -> Iterator[RenderableType]:
    """Yield what nobody asked and matters, a question once with all of its stages."""
    matter = [one for one in found if one.matters]
    for question in dict.fromkeys(one.question for one in matter):
        alike = [one for one in matter if one.question == question]
        stages = ", ".join(dict.fromkeys(one.stage for one in alike))
        needs = ", ".join(dict.fromkeys(one.needs for one in alike))
        yield Text(f"{UNASKED} {stages}: {question} Needs {needs}.")


def _more(found: tuple[NotJudged, ...]) -> str:
    """Return where the rest is to be read."""
    lesser = sum(not one.matters for one in found)
    questions = f", {lesser} lesser question{'s' if lesser > 1 else ''}" if lesser else ""
    return f"--all: every verdict{questions}, how true it runs; --basis: sources"


def _passes(assessment: Assessment) -> Table:
    """Return the verdicts that pass, counted by stage, each with the one that is nearest to its limit."""
    table = _table("PASSES", "")
    table.columns[1].header = "count"
    table.add_column("nearest to its limit", overflow="fold")
    for name in ("value", "limit", "margin"):
        table.add_column(name, justify="right", no_wrap=True)
    stages = ["jaws", "boring", *(one.operation.name for one in assessment.operations)]
    for stage in dict.fromkeys([*stages, *(v.stage for v in assessment.verdicts)]):
        passed = [v for v in assessment.verdicts if v.stage == stage and v.status == "pass"]
        if passed:
            least = min(passed, key=lambda v: v.rank)
            margin = margin_text(least.margin, missed=least.missed, most=MOST)
            table.add_row(stage, str(len(passed)), least.name, *figures(least), margin)
    return table


def _words(kind: str) -> str:
    return kind.replace("_", " ")


def _bar(pressure: float) -> str:
    return f"{pressure * 10.0:.6g}"


def _whole(number: float) -> str:
    return f"{number:.0f}" if math.isfinite(number) else "-"


def _floor(number: float) -> str:
    return at_most_text(number, 0) if math.isfinite(number) else "-"
