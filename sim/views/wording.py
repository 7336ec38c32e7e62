"""Verdicts and measures in words, as every view shows them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from sim.assessment import Verdict
from sim.views.colours import STATUS_SYMBOL, STATUS_WORD


def measure(value: float, unit: str) -> str:
    """Return a value with its unit as the shop reads it: three digits or so, rev/min, micrometres."""
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "no limit"
    unit = {"rpm": "rev/min", "um": "µm", "mm2": "mm²", "kN m": "kN\u00a0m"}.get(unit, unit)
    if unit in ("touches", "moves"):
        return f"{value:.0f} {unit}"
    size = abs(value)
    digits = 0 if size >= 100.0 else 1 if size >= 10.0 else 2
    return f"{value:.{digits}f} {unit}".strip()


def row(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as a row of a table: words, and value and limit as numbers too."""
    return {
        "name": verdict.name,
        "stage": verdict.stage,
        "status": verdict.status,
        "word": STATUS_WORD[verdict.status],
        "symbol": STATUS_SYMBOL[verdict.status],
        "value": measure(verdict.value, verdict.unit),
        "limit": ("at least " if verdict.at_least else "at most ") + measure(verdict.limit, verdict.unit),
        "margin": margin(verdict.margin),
        "basis": verdict.basis,
        "message": sentence(verdict.message),
        "advice": sentence(verdict.advice),
    }


def counts(verdicts: Iterable[Verdict]) -> dict[str, int]:
    """Return how many verdicts fail, warn and pass."""
    found = [verdict.status for verdict in verdicts]
    return {status: found.count(status) for status in ("fail", "warn", "pass")}


def margin(value: float) -> str:
    """Return a margin with two decimals; beyond ten the figure says nothing more."""
    if math.isnan(value):
        return "–"
    return "over 10" if value > 10.0 else f"{value:.2f}"


def sentence(text: str) -> str:
    """Start with a capital letter, but leave names of symbols and quoted names as they are."""
    return text[:1].upper() + text[1:] if text[:2].isalpha() or text[:2] == "a " else text
