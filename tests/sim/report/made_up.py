"""Results with made-up figures: every number, word and flag unlike every other, so that no two can be mixed up."""

from __future__ import annotations

import copy
import dataclasses
import itertools
from types import SimpleNamespace
from typing import Any

import numpy as np

KEPT = frozenset({"unit", "status"})  # words that decide how a figure is shown


def unlike(result: Any, seed: int = 0) -> Any:
    """Return a copy of frozen results in which no two floats, words or arrays are alike, and flags as drawn.

    Whole numbers stay, for they count moves; so do scenarios, solids and images, which are no dataclasses of figures.
    """
    numbers, rng = itertools.count(1), np.random.default_rng(seed)
    return _unlike(result, numbers, rng, "")


def _unlike(value: Any, numbers: itertools.count[int], rng: np.random.Generator, name: str) -> Any:
    if isinstance(value, bool):
        return bool(rng.integers(2))
    if isinstance(value, float):
        return 1000.0 + 1.37 * next(numbers)
    if isinstance(value, str):
        return value if name in KEPT else f"{value} {next(numbers)}"
    if isinstance(value, np.ndarray):
        if value.dtype == np.bool_:
            return rng.integers(2, size=value.shape).astype(bool)
        if value.dtype.kind != "f":
            return value
        return 1000.0 + 1.37 * np.array([next(numbers) for _ in range(value.size)]).reshape(value.shape)
    if isinstance(value, tuple):
        made = [_unlike(one, numbers, rng, name) for one in value]
        return type(value)(*made) if hasattr(value, "_fields") else tuple(made)
    if not dataclasses.is_dataclass(value) or type(value).__module__.startswith(
        ("meshes", "sim.setup.parts", "sim.setup.held")
    ):
        return value
    made = copy.copy(value)
    for field in dataclasses.fields(value):
        object.__setattr__(made, field.name, _unlike(getattr(value, field.name), numbers, rng, field.name))
    return made


def at(source: Any, path: str) -> Any:
    """Return the attribute at the end of a path of names; None as soon as one of them is None."""
    for name in path.split("."):
        if source is None:
            return None
        source = source[int(name)] if name.isdigit() else getattr(source, name)
    return source


def together(**named: Any) -> SimpleNamespace:
    """Return several sources of one object of the report as one."""
    return SimpleNamespace(**named)
