"""Verdicts and measures in words, as every view shows them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from sim.assessment.verdict import NotJudged, Verdict
from sim.base.counted import NONE, ONE, compared, counted
from sim.base.rounding import margin_text, usual_decimals
from sim.base.unit_words import unit_word
from sim.views.colours import STATUS_SYMBOL, STATUS_WORD
from sim.views.margins import bar


def measure(value: float, unit: str) -> str:
    """Return a value with its unit as the shop reads it: three digits or so, rev/min, micrometres."""
    if not math.isfinite(value):
        return "–" if math.isnan(value) else "no limit"
    return counted(value, unit) if unit in ONE else _with_unit(f"{value:.{usual_decimals(value)}f}", unit)


def measures(value: float, limit: float, unit: str) -> tuple[str, str]:
    """Return a value and its limit with their unit, rounded so that they compare as they are."""
    if unit in ONE:
        return counted(value, unit), counted(limit, unit)
    first, second = compared(value, limit, unit)
    return first, second if second in ("–", "no limit") else _with_unit(second, unit)


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit_word(unit)}".strip()


def row(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as a row of a table: words, and value and limit as numbers too."""
    value, limit = measures(verdict.value, verdict.limit, verdict.unit)
    return {
        "key": verdict.key,
        "name": verdict.name,
        "stage": verdict.stage,
        "status": verdict.status,
        "word": STATUS_WORD[verdict.status],
        "symbol": STATUS_SYMBOL[verdict.status],
        "value": value,
        "limit": _bound(verdict, limit),
        "margin": margin_text(verdict.margin, missed=verdict.missed, most=10.0),
        "bar": bar(verdict),
        "basis": verdict.basis,
        "message": sentence(verdict.message),
        "advice": sentence(verdict.advice),
    }


def _bound(verdict: Verdict, limit: str) -> str:
    if verdict.unit in ONE and verdict.limit == 0.0 and not verdict.at_least:
        return NONE
    return ("at least " if verdict.at_least else "at most ") + limit


def counts(verdicts: Iterable[Verdict]) -> dict[str, int]:
    """Return how many verdicts fail, warn and pass."""
    found = [verdict.status for verdict in verdicts]
    return {status: found.count(status) for status in ("fail", "warn", "pass")}


def open_question(one: NotJudged) -> dict[str, Any]:
    """Return a question that was not asked in words."""
    return {
        "question": one.question,
        "stage": one.stage,
        "why": f"{sentence(one.why)}.",
        "needs": one.needs,
        "matters": one.matters,
    }


def sentence(text: str) -> str:
    """Start with a capital letter, but leave names of symbols and quoted names as they are."""
    return text[:1].upper() + text[1:] if text[:2].isalpha() or text[:2] == "a " else text
