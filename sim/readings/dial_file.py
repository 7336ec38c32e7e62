"""Readings of a dial indicator on a part in the jaws, out of a CSV file: units in the header, every bad row named.

One row is one turn of the spindle by hand: how far the dial went, and where on the turn it stood highest. From both
follows a vector: half of the whole movement is how far the surface's axis stands off the spindle (exact for a circle;
ISO 1101, circular run-out), towards the high spot. On a face it is the face's rise at that radius: a tilt.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.base import units
from sim.base.arrays import Flags, Floats, Ints
from sim.base.errors import ReadingsError
from sim.readings.csv_file import BadRow, number_in, require_some, rows_of

WHOLE, HALF = "TIR", "amplitude"  # of the dial's movement: the whole of it, or half
# Columns of the file and the kind of quantity of each; '' for a count.
COLUMNS = {
    "mounting": "",
    "clamping": "",
    "pressure": "pressure",
    "speed": "speed",
    "height": "length",
    "radius": "length",
    WHOLE: "length",
    HALF: "length",
    "high spot": "angle",
}
OPTIONAL = ("speed", "radius", WHOLE, HALF)  # of the last two, one
BY_HAND = 60.0  # rev/min: a turn a second, at which a jaw of some kg pulls by a few N (its mass times r w^2)
LARGEST_MOVEMENT = (
    2.0  # mm: a part that runs out by more was not put in, or the unit is not that of the header
)
ALIKE = 0.01  # share by which two pressures may differ and count as the same
MOST_COUNTED = 9999
FARTHEST, LEAST_RADIUS = 10_000.0, 1.0  # mm: no lathe reaches so far; nearer to the axis a face tells no tilt
DIAMETER = "height"


@dataclass(frozen=True, slots=True, eq=False)
class DialReadings:
    """Readings of a dial, (n,) arrays; directions turn with the chuck, x through jaw 1, counter-clockwise.

    Attributes
    ----------
    mounting, clamping : array
        The how-manieth time the jaws were bolted on, and within it the part was put in.
    pressure : array
        Actuating pressure, MPa.
    height, radius : array
        Of the dial above the serrated plane where it runs on a diameter, from the axis where it runs on a face, mm;
        the other of both is nan.
    vector : complex array
        How far the surface's axis stands off the spindle, mm; of a face how far it rises, rad.
    line : array
        Of each reading in the file.
    bad : tuple of BadRow
        Rows that are no readings.
    """

    mounting: Ints
    clamping: Ints
    pressure: Floats
    height: Floats
    radius: Floats
    vector: NDArray[np.complex128]
    line: Ints
    bad: tuple[BadRow, ...] = ()

    def __post_init__(self) -> None:
        for name in ("mounting", "clamping", "pressure", "height", "radius", "vector", "line"):
            own = np.array(getattr(self, name))
            own.setflags(write=False)
            object.__setattr__(self, name, own)

    @property
    def count(self) -> int:
        """Number of readings."""
        return int(self.vector.size)

    @property
    def on_face(self) -> Flags:
        """Which readings were taken on a face."""
        return np.isnan(self.height)

    @property
    def movement(self) -> Floats:
        """Whole movement of the dial in each reading, mm."""
        return np.asarray(2.0 * np.abs(self.vector) * np.where(self.on_face, self.radius, 1.0))


def example() -> str:
    """Return a header."""
    return "mounting, clamping, pressure (bar), height (mm), TIR (um), high spot (deg)"


def is_dial_file(path: Path) -> bool:
    """Tell by the header whether a file has readings of a dial: it has one of its columns and no force.

    Raises
    ------
    ReadingsError
        If the file cannot be read.
    """
    names = {_named(cell)[0] for cell in rows_of(path, example())[0][1]}
    return bool(names & {WHOLE, HALF, "high spot", "mounting", "clamping"})


def read_dial(
    path: Path, largest_pressure: float, highest: float = FARTHEST, widest: float = FARTHEST
) -> DialReadings:
    """Read a file of readings of a dial.

    The first row names the columns with their units, as in `example`, in any order; commas, semicolons or tabs stand
    between them. The movement's column says whether it is all of it (TIR) or half (amplitude). A row has either a
    height (dial on a diameter) or a radius (on a face). Rows that are no readings are named in `DialReadings.bad`.

    Parameters
    ----------
    path : Path
    largest_pressure : float
        MPa; a reading beyond what the chuck may get is a slip of the pen.
    highest, widest : float
        Largest height and radius of the part, mm. A height ten times too large makes a lean ten times too small.

    Raises
    ------
    ReadingsError
        If there is no reading in it; one sentence: what of which file is wrong, what was found, what is allowed.
    """
    rows = rows_of(path, example())
    header = [cell.strip() for cell in rows[0][1]]
    columns = _columns(header, path)
    limits = _Limits(largest_pressure, {DIAMETER: (0.0, highest), "radius": (LEAST_RADIUS, widest)})
    good: list[_Row] = []
    bad: list[BadRow] = []
    for line, cells in rows[1:]:
        found = _reading(partial(BadRow, str(path), line), cells, header, columns, limits, line)
        if isinstance(found, _Row):
            found = _after(partial(BadRow, str(path), line), found, good, header[columns["pressure"].place])
        if isinstance(found, BadRow):
            bad.append(found)
        else:
            good.append(found)
    require_some(len(good), bad, path)
    return DialReadings(
        mounting=np.array([row.mounting for row in good]),
        clamping=np.array([row.clamping for row in good]),
        pressure=np.array([row.pressure for row in good]),
        height=np.array([row.height for row in good]),
        radius=np.array([row.radius for row in good]),
        vector=np.array([row.vector for row in good]),
        line=np.array([row.line for row in good]),
        bad=tuple(bad),
    )


@dataclass(frozen=True, slots=True)
class _Column:
    """Where a column stands, and its factor to the inside unit."""

    place: int
    factor: float


@dataclass(frozen=True, slots=True)
class _Row:
    mounting: int
    clamping: int
    pressure: float
    height: float
    radius: float
    vector: complex
    line: int


def _columns(header: list[str], path: Path) -> dict[str, _Column]:
    found: dict[str, _Column] = {}
    for place, cell in enumerate(header):
        name, unit = _named(cell)
        if name not in COLUMNS:
            hint = (
                f": a run-out is the whole movement of the dial ({WHOLE}) or half of it ({HALF}), and the header must "
                "say which"
                if "run" in cell.lower() or "ecc" in cell.lower()
                else ""
            )
            raise ReadingsError(
                f"{path}: the header must name columns of {', '.join(COLUMNS)}, and no other (as in '{example()}'), "
                f"found '{cell}'{hint}"
            )
        kind = COLUMNS[name]
        if not kind and unit:
            raise ReadingsError(f"{path}: column {name} is a count and has no unit, found '{cell}'")
        allowed = units.KINDS[kind].units if kind else {}
        if kind and unit not in allowed:
            raise ReadingsError(
                f"{path}: the unit of column {name} must be one of {', '.join(allowed)} (in brackets), found '{cell}'"
            )
        if name in found:
            raise ReadingsError(f"{path}: the header must name column {name} once, found it twice")
        found[name] = _Column(place, units.factor(kind, unit) if kind else 1.0)
    missing = [name for name in COLUMNS if name not in (*found, *OPTIONAL)]
    if missing:
        raise ReadingsError(
            f"{path}: the header must name column {missing[0]} (as in '{example()}'), it does not"
        )
    if (WHOLE in found) == (HALF in found):
        raise ReadingsError(
            f"{path}: the header must name one of {WHOLE} (the whole movement of the dial) and {HALF} (half of it), "
            f"found {'both' if WHOLE in found else 'neither'}"
        )
    return found


def _named(cell: str) -> tuple[str, str]:
    """Return column and unit of a header's cell, as in TIR (um), TIR [um], TIR_um; '' for neither."""
    text = " ".join(cell.replace("_", " ").split())
    for name in COLUMNS:
        if text.lower().startswith(name.lower()):
            unit = text[len(name) :].strip()
            return name, unit[1:-1].strip() if unit[:1] + unit[-1:] in ("()", "[]") else unit
    return "", ""


@dataclass(frozen=True, slots=True)
class _Limits:
    """Beyond which a reading is a slip: the largest pressure, MPa, and from where to where a dial may stand, mm."""

    pressure: float
    places: Mapping[str, tuple[float, float]]


def _reading(
    bad: Callable[[str, str, str], BadRow],
    cells: list[str],
    header: list[str],
    columns: Mapping[str, _Column],
    limits: _Limits,
    line: int,
) -> _Row | BadRow:
    if len(cells) != len(header):
        return bad("all columns", f"{len(cells)} values", f"{len(header)} values, one for each column")
    text = {name: cells[column.place].strip() for name, column in columns.items()}
    named = {name: header[column.place] for name, column in columns.items()}
    values: dict[str, float] = {}
    for name, column in columns.items():
        if not text[name] and name in (DIAMETER, "radius", "high spot"):
            continue
        value = number_in(text[name])
        if value is None:
            return bad(named[name], text[name], "one number with a decimal point, its unit in the header")
        if not COLUMNS[name] and (not 1.0 <= value <= MOST_COUNTED or value != math.floor(value)):
            return bad(named[name], text[name], f"a whole number from 1 to {MOST_COUNTED}")
        if name != "high spot" and value < 0.0:
            return bad(named[name], text[name], "0 or more")
        values[name] = value * column.factor
    size = values[WHOLE] if WHOLE in values else 2.0 * values[HALF]
    size_of = WHOLE if WHOLE in values else HALF
    refused = _beyond(values, size, limits)
    if refused is not None:
        name, allowed = refused
        name = size_of if name == WHOLE else name
        return bad(named[name], text[name], allowed)
    if (DIAMETER in values) == ("radius" in values):
        return bad(
            f"{named[DIAMETER]}{' and ' + named['radius'] if 'radius' in named else ''}",
            "both" if DIAMETER in values else "neither",
            "one of height (dial on a diameter) and radius (on a face)",
        )
    if "high spot" not in values and size > 0.0:
        return bad(
            named["high spot"], "", "an angle from jaw 1 on, counter-clockwise as seen from the tailstock"
        )
    radius = values.get("radius", math.nan)
    turned = 0.5 * size * np.exp(1j * values.get("high spot", 0.0))
    return _Row(
        mounting=int(values["mounting"]),
        clamping=int(values["clamping"]),
        pressure=values["pressure"],
        height=values.get(DIAMETER, math.nan),
        radius=radius,
        vector=complex(turned if math.isnan(radius) else turned / radius),
        line=line,
    )


def _beyond(values: Mapping[str, float], size: float, limits: _Limits) -> tuple[str, str] | None:
    """Return the column whose value cannot be, and what is allowed; None if all can."""
    if values["pressure"] <= 0.0:
        return "pressure", "more than 0"
    if values["pressure"] > limits.pressure * (1.0 + 1e-9):
        return "pressure", f"at most {limits.pressure:g} MPa, the pressure limit of chuck and machine"
    if values.get("speed", 0.0) > BY_HAND:
        return "speed", f"at most {BY_HAND:g} rev/min: a dial is read while the spindle is turned by hand"
    for name, (least, most) in limits.places.items():
        if name in values and not least <= values[name] <= most:
            ends = "" if most == FARTHEST else ", where the part of the first operation ends"
            return name, f"{least:g} to {most:g} mm{ends}"
    if size > LARGEST_MOVEMENT:
        return WHOLE, f"a movement of at most {LARGEST_MOVEMENT:g} mm (is it in the unit of the header?)"
    if abs(values.get("high spot", 0.0)) > 2.0 * math.pi * (1.0 + 1e-9):
        return "high spot", "an angle of at most one turn"
    return None


def _after(
    bad: Callable[[str, str, str], BadRow], row: _Row, before: list[_Row], pressure: str
) -> _Row | BadRow:
    """Return a reading, or what is wrong with its pressure after those of the same clamping before it.

    A part is gripped with rising pressure; what friction keeps while it falls belongs to no clamping of a part.
    """
    same = [r for r in before if (r.mounting, r.clamping) == (row.mounting, row.clamping)]
    if same and row.pressure < max(r.pressure for r in same) * (1.0 - ALIKE):
        return bad(
            pressure,
            f"{row.pressure:g} MPa after {max(r.pressure for r in same):g} MPa in clamping {row.clamping}",
            "a pressure that rises within one clamping, as a part is gripped (release it and count a new clamping)",
        )
    return row
