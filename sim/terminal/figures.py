"""Figures of verdicts as the terminal writes them."""

from __future__ import annotations

import math

from sim.assessment.verdict import Verdict
from sim.base.counted import NONE, ONE, counted
from sim.base.rounding import against, usual_decimals
from sim.base.unit_words import unit_word

MARKS = {"fail": "x FAIL", "warn": "! WARN", "pass": "+ pass"}
STYLES = {"fail": "bold", "warn": "", "pass": "dim"}


def figures(verdict: Verdict) -> tuple[str, str]:
    """Return a verdict's value with its unit, and its limit with which way it must lie."""
    sign = "≥" if verdict.at_least else "≤"
    if verdict.unit in ONE:
        none = verdict.limit == 0.0 and not verdict.at_least
        return counted(verdict.value, verdict.unit), NONE if none else f"{sign} {verdict.limit:.0f}"
    value, limit = against(verdict.value, verdict.limit)
    return f"{value} {unit_word(verdict.unit)}".rstrip(), f"{sign} {limit}"


def short(value: float) -> str:
    """Return a number to three figures, as a setter reads it."""
    if not math.isfinite(value):
        return "no limit"
    return f"{value:.{usual_decimals(value)}f}"
