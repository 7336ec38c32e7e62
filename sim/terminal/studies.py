"""A study in words: what will be done, and what it came to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from rich.console import Group
from rich.table import Table
from rich.text import Text

from sim.assessment.said import unasked
from sim.base.rounding import SAME, margin_text
from sim.layouts.full_check import said
from sim.studies.confirming import Named
from sim.studies.plan import Block, Case
from sim.studies.preparing import Prepared
from sim.studies.summary import Summary
from sim.terminal.assessment import cautions, printed
from sim.terminal.figures import MARKS

SHOWN = 8  # verdicts and reasons


def plan_lines(study: Prepared, blocks: list[Block], done: int) -> Iterator[str]:
    """Yield what a study will do: how many variants of which kind, and what is finished already."""
    yield (
        f"{study.count} variants of {_counted(len(study.cases), 'scenario')} in {_counted(len(blocks), 'block')}."
    )
    grouped = [case for case in study.cases if case.together]
    if grouped:
        geometries = sum(case.geometries for case in grouped)
        count = sum(case.design.count for case in grouped)
        yield f"{count} share the contact solutions of {_counted(geometries, 'geometry')}."
    single = [case for case in study.cases if not case.together]
    if single:
        count = sum(case.design.count for case in single)
        why = ", ".join(sorted({key for case in single for key in _slow(case)}))
        reason = f" because of {why}" if why else ""
        yield f"{count} need a contact solve of their own{reason}: up to seconds each."
    for name, reason in study.refusals.items():
        yield f"{name} as it stands cannot be made, so its variants are assessed one by one: {reason}"
    if done:
        yield f"{done} are finished already."


def _counted(count: int, name: str) -> str:
    plural = f"{name[:-1]}ies" if name.endswith("y") else f"{name}s"
    return f"{count} {name if count == 1 else plural}"


def _slow(case: Case) -> list[str]:
    return [q.key for q, quick in zip(case.design.quantities, case.quick, strict=True) if not quick]


def show_summary(found: Summary, named: Named) -> None:
    """Print what a study came to."""
    printed(summary_table(found, named))


def summary_table(found: Summary, named: Named) -> Group:
    """Return counts, what blocks, the best, the cautions."""
    counts = {name: found.statuses.get(name, 0) for name in ("pass", "warn", "fail", "refused")}
    return Group(
        Text(
            f"{found.count} variants: {counts['pass']} pass, {counts['warn']} warn, {counts['fail']} fail, "
            f"{counts['refused']} cannot be made.",
            style="bold",
        ),
        *_blocking(found),
        *_reasons(found),
        *_best(named),
        *cautions(),
    )


def _blocking(found: Summary) -> Iterator[Table | Text]:
    if not found.failing:
        return
    yield Text("")
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    rows.add_column("what blocks", no_wrap=True)
    rows.add_column("variants", justify="right")
    rows.add_column("of these nothing else fails in", justify="right")
    for name, count in list(found.failing.items())[:SHOWN]:
        rows.add_row(name, str(count), str(found.alone.get(name, 0)))
    yield rows


def _reasons(found: Summary) -> Iterator[Text]:
    if found.refusals:
        yield Text("")
        yield Text("Cannot be made", style="bold")
        for reason, count in list(found.refusals.items())[:SHOWN]:
            yield Text(f"  {count}  {reason}")


def _best(named: Named) -> Iterator[Table | Text]:
    if named.best or named.rejected:
        yield Text("")
    for wrong in named.rejected:
        yield Text(
            f"Variant {wrong.best.variant} is not named, the full check refuses it: {wrong.check.reason}."
        )
    if not named.best:
        return
    open_ = max(one.check.unasked for one in named.best)
    if open_:
        yield Text(f"{unasked(open_)} (chuckscene check of the scenario says which)")
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for head in ("best", "least margin", "set by", "variant", "scenario", "full check", "values"):
        rows.add_column(head, overflow="fold")
    for checked in named.best:
        one = checked.best
        margin = (
            margin_text(one.margin, missed=one.margin < 1.0 - SAME) if math.isfinite(one.margin) else "none"
        )
        values = "\n".join(f"{name} = {_short(value)}" for name, value in one.values.items())
        mark = MARKS["warn" if one.warns else "pass"]
        rows.add_row(mark, margin, one.closest, str(one.variant), one.scenario, said(checked.check), values)
    yield rows


def _short(value: Any) -> str:
    return f"{value:.5g}" if isinstance(value, float) else str(value)
