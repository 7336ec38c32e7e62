"""Figures beside their limits, rounded so that what is printed compares as what was computed."""

from __future__ import annotations

import math
from collections.abc import Callable

SAME = 1e-9  # relative; what is nearer than this meets its limit but for rounding (as `sim.assessment.verdicts.rule`)
_MOST = 17  # decimals; no two figures that differ by more than SAME need as many
_JUST = 1.0 - 1e-9  # a margin from here on is enough


def usual_decimals(value: float) -> int:
    """Return the decimals of a number to three figures or so, as a setter reads it."""
    size = abs(value)
    return 0 if size >= 100.0 else 1 if size >= 10.0 else 2


def near(value: float, limit: float, decimals: int) -> str:
    """Return a value with so many decimals, with more where it would else be read as the limit or as beyond it."""
    return against(value, limit, (decimals, decimals))[0]


def against(value: float, limit: float, decimals: tuple[int, int] | None = None) -> tuple[str, str]:
    """Return a value and its limit as text: the one that is larger is larger as printed, too, and what is equal equal.

    Each has its usual decimals where that is so, else both as many more as it takes. A limit of zero is '0', and no
    other is printed as zero.

    Parameters
    ----------
    value, limit : float
        In the same unit.
    decimals : pair of int, optional
        Of value and limit, at least; default: as many as make three figures or so.
    """
    first, second = decimals or (usual_decimals(value), usual_decimals(limit))
    if not (math.isfinite(value) and math.isfinite(limit)):
        return _text(value, first), _text(limit, second)
    order = _order(value, limit)
    while second < _MOST and limit != 0.0 and float(f"{limit:.{second}f}") == 0.0:
        second += 1
    texts = f"{value:.{first}f}", f"{limit:.{second}f}"
    more = max(first, second)
    while more < _MOST and _sign(float(texts[0]) - float(texts[1])) != order:
        texts = f"{value:.{more}f}", f"{limit:.{more}f}"
        more += 1
    return texts[0], "0" if limit == 0.0 else texts[1]


def speed_against(speed: float, limit: float, decimals: tuple[int, int] = (0, 0)) -> tuple[str, str]:
    """Return a speed and the highest that is allowed, as `against`; that limit is never named higher than it is.

    Speeds are set by hand in whole turns, and wherever a limit is named it is the same number.
    """
    first, second = against(speed, limit, decimals)
    if not (math.isfinite(speed) and math.isfinite(limit)):
        return first, second
    named = at_most_text(limit, decimals[1])
    beyond = _order(speed, limit) > 0 and float(first) > float(named)
    return (first, named) if beyond or float(first) <= float(named) else (first, second)


def at_most_text(limit: float, decimals: int) -> str:
    """Return a number as the end of a range that is named: 'so much or less' names none that is beyond it."""
    return _towards(math.floor, limit, decimals)


def at_least_text(limit: float, decimals: int) -> str:
    """Return a number as the beginning of a range: 'so much or more' names none that is under it."""
    return _towards(math.ceil, limit, decimals)


def within_text(low: float, high: float, decimals: int) -> str:
    """Return the end of a range that is named, as `at_most_text`, with as many decimals as it takes to lie in it."""
    while decimals < _MOST and float(at_most_text(high, decimals)) < low:
        decimals += 1
    return at_most_text(high, decimals)


def range_texts(low: float, high: float, decimals: int) -> tuple[str, str]:
    """Return both ends of a range, neither of them outside of it, with as many decimals as it takes."""
    while decimals < _MOST and float(at_least_text(low, decimals)) > float(at_most_text(high, decimals)):
        decimals += 1
    return at_least_text(low, decimals), at_most_text(high, decimals)


def _towards(way: Callable[[float], int], number: float, decimals: int) -> str:
    scale = 10.0**decimals
    whole = round(number * scale)
    # A number that has no more decimals but for rounding keeps them.
    steps = (
        whole if abs(number * scale - whole) <= SAME * max(1.0, abs(number * scale)) else way(number * scale)
    )
    return f"{steps / scale:.{decimals}f}"


def margin_text(margin: float, *, missed: bool, most: float = math.inf) -> str:
    """Return a margin with two decimals, more where it would else be read as just enough; beyond `most` 'over' it.

    Parameters
    ----------
    margin : float
        Value over limit, or the reverse; what is missed against a limit of zero has none, whatever this says.
    missed : bool
        The limit is not kept.
    """
    if math.isnan(margin):
        return "–"
    if missed and not margin < 1.0:
        return "0"
    if margin > most:
        return f"over {most:g}"
    if margin < _JUST:
        return near(margin, 1.0, 2)
    return f"{margin:.2f}"


def _text(value: float, decimals: int) -> str:
    return "–" if math.isnan(value) else "no limit" if math.isinf(value) else f"{value:.{decimals}f}"


def _order(value: float, limit: float) -> int:
    return 0 if abs(value - limit) <= SAME * abs(limit) else _sign(value - limit)


def _sign(difference: float) -> int:
    return int(difference > 0.0) - int(difference < 0.0)
