"""Draw scenarios: those that are shipped, with values moved, exchanged, left out, doubled or replaced by anything."""

from __future__ import annotations

import copy
import datetime
import math
import random
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from sim.scenario.scenario import full_tables

FOLDER = Path(__file__).parents[2] / "scenarios"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
MOST = 10**15  # a whole number beyond is left as it is
Key = tuple[str | int, ...]

_QUANTITY = re.compile(r"([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)( ?)(.*)", re.DOTALL)
_UNITS = (
    "mm", "m", "in", "um", "N", "kN", "bar", "MPa", "psi", "rpm", "N*m", "kg", "deg", "rad", "mm/s", "cm2", "m/min",
    "", "µm", "Mm", "mm mm", "%",
)  # fmt: skip
_NUMBERS = (
    0, 0.0, -0.0, 1, -1, 1e-9, 1e-300, 1e9, 1e308, -1e308, math.nan, math.inf, -math.inf, 2**63, 10**400, 0.5, 3, 120,
)  # fmt: skip
_ANYTHING: tuple[Any, ...] = (
    "", " ", "x", "12", "12 mm", "1,5 mm", "1e999 mm", "nan mm", "inf mm", "-5 mm", "0 mm", "1e-300 mm", "5 mm 3",
    "５ mm", "1_0 mm", "0x10 mm", "12\u00a0mm", "\x00", "\x1b[31m", "\u202e", "a" * 5000, "../../etc/passwd",
    "/dev/zero", "programs/cast_hub_jaws.nc", True, False, [], {}, [[]], [["1 mm", "2 mm"]], {"kind": "none"},
    datetime.date(2026, 1, 1), datetime.time(12, 0), [0] * 3, ["1 mm"] * 40, None, "all", "none", "outside", "inside",
)  # fmt: skip
_SHARES = (-1.0, 0.0, 0.01, 0.5, 0.9, 0.98, 1.001, 1.02, 1.1, 1.5, 2.0, 10.0, 1e3, 1e6)
_LITTLE = (0.93, 0.97, 0.99, 1.01, 1.03, 1.07)


@cache
def tables_of(name: str) -> dict[str, Any]:
    """Return the tables of a shipped scenario, with what it takes from other files; they are not to be changed."""
    return {key: value for key, value in full_tables(FOLDER / f"{name}.toml").items() if key != "shop_files"}


@cache
def keys_of(name: str) -> tuple[Key, ...]:
    """Return the places of every value and table of a shipped scenario."""
    return tuple(places(tables_of(name)))


def places(table: Any, at: Key = ()) -> Iterator[Key]:
    """Yield every place within a table."""
    inner = table.items() if isinstance(table, dict) else enumerate(table) if isinstance(table, list) else ()
    for key, value in inner:
        yield (*at, key)
        yield from places(value, (*at, key))


def found(tables: Any, key: Key) -> Any:
    """Return what stands at a place."""
    for step in key:
        tables = tables[step]
    return tables


def replaced(tables: Any, key: Key, change: Callable[[Any, str | int], None]) -> Any:
    """Return tables whose table or list around a place is a changed copy; all else is shared."""
    if not isinstance(tables, dict | list):
        raise TypeError("there is no table any more")  # an earlier change put a value in its place
    copied = copy.copy(tables)
    if len(key) == 1:
        change(copied, key[0])
    else:
        copied[key[0]] = replaced(copied[key[0]], key[1:], change)
    return copied


def with_value(tables: Any, key: Key, value: Any) -> Any:
    """Return tables with another value at a place."""

    def put(place: Any, last: str | int) -> None:
        place[last] = value

    return replaced(tables, key, put)


def scaled(draw: random.Random, value: Any, shares: tuple[float, ...]) -> Any:
    """Return a number or quantity times a share; anything else as it is."""
    share = draw.choice(shares)
    if isinstance(value, bool):
        return value
    if isinstance(value, int) and abs(value) < MOST:
        return round(value * share)
    if isinstance(value, float):
        return value * share
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        return value
    try:
        return f"{float(match[1]) * share:.9g} {match[3]}".strip()
    except ValueError:
        return value


def _other_unit(draw: random.Random, value: Any) -> Any:
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
    return draw.choice(_ANYTHING) if match is None else f"{match[1]}{match[2]}{draw.choice(_UNITS)}"


def _of_another(draw: random.Random, key: Key) -> Any:
    """Return what another scenario has at a place, or at any."""
    name = draw.choice(NAMES)
    try:
        return found(tables_of(name), key)
    except (KeyError, IndexError, TypeError):
        return found(tables_of(name), draw.choice(keys_of(name)))


def _spelt(draw: random.Random, text: Any) -> Any:
    """Return a text with one character changed."""
    if not isinstance(text, str) or not text:
        return draw.choice(_ANYTHING)
    at = draw.randrange(len(text))
    return (
        text[:at] + draw.choice(("", " ", "0", ".", "-", "e", "\t", "é", "\n", text[at] * 2)) + text[at + 1 :]
    )


def mutated(draw: random.Random, tables: Any, key: Key) -> Any:
    """Return tables with one place changed."""
    value = found(tables, key)
    how = draw.random()
    if how < 0.30:
        return with_value(tables, key, scaled(draw, value, _SHARES))
    if how < 0.50:
        return with_value(tables, key, scaled(draw, value, _LITTLE))
    if how < 0.57:
        return with_value(tables, key, _other_unit(draw, value))
    if how < 0.63:
        return with_value(tables, key, _spelt(draw, value))
    if how < 0.70:
        return with_value(tables, key, draw.choice(_ANYTHING))
    if how < 0.75:
        return with_value(tables, key, draw.choice(_NUMBERS))
    if how < 0.86:
        return with_value(tables, key, _of_another(draw, key))
    return replaced(tables, key, draw.choice((_dropped, _doubled(draw), _renamed(draw), _added(draw))))


def _dropped(place: Any, last: str | int) -> None:
    del place[last]


def _doubled(draw: random.Random) -> Callable[[Any, str | int], None]:
    times = draw.choice((1, 1, 2, 200))

    def change(place: Any, last: str | int) -> None:
        if isinstance(place, list) and isinstance(last, int):
            place[last:last] = [place[last]] * times
        else:
            place[f"{last}2"] = place[last]

    return change


def _renamed(draw: random.Random) -> Callable[[Any, str | int], None]:
    def change(place: Any, last: str | int) -> None:
        if isinstance(place, list) and isinstance(last, int):
            other = draw.randrange(len(place))
            place[last], place[other] = place[other], place[last]
        else:
            place[_spelt(draw, last)] = place.pop(last)

    return change


def _added(draw: random.Random) -> Callable[[Any, str | int], None]:
    def change(place: Any, last: str | int) -> None:
        if isinstance(place, list) and isinstance(last, int):
            place.insert(last, draw.choice(_ANYTHING))
        else:
            place[draw.choice(("kind", "model", "program", "friction", "high", "points", "x", ""))] = (
                draw.choice(_ANYTHING)
            )

    return change


def drawn(draw: random.Random) -> tuple[str, dict[str, Any]]:
    """Return the name of a shipped scenario and its tables with one to four places changed."""
    name = draw.choice(NAMES)
    tables = tables_of(name)
    for _ in range(draw.choice((1, 1, 1, 2, 2, 3, 4))):
        key = draw.choice(keys_of(name))
        try:
            tables = mutated(draw, tables, key)
        except (KeyError, IndexError, TypeError):  # of a place that an earlier change took away
            continue
    return name, tables
