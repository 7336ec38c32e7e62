"""Lengths as a drawing writes them: in mm or in inch, the unit told once in the title block."""

from __future__ import annotations

import math

from sim.base.unit_factors import FACTORS
from sim.drawing.primitives import Units
from sim.scenario import Tolerance

DECIMALS: dict[Units, int] = {"mm": 3, "inch": 4}  # 1 um and 0.0001 in, finer than anybody bores a jaw
SHORT: dict[Units, str] = {"mm": "mm", "inch": "in"}
WHOLE = 1e-6  # of a last place that is rounding


def per_unit(units: Units) -> float:
    """Return how many mm one unit is."""
    return FACTORS["length"][SHORT[units]]


def length_text(length: float, units: Units) -> str:
    """Return a length (mm) in a drawing's units, without the unit's name: mm without closing zeros, inch with all."""
    number = f"{length / per_unit(units):.{DECIMALS[units]}f}"
    if units == "mm":
        number = number.rstrip("0").rstrip(".")
    return "0" if number in ("-0", "") else number


def toleranced_text(size: float, within: Tolerance | None, units: Units) -> str:
    """Return a size (mm) with its deviations behind it on one line, upper before lower (common practice).

    In inch, and where mm have more places than are shown, the limits are rounded inward: none that is written was not
    judged. A band too narrow for the usual places is written with more of them.
    """
    words = length_text(size, units)
    if within is None or within.above == within.below == 0.0:
        return words if within is None else f"{words} ±0"
    for places in range(DECIMALS[units], DECIMALS[units] + 4):
        one = per_unit(units) / 10.0**places
        middle = round(size / one)
        above = math.floor((size + within.above) / one + WHOLE) - middle
        below = math.ceil((size - within.below) / one - WHOLE) - middle
        if above > below:
            break
    upper, lower = (_deviation(steps, places, units) for steps in (above, below))
    written = f"±{upper[1:]}" if above == -below else f"{upper}/{lower}"
    words = length_text(middle * one, units) if units == "mm" else f"{middle / 10.0**places:.{places}f}"
    return f"{words} {written}"


def _deviation(steps: int, places: int, units: Units) -> str:
    """Return a deviation of so many last places, with its sign; 0 has none."""
    if steps == 0:
        return "0"
    number = f"{steps / 10.0**places:+.{places}f}"
    return number.rstrip("0") if units == "mm" else number


def with_unit(length: float, units: Units) -> str:
    """Return a length (mm) in a drawing's units, with the unit's name, for a sentence."""
    return f"{length_text(length, units)} {SHORT[units]}"
