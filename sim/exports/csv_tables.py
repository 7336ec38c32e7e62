"""Tables of a judged setup as CSV (RFC 4180, UTF-8): verdicts, grip by speed, cuts."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sim.assessment.results import Assessment
from sim.base.printable import printable
from sim.report.verdicts import finite, not_judged_object, verdict_object

# With these a spreadsheet begins a formula, some with the wide letters too; texts come without blanks around them.
_OBEYED = "=+-@\uff1d\uff0b\uff0d\uff20"


def verdicts_csv(assessment: Assessment) -> bytes:
    """Return every verdict, worst first, as `check --json` gives it, with its margin."""
    return table([{**verdict_object(v), "margin": v.margin} for v in assessment.verdicts])


def not_judged_csv(assessment: Assessment) -> bytes:
    """Return every question that was not asked, what matters first: verdicts alone look better than they are."""
    rows = map(not_judged_object, assessment.not_judged)
    return table([{**row, **{k: "; ".join(row[k]) for k in ("verdicts", "verdict_keys")}} for row in rows])


def grip_csv(assessment: Assessment) -> bytes:
    """Return the total grip left over speed, and what the cuts need, with the holding factor too."""
    factor = assessment.scenario.limits.holding_factor
    return table(
        [
            {
                "operation": figures.operation.name,
                "speed_rpm": float(speed),
                "grip_total_N": float(grip),
                "needed_total_N": float(needed),
                "needed_with_holding_factor_total_N": factor * float(needed),
            }
            for figures in assessment.operations
            for speed, grip, needed in zip(
                figures.grip.curve.speeds, figures.grip.curve.grip, figures.grip.curve.needed, strict=True
            )
        ]
    )


def cuts_csv(report: Mapping[str, Any]) -> bytes:
    """Return every cut with forces and how it is held, of a report as `check --json` prints it."""
    rows = [
        {"operation": operation["operation"], **{k: v for k, v in cut.items() if k != "around"}}
        for operation in report["hold"]
        for cut in operation["cuts"]
    ]
    return table(rows)


def table(rows: Sequence[Mapping[str, Any]]) -> bytes:
    """Return rows as CSV, their keys as the head; no text in it is taken for a formula, numbers stay numbers."""
    text = io.StringIO()
    writer = csv.writer(text)
    head: Iterable[str] = rows[0] if rows else ()
    writer.writerow(head)
    writer.writerows([_cell(row[key]) for key in head] for row in map(finite, rows))
    return text.getvalue().encode("utf-8")


def _cell(value: Any) -> Any:
    if isinstance(value, str):
        value = printable(value)
        return f"'{value}" if value.lstrip()[:1] and value.lstrip()[0] in _OBEYED else value
    return "" if value is None else value
