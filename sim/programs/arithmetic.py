"""What signs and functions of a program's expressions make of numbers, and what each refuses; angles in degrees.

Refused is what differs from control to control, or hangs on the last digit that one computes with (common practice,
no source). `line` and `word` are those of the message.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from sim.programs.words import ProgramError

LARGEST = 1e9
SAME = 1e-6  # of two numbers, of their size where that is over 1: they may be the same but for rounding


def bounded(line: int, word: str, value: float) -> float:
    """Return a value; beyond what controls hold it is refused."""
    if not abs(value) <= LARGEST**2:
        raise ProgramError(line, word, f"gives a number over {LARGEST**2:g}")
    return value


def _quotient(line: int, word: str, over: float, under: float) -> float:
    if under == 0.0:
        raise ProgramError(line, word, "divides by 0")
    return over / under


def _remainder(line: int, word: str, over: float, under: float) -> float:
    if over < 0.0 or under <= 0.0:
        raise ProgramError(
            line, word,
            f"must take two numbers that are not negative, the second over 0, found {over:g} and {under:g}: the "
            "remainder of others differs from control to control",
        )  # fmt: skip
    return over - under * settled(line, word, bounded(line, word, over / under), math.floor)


ARITHMETIC: dict[str, Callable[[int, str, float, float], float]] = {
    "+": lambda _, __, a, b: a + b,
    "-": lambda _, __, a, b: a - b,
    "*": lambda _, __, a, b: a * b,
    "/": _quotient,
    "MOD": _remainder,
}


def settled(line: int, word: str, value: float, cut: Callable[[float], int]) -> float:
    """Return a whole number near a value, where rounding cannot make it another one."""
    if value != round(value) and abs(value - round(value)) <= SAME * max(1.0, abs(value)):
        raise ProgramError(
            line, word,
            f"drops the fraction of a number that is {round(value)} but for rounding, which differs from control to "
            "control",
        )  # fmt: skip
    return float(cut(value))


COMPARED: dict[str, Callable[[float, float], bool]] = {
    "EQ": lambda a, b: a == b,
    "NE": lambda a, b: a != b,
    "GT": lambda a, b: a > b,
    "GE": lambda a, b: a >= b,
    "LT": lambda a, b: a < b,
    "LE": lambda a, b: a <= b,
}


def _square_root(line: int, word: str, value: float) -> float:
    if value < 0.0:
        raise ProgramError(line, word, f"is the root of a negative number, {value:g}")
    return math.sqrt(value)


def _tangent(line: int, word: str, value: float) -> float:
    if abs(math.cos(math.radians(value))) < SAME:
        raise ProgramError(line, word, f"is the tangent of {value:g} deg, which has none")
    return math.tan(math.radians(value))


def _arc(line: int, word: str, value: float) -> float:
    """Return the angle of a sine; that of a negative one lies in another quadrant on some controls."""
    if not 0.0 <= value <= 1.0:
        raise ProgramError(line, word, f"must be the angle of a number from 0 to 1, found {value:g}")
    return math.degrees(math.asin(value))


def _arc_of_cosine(line: int, word: str, value: float) -> float:
    if not -1.0 <= value <= 1.0:
        raise ProgramError(line, word, f"must be the angle of a number from -1 to 1, found {value:g}")
    return math.degrees(math.acos(value))


def _rounded(line: int, word: str, value: float) -> float:
    half = abs(abs(value) % 1.0 - 0.5)
    if half <= SAME * max(1.0, abs(value)) and (half != 0.0 or value < 0.0):
        raise ProgramError(
            line, word, f"rounds {value:g}, which lies half-way: up or down differs from control to control"
        )
    return float(math.floor(value + 0.5))


def _up(value: float) -> int:
    return math.ceil(value) if value > 0.0 else math.floor(value)


FUNCTIONS: dict[str, Callable[[int, str, float], float]] = {
    "SIN": lambda _, __, value: math.sin(math.radians(value)),
    "COS": lambda _, __, value: math.cos(math.radians(value)),
    "TAN": _tangent,
    "ATAN": lambda _, __, value: math.degrees(math.atan(value)),
    "ASIN": _arc,
    "ACOS": _arc_of_cosine,
    "SQRT": _square_root,
    "SQR": _square_root,
    "ABS": lambda _, __, value: abs(value),
    "ROUND": _rounded,
    "RND": _rounded,
    "FIX": lambda line, word, value: settled(line, word, value, math.trunc),
    "FUP": lambda line, word, value: settled(line, word, value, _up),
}
