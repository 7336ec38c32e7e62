"""Lengths as a drawing writes them: in mm or in inch, the unit told once in the title block."""

from __future__ import annotations

from sim.base.unit_factors import FACTORS
from sim.drawing.primitives import Units

DECIMALS: dict[Units, int] = {"mm": 3, "inch": 4}  # 1 um and 0.0001 in, finer than anybody bores a jaw
SHORT: dict[Units, str] = {"mm": "mm", "inch": "in"}


def per_unit(units: Units) -> float:
    """Return how many mm one unit is."""
    return FACTORS["length"][SHORT[units]]


def length_text(length: float, units: Units) -> str:
    """Return a length (mm) in a drawing's units, without the unit's name: mm without closing zeros, inch with all."""
    number = f"{length / per_unit(units):.{DECIMALS[units]}f}"
    if units == "mm":
        number = number.rstrip("0").rstrip(".")
    return "0" if number in ("-0", "") else number


def with_unit(length: float, units: Units) -> str:
    """Return a length (mm) in a drawing's units, with the unit's name, for a sentence."""
    return f"{length_text(length, units)} {SHORT[units]}"
