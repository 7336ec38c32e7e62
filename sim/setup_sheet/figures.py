"""Figures as the sheet writes them, each with its unit."""

from __future__ import annotations

import math

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.base.rounding import against, usual_decimals
from sim.drawing.numbers import DECIMALS, SHORT, length_text, per_unit
from sim.drawing.primitives import Units

DIAL: dict[Units, str] = {"mm": "um", "inch": "in"}  # of what a dial shows
FINE = {"mm": 2, "inch": 3}  # decimals of lengths that are found, not set


def stated(length: float, units: Units) -> str:
    """Return a length (mm) that somebody sets or turns, exactly, with its unit."""
    return f"{length_text(length, units)} {SHORT[units]}"


def found(length: float, units: Units) -> str:
    """Return a length (mm) that follows from others, with its unit."""
    if not math.isfinite(length):
        return "–"
    return f"{length / per_unit(units):.{FINE[units]}f} {SHORT[units]}"


def small(length: float, limit: float, units: Units) -> str:
    """Return what a dial shows beside what it may show (um), in um or inch."""
    if units == "mm":
        value, most = against(length, limit)
    else:
        factor = 1e-3 / per_unit(units)
        value, most = against(length * factor, limit * factor, (DECIMALS[units], DECIMALS[units]))
    return f"{value} {DIAL[units]}, at most {most} {DIAL[units]}"


def kilonewton(force: float) -> str:
    """Return a force (N) in kN."""
    return f"{force / 1000.0:.1f} kN" if math.isfinite(force) else "–"


def bar(pressure: float) -> str:
    """Return a pressure (MPa) in bar, exactly but for rounding."""
    return f"{pressure * 10.0:.9g} bar"


def speed(rpm: float) -> str:
    """Return a speed that is set."""
    return f"{rpm:.9g} rev/min"


def speed_found(rpm: float) -> str:
    """Return a speed that follows from others, never more than it is."""
    return f"{math.floor(rpm + 1e-9)} rev/min" if math.isfinite(rpm) else "–"


def speed_there(rpm: float) -> str:
    """Return the speed that a cut has, to the nearest turn."""
    return f"{rpm:.0f} rev/min" if math.isfinite(rpm) else "–"


def factor_text(value: float, limit: float) -> str:
    """Return how many times something is held, and how many it must be."""
    if not math.isfinite(value):
        return f"not known, at least {limit:g}" if math.isnan(value) else f"without limit, at least {limit:g}"
    first, second = against(value, limit, (usual_decimals(value), usual_decimals(limit)))
    return f"{first} times, at least {second}"


def fails(assessment: Assessment, stage: str, *keys: str) -> str:
    """Return what stands behind a setting that a failing verdict forbids; '' where none does."""
    found = any(v.status == "fail" and v.stage == stage and v.key in keys for v in assessment.verdicts)
    return " – FAILS, do not set it" if found else ""


def verdict_of(assessment: Assessment, key: str, stage: str) -> Verdict | None:
    """Return the verdict of a rule at a stage; None where it was not asked."""
    return next((v for v in assessment.verdicts if v.key == key and v.stage == stage), None)
