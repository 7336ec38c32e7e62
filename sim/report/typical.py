"""What a setup rests on that nobody has read off, for JSON."""

from __future__ import annotations

from typing import Any

from sim.assessment.verdict import Verdict
from sim.report.schema_nodes import Node, number, rows, table, word
from sim.report.verdicts import finite
from sim.uncertainty.typical import End, Rests


def typical_object(worst: Verdict | None, found: tuple[Rests, ...]) -> dict[str, Any]:
    """Return each value that was not read off, what matters most first, as a plain dictionary."""
    shown: dict[str, Any] = finite(
        {
            "as_it_stands": _verdict(worst),
            "not_read_off": [
                {
                    "field": one.field,
                    "value": one.value,
                    "basis": one.basis,
                    "low": _end(one.low),
                    "high": _end(one.high),
                }
                for one in found
            ],
        }
    )
    return shown


def _end(end: End) -> dict[str, Any]:
    lost = (
        None if end.fallen is None else {"margin_before": end.fallen.before, **_verdict(end.fallen.verdict)}
    )
    return {"value": end.value, "refused": end.refused, "loses_most": lost, **_verdict(end.worst)}


def _verdict(verdict: Verdict | None) -> dict[str, Any]:
    if verdict is None:
        return {"verdict": None, "stage": None, "status": None, "margin": None}
    return {
        "verdict": verdict.key,
        "stage": verdict.stage,
        "status": verdict.status,
        "margin": verdict.margin,
    }


def typical_schema() -> Node:
    """Return the schema of it."""
    verdict = {
        "verdict": word("key of the worst verdict; null where there is none", null=True),
        "stage": word("as of a verdict", null=True),
        "status": word("of that verdict", "pass", "warn", "fail", null=True),
        "margin": number("1 is at its limit, less is beyond; no unit"),
    }
    lost = {"margin_before": number("as the setup stands; no unit"), **verdict}
    end = {
        "value": word("as a file states it"),
        "refused": word("why it is refused; empty if not"),
        "loses_most": table("The verdict that loses most of its margin; null for none.", lost, null=True),
        **verdict,
    }
    return table(
        "What the setup rests on that nobody has read off; only with --typical.",
        {
            "as_it_stands": table("The worst verdict.", verdict),
            "not_read_off": rows(
                "Each such value, what matters most first.",
                {
                    "field": word("as the scenario names it"),
                    "value": word("as it is taken"),
                    "basis": word("named in typical, or left out", "typical", "default"),
                    "low": table("At the least of its range.", end),
                    "high": table("At the most of its range.", end),
                },
            ),
        },
    )
