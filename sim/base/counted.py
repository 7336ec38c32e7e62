"""Figures that count something, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sim.base.rounding import against, speed_against
from sim.base.unit_words import unit_word

ONE: Mapping[str, str] = {  # what is counted, and one of it
    "touches": "touch",
    "moves": "move",
    "cuts": "cut",
    "files in doubt": "file in doubt",
}
NONE = "none allowed"  # where the limit of what is counted is 0


def counted(number: float, unit: str) -> str:
    """Return a count with its word, singular where it is one."""
    whole = f"{number:.0f}"
    return f"{whole} {ONE[unit] if whole == '1' else unit}"


def compared(
    value: float, limit: float, unit: str, decimals: tuple[int, int] | None = None
) -> tuple[str, str]:
    """Return a value with the word for its unit, and its limit as a number alone, as everywhere where both are shown.

    Parameters
    ----------
    value, limit : float
        In `unit`.
    unit : str
        As verdicts name it.
    decimals : pair of int, optional
        Of value and limit, at least; default: as many as make three figures or so.
    """
    if unit in ONE:
        return counted(value, unit), counted(limit, unit).split(" ")[0]
    if unit == "rpm":
        first, second = speed_against(value, limit, decimals or (0, 0))
    else:
        first, second = against(value, limit, decimals)
    return f"{first} {unit_word(unit)}".rstrip() if math.isfinite(value) else first, second
