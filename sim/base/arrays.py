"""One formula for a number and for many: the types, and the few operations that differ between floats and arrays.

A formula written with these, with + - * / and with products for squares (``x * x``: a power of two of a float is not
rounded as an array's is), gives an array element by element what it gives a float, to the last bit.
"""

from __future__ import annotations

import math
from functools import reduce
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Number = TypeVar("Number", float, Floats)


def root(x: Number) -> Number:
    """Return the square root; nan under 0."""
    if isinstance(x, np.ndarray):
        with np.errstate(invalid="ignore"):
            found: Number = np.sqrt(x)
        return found
    return math.sqrt(x) if x >= 0.0 else math.nan


def least(first: Number, *others: Number | float) -> Number:
    """Return the least, of arrays element by element."""
    found: Number = reduce(_lesser, others, first)
    return found


def largest(first: Number, *others: Number | float) -> Number:
    """Return the largest, of arrays element by element."""
    found: Number = reduce(_larger, others, first)
    return found


def where(flag: bool | Flags, yes: Number, no: Number) -> Number:  # noqa: FBT001 - as numpy.where
    """Return `yes` where the flag holds and `no` elsewhere."""
    chosen: Any = np.where(flag, yes, no) if isinstance(flag, np.ndarray) else yes if flag else no
    found: Number = chosen
    return found


def over(above: Number | float, below: Number) -> Number:
    """Return a quotient of what is 0 or more; infinite where the divisor is 0."""
    quotient: Any
    if isinstance(below, np.ndarray):
        with np.errstate(divide="ignore", invalid="ignore"):
            quotient = np.where(below == 0.0, np.inf, above / below)
    else:
        quotient = math.inf if below == 0.0 else above / below
    found: Number = quotient
    return found


def _lesser(a: Any, b: Any) -> Any:
    return np.minimum(a, b) if isinstance(a, np.ndarray) or isinstance(b, np.ndarray) else min(a, b)


def _larger(a: Any, b: Any) -> Any:
    return np.maximum(a, b) if isinstance(a, np.ndarray) or isinstance(b, np.ndarray) else max(a, b)
