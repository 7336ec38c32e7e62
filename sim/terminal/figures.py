"""Figures of verdicts as the terminal writes them."""

from __future__ import annotations

import math

from sim.assessment.verdict import Verdict
from sim.base.counted import NONE, ONE, counted
from sim.base.rounding import against, usual_decimals

MARKS = {"fail": "x FAIL", "warn": "! WARN", "pass": "+ pass"}
SHOWN = {"rpm": "rev/min", "mm2": "mm\u00b2"}  # units as people read them
STYLES = {"fail": "bold", "warn": "", "pass": "dim"}


def unit_text(unit: str) -> str:
    """Return a unit as people read it."""
    return SHOWN.get(unit, unit)


def figures(verdict: Verdict) -> tuple[str, str]:
    """Return a verdict's value with its unit, and its limit with which way it must lie."""
    sign = "≥" if verdict.at_least else "≤"
    if verdict.unit in ONE:
        none = verdict.limit == 0.0 and not verdict.at_least
        return counted(verdict.value, verdict.unit), NONE if none else f"{sign} {verdict.limit:.0f}"
    value, limit = against(verdict.value, verdict.limit)
    return f"{value} {unit_text(verdict.unit)}".rstrip(), f"{sign} {limit}"


def short(value: float) -> str:
    """Return a number to three figures, as a setter reads it."""
    if not math.isfinite(value):
        return "no limit"
    return f"{value:.{usual_decimals(value)}f}"
