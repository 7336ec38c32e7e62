"""Floats, or arrays of them: the type of formulas that take either, and what plain arithmetic lacks for both.

Adding, multiplying, dividing and roots are the same to the last bit in both. tan, atan, hypot and powers of numpy are
not: they differ from `math` and from processor to processor. Here they are those of `math` for each value of an
array, so that a batch of one is the float, and a batch is the same in every process of a study.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, overload

import numpy as np
from typing_extensions import TypeVar

from sim.base.arrays import Flags, Floats

Number = TypeVar("Number", float, Floats, default=float)


def tan(angle: Number) -> Number:
    """Return the tangent of an angle in rad."""
    return _each(math.tan, angle)  # type: ignore[no-any-return]


def atan(ratio: Number) -> Number:
    """Return the angle (rad) of a tangent."""
    return _each(math.atan, ratio)  # type: ignore[no-any-return]


@overload
def hypot(x: float, y: float) -> float: ...
@overload
def hypot(x: Floats, y: Floats | float) -> Floats: ...
@overload
def hypot(x: float, y: Floats) -> Floats: ...
def hypot(x: Floats | float, y: Floats | float) -> Floats | float:
    """Return the root of the sum of two squares."""
    return _each(math.hypot, x, y)  # type: ignore[no-any-return]


@overload
def power(base: float, exponent: float) -> float: ...
@overload
def power(base: Floats, exponent: Floats | float) -> Floats: ...
@overload
def power(base: float, exponent: Floats) -> Floats: ...
def power(base: Floats | float, exponent: Floats | float) -> Floats | float:
    """Return a base greater than 0 to an exponent."""
    return _each(math.pow, base, exponent)  # type: ignore[no-any-return]


@overload
def root(square: float) -> float: ...
@overload
def root(square: Floats) -> Floats: ...
def root(square: Floats | float) -> Floats | float:
    """Return the square root."""
    return np.sqrt(square) if isinstance(square, np.ndarray) else math.sqrt(square)


@overload
def larger(one: float, other: float) -> float: ...
@overload
def larger(one: Floats, other: Floats | float) -> Floats: ...
@overload
def larger(one: float, other: Floats) -> Floats: ...
def larger(one: Floats | float, other: Floats | float) -> Floats | float:
    """Return the larger of two values."""
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.maximum(one, other)
    return max(one, other)


@overload
def smaller(one: float, other: float) -> float: ...
@overload
def smaller(one: Floats, other: Floats | float) -> Floats: ...
@overload
def smaller(one: float, other: Floats) -> Floats: ...
def smaller(one: Floats | float, other: Floats | float) -> Floats | float:
    """Return the smaller of two values."""
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.minimum(one, other)
    return min(one, other)


@overload
def choose(where: bool, then: float, otherwise: float) -> float: ...  # noqa: FBT001
@overload
def choose(where: Flags, then: Floats | float, otherwise: Floats | float) -> Floats: ...
def choose(
    where: Flags | bool,  # noqa: FBT001
    then: Floats | float,
    otherwise: Floats | float,
) -> Floats | float:
    """Return one value where a condition holds, else the other; both must be computed beforehand."""
    if isinstance(where, np.ndarray):
        return np.where(where, then, otherwise)
    return then if where else otherwise


def _each(function: Callable[..., float], *of: Any) -> Any:
    if not any(isinstance(values, np.ndarray) for values in of):
        return function(*of)
    columns = np.broadcast_arrays(*of)
    if columns[0].size > 1 and all((column == column.flat[0]).all() for column in columns):
        # What does not vary in a batch is computed once.
        return np.full(columns[0].shape, function(*(column.flat[0].item() for column in columns)))
    found = np.fromiter(
        map(function, *(column.ravel().tolist() for column in columns)), np.float64, columns[0].size
    )
    return found.reshape(columns[0].shape)
