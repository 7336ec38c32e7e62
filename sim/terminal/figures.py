"""Figures of verdicts as the terminal writes them."""

from __future__ import annotations

import math

from sim.assessment.verdict import Verdict
from sim.base.counted import NONE, ONE, compared
from sim.base.rounding import usual_decimals

MARKS = {"fail": "x FAIL", "warn": "! WARN", "pass": "+ pass"}
STYLES = {"fail": "bold", "warn": "", "pass": "dim"}


def figures(verdict: Verdict) -> tuple[str, str]:
    """Return a verdict's value with its unit, and its limit with which way it must lie."""
    sign = "≥" if verdict.at_least else "≤"
    value, limit = compared(verdict.value, verdict.limit, verdict.unit)
    none = verdict.unit in ONE and verdict.limit == 0.0 and not verdict.at_least
    return value, NONE if none else f"{sign} {limit}"


def short(value: float) -> str:
    """Return a number to three figures, as a setter reads it."""
    if not math.isfinite(value):
        return "no limit"
    return f"{value:.{usual_decimals(value)}f}"


def kilonewtons(force: float) -> str:
    """Return a force (N) in kN; '-' where there is none."""
    return f"{force / 1000.0:.1f}" if math.isfinite(force) else "-"
