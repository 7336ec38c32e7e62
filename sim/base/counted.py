"""Figures that count something, in words."""

from __future__ import annotations

from collections.abc import Mapping

ONE: Mapping[str, str] = {"touches": "touch", "moves": "move"}  # what is counted, and one of it
NONE = "none allowed"  # where the limit of what is counted is 0


def counted(number: float, unit: str) -> str:
    """Return a count with its word, singular where it is one."""
    whole = f"{number:.0f}"
    return f"{whole} {ONE[unit] if whole == '1' else unit}"
