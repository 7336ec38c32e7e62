"""Figures as the sheet writes them, each with its unit."""

from __future__ import annotations

import math

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.base.rounding import against, usual_decimals
from sim.drawing.numbers import DECIMALS, SHORT, length_text, per_unit, toleranced_text
from sim.scenario import Tolerance
from sim.setup_sheet.form import Form
from sim.setup_sheet.runs import strong

FINE = {"mm": 2, "inch": 3}  # decimals of lengths that are found, not set


def plain(length: float, form: Form) -> str:
    """Return a length (mm) that somebody sets or turns, exactly, without its unit."""
    return form.number(length_text(length, form.units))


def stated(length: float, form: Form) -> str:
    """Return a length (mm) that somebody sets or turns, exactly, with its unit."""
    return f"{plain(length, form)} {SHORT[form.units]}"


def stated_within(length: float, within: Tolerance | None, form: Form) -> str:
    """Return a length (mm) with its tolerance, as the drawing has it, with its unit."""
    return f"{form.number(toleranced_text(length, within, form.units))} {SHORT[form.units]}"


def found(length: float, form: Form) -> str:
    """Return a length (mm) that follows from others, with its unit."""
    if not math.isfinite(length):
        return "–"
    return f"{found_plain(length, form)} {SHORT[form.units]}"


def found_plain(length: float, form: Form) -> str:
    """Return a length (mm) that follows from others, without its unit."""
    return form.number(f"{length / per_unit(form.units):.{FINE[form.units]}f}")


def small(length: float, limit: float, form: Form) -> str:
    """Return what a dial shows beside what it may show (um), in um or inch."""
    if form.units == "mm":
        value, most = against(length, limit)
    else:
        factor = 1e-3 / per_unit(form.units)
        value, most = against(length * factor, limit * factor, (DECIMALS[form.units], DECIMALS[form.units]))
    return form.say(
        "{value} {unit}, at most {most} {unit}",
        value=strong(form.number(value)),
        most=form.number(most),
        unit=form.dial,
    )


def kilonewton(force: float, form: Form) -> str:
    """Return a force (N) in kN."""
    return form.number(f"{force / 1000.0:.1f}") + " kN" if math.isfinite(force) else "–"


def bar(pressure: float, form: Form) -> str:
    """Return a pressure (MPa) in bar, exactly but for rounding."""
    return form.number(f"{pressure * 10.0:.9g}") + " bar"


def speed(rpm: float, form: Form) -> str:
    """Return a speed that is set."""
    return form.say("{speed} rev/min", speed=form.number(f"{rpm:.9g}"))


def speed_found(rpm: float, form: Form) -> str:
    """Return a speed that follows from others, never more than it is."""
    return form.say("{speed} rev/min", speed=math.floor(rpm + 1e-9)) if math.isfinite(rpm) else "–"


def speed_there(rpm: float, form: Form) -> str:
    """Return the speed that a cut has, to the nearest turn."""
    return form.say("{speed} rev/min", speed=f"{rpm:.0f}") if math.isfinite(rpm) else "–"


def factor_text(value: float, limit: float, form: Form) -> str:
    """Return how many times something is held, and how many it must be."""
    if not math.isfinite(value):
        least = form.number(f"{limit:g}")
        if math.isnan(value):
            return form.say("not known, at least {least}", least=least)
        return form.say("without limit, at least {least}", least=least)
    first, second = against(value, limit, (usual_decimals(value), usual_decimals(limit)))
    return form.say(
        "{value} times, at least {least}", value=strong(form.number(first)), least=form.number(second)
    )


def fails(assessment: Assessment, form: Form, stage: str, *keys: str) -> str:
    """Return what stands behind a setting that a failing verdict forbids; '' where none does."""
    found = any(v.status == "fail" and v.stage == stage and v.key in keys for v in assessment.verdicts)
    return " " + strong(form.say("– FAILS, do not set it")) if found else ""


def verdict_of(assessment: Assessment, key: str, stage: str) -> Verdict | None:
    """Return the verdict of a rule at a stage; None where it was not asked."""
    return next((v for v in assessment.verdicts if v.key == key and v.stage == stage), None)
