"""Units as people read them, in the terminal, on pages and on paper: one word for each."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "rpm": "rev/min",
    "um": "µm",
    "mm2": "mm²",
    "cm3": "cm³",
    "kN m": "kN\u00a0m",
    "N m": "N\u00a0m",
}


def unit_word(unit: str) -> str:
    """Return a unit, as figures and verdicts name it, as people read it."""
    return WORDS.get(unit, unit)


def percent(share: float, decimals: int = 0) -> str:
    """Return a share in hundredths, with a space that does not break, as ISO 80000-1 writes it.

    Parameters
    ----------
    share : float
        No unit: 0.38 is 38 %.
    decimals : int, optional
        Places shown.
    """
    return f"{share:.{decimals}%}"[:-1] + "\u00a0%"
