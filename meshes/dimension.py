"""Refusal of impossible dimensions, in one sentence: which part, which dimension, what is allowed."""

from __future__ import annotations

import math


def require_positive(part: str, **lengths: float) -> None:
    """Raise ValueError unless every length (mm) is finite and greater than 0."""
    for name, value in lengths.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{part}: {_words(name)} must be greater than 0 mm, found {value:g} mm")


def require_not_negative(part: str, **lengths: float) -> None:
    """Raise ValueError unless every length (mm) is finite and 0 or greater."""
    for name, value in lengths.items():
        if not (math.isfinite(value) and value >= 0.0):
            raise ValueError(f"{part}: {_words(name)} must be 0 mm or more, found {value:g} mm")


def require_less(part: str, name: str, value: float, limit_name: str, limit: float) -> None:
    """Raise ValueError unless the length `value` (mm) is less than `limit` (mm)."""
    if not value < limit:
        raise ValueError(f"{part}: {name} must be less than {limit_name} ({limit:g} mm), found {value:g} mm")


def _words(name: str) -> str:
    return name.replace("_", " ")
