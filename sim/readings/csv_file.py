"""Readings of a grip gauge out of a CSV file: units in the header, every bad row named."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from sim.base import units
from sim.base.arrays import Flags, Floats, Ints
from sim.base.errors import ReadingsError
from sim.base.files import file_text
from sim.base.limits import READINGS

# Columns of the file, the kind of quantity of each, and whether 0 is a reading.
COLUMNS = {
    "pressure": ("pressure", False),
    "speed": ("speed", True),
    "height": ("length", True),
    "force per jaw": ("force", False),  # a jaw that has left the gauge gives no reading
}
DIRECTION = "direction"  # of the pressure before a reading; may be left out, and has no unit
RISING, FALLING = "rising", "falling"
NAMED = 5  # bad rows that a message names


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that is no reading: its file and line, the column, what was found, what is allowed."""

    file: str
    line: int
    column: str
    found: str
    allowed: str

    def __str__(self) -> str:
        return (
            f"{self.file}: line {self.line}, {self.column}: found '{self.found}', allowed is {self.allowed}"
        )


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Readings of a gauge, (n,) arrays.

    Attributes
    ----------
    pressure : array
        Actuating pressure, MPa.
    speed : array
        Spindle speed, rev/min; 0 at rest.
    height : array
        Of the gauge above the serrated plane, mm.
    force : array
        Of one jaw on the gauge, N.
    line : array
        Of each reading in the file.
    bad : tuple of BadRow
        Rows that are no readings.
    falls : array or None
        Whether each was reached with falling pressure; None where no column says so.
    """

    pressure: Floats
    speed: Floats
    height: Floats
    force: Floats
    line: Ints
    bad: tuple[BadRow, ...] = ()
    falls: Flags | None = None

    def __post_init__(self) -> None:
        for name in ("pressure", "speed", "height", "force", "line", "falls"):
            if getattr(self, name) is None:
                continue
            own = np.array(getattr(self, name))
            own.setflags(write=False)
            object.__setattr__(self, name, own)

    @property
    def count(self) -> int:
        """Number of readings."""
        return int(self.force.size)


def read_readings(path: Path, largest_pressure: float) -> Readings:
    """Read a file of readings.

    The first row names the columns with their units, as in ``pressure (bar), speed (rpm), height (mm), force per jaw
    (kN)`` or ``pressure_bar`` and so on, in any order, perhaps with ``direction`` (rising or falling); commas,
    semicolons or tabs stand between them. Numbers have a decimal point. Rows that are no readings are named in
    `Readings.bad`, the others are used.

    Parameters
    ----------
    path : Path
    largest_pressure : float
        MPa; a reading beyond what the chuck may get is a slip of the pen.

    Raises
    ------
    ReadingsError
        If there is no reading in it; one sentence: what of which file is wrong, what was found, what is allowed.
    """
    rows = rows_of(path, example())
    header = [cell.strip() for cell in rows[0][1]]
    directed = _directed(header, path)
    columns = _columns(header, path, directed)
    good: list[tuple[float, ...]] = []
    lines, bad, falls = [], [], []
    for line, cells in rows[1:]:
        name = partial(BadRow, str(path), line)
        found = _reading(name, cells, header, columns, largest_pressure)
        way = (
            cells[directed].strip().lower() if directed is not None and len(cells) == len(header) else RISING
        )
        if not isinstance(found, BadRow) and way not in (RISING, FALLING):
            found = name(DIRECTION, way, f"{RISING} or {FALLING}, as the pressure was reached")
        if isinstance(found, BadRow):
            bad.append(found)
        else:
            good.append(found)
            lines.append(line)
            falls.append(way == FALLING)
    require_some(len(good), bad, path)
    array = np.array(good)
    told = None if directed is None else np.array(falls, dtype=np.bool_)
    return Readings(array[:, 0], array[:, 1], array[:, 2], array[:, 3], np.array(lines), tuple(bad), told)


def require_some(good: int, bad: list[BadRow], path: Path) -> None:
    """Refuse a file without a reading, by its first bad row if there is one.

    Raises
    ------
    ReadingsError
    """
    if good:
        return
    if not bad:
        raise ReadingsError(f"{path}: must hold readings below its header, found none")
    more = "" if len(bad) == 1 else f" (and {len(bad) - 1} more, {_lines_named(bad[1:])})"
    raise ReadingsError(f"{bad[0]}{more}")


def _lines_named(bad: list[BadRow]) -> str:
    named = ", ".join(str(b.line) for b in bad[:NAMED])
    word = "line" if len(bad) == 1 else "lines"
    return f"{word} {named}{' ...' if len(bad) > NAMED else ''}"


def rows_of(path: Path, header: str) -> list[tuple[int, list[str]]]:
    """Return the file's rows that are not empty, with their lines; `header` is one that it might begin with.

    Raises
    ------
    ReadingsError
        If it cannot be read, or is no CSV.
    """
    try:
        text = file_text(path, READINGS)
    except ValueError as error:
        raise ReadingsError(f"{path}: {error}") from None
    first = text.partition("\n")[0]
    between = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=between, skipinitialspace=True)
    try:
        rows = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise ReadingsError(f"{path}: line {reader.line_num} is not valid CSV ({error})") from None
    if not rows:
        raise ReadingsError(f"{path}: must start with a header such as '{header}', found an empty file")
    return rows


def example() -> str:
    """Return a header."""
    return "pressure (bar), speed (rpm), height (mm), force per jaw (kN)"


def _directed(header: list[str], path: Path) -> int | None:
    """Return the place of the column that says how the pressure was reached; None without one."""
    places = [place for place, cell in enumerate(header) if cell.lower() == DIRECTION]
    if len(places) > 1:
        raise ReadingsError(
            f"{path}: the header must name column {DIRECTION} once, found it {len(places)} times"
        )
    return places[0] if places else None


def _columns(header: list[str], path: Path, besides: int | None = None) -> list[tuple[int, float, bool]]:
    """Return place, factor to the inside unit and whether 0 is allowed, in the order of `COLUMNS`.

    `besides` is the place of a column that is no quantity.
    """
    places: dict[str, tuple[int, str]] = {}
    for place, cell in enumerate(header):
        if place == besides:
            continue
        name, unit = _named(cell)
        if name not in COLUMNS:
            raise ReadingsError(
                f"{path}: the header must name the columns {', '.join(COLUMNS)}, each with its unit, "
                f"perhaps {DIRECTION}, and no other (as in '{example()}'), found '{cell}'"
            )
        allowed = units.KINDS[COLUMNS[name][0]].units
        if unit not in allowed:
            raise ReadingsError(
                f"{path}: the unit of column {name} must be one of {', '.join(allowed)} (in brackets), found '{cell}'"
            )
        if name in places:
            raise ReadingsError(f"{path}: the header must name column {name} once, found it twice")
        places[name] = place, unit
    missing = [name for name in COLUMNS if name not in places]
    if missing:
        raise ReadingsError(
            f"{path}: the header must name column {missing[0]} (as in '{example()}'), it does not"
        )
    return [
        (places[name][0], units.factor(kind, places[name][1]), zero) for name, (kind, zero) in COLUMNS.items()
    ]


def _named(cell: str) -> tuple[str, str]:
    """Return column and unit of a header's cell, as in pressure (bar), pressure [bar], pressure_bar; '' for neither."""
    text = " ".join(cell.replace("_", " ").split())
    for name in COLUMNS:
        if text.lower().startswith(name):
            unit = text[len(name) :].strip()
            return name, unit[1:-1].strip() if unit[:1] + unit[-1:] in ("()", "[]") else unit
    return "", ""


def _reading(
    bad: Callable[[str, str, str], BadRow],
    cells: list[str],
    header: list[str],
    columns: list[tuple[int, float, bool]],
    largest: float,
) -> tuple[float, ...] | BadRow:
    if len(cells) != len(header):
        return bad("all columns", f"{len(cells)} values", f"{len(header)} values, one for each column")
    found = []
    for place, factor, zero in columns:
        text = cells[place].strip()
        value = number_in(text)
        if value is None:
            return bad(header[place], text, "one number with a decimal point, its unit in the header")
        if value < 0.0 or (value == 0.0 and not zero):
            return bad(header[place], text, "0 or more" if zero else "more than 0")
        found.append(value * factor)
    if found[0] > largest * (1.0 + 1e-9):
        place, factor, _ = columns[0]
        allowed = f"at most {largest / factor:g}, the pressure limit of chuck and machine"
        return bad(header[place], cells[place].strip(), allowed)
    return tuple(found)


def number_in(text: str) -> float | None:
    """Return a plain decimal number; None for all else that Python would take (nan, inf, 1_000)."""
    if not text or not set(text) <= set("0123456789.+-eE"):
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
