"""A blank table for readings of a grip gauge, in the columns that `fit` reads: on the sheet, and as a file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.numbers import length_text
from sim.drawing.pens import THIN
from sim.drawing.primitives import Item, Line, Words
from sim.readings.csv_file import DIRECTION, FALLING, RISING
from sim.setup_sheet.blocks import LABEL, ROW, Block, columns
from sim.setup_sheet.figures import fails
from sim.setup_sheet.form import Form, form_of
from sim.setup_sheet.gauge import Gauge, gauge_fits
from sim.setup_sheet.gripping import PRESSURE

HIGH = 5.0  # of a row on the paper, mm
FREE = 2  # rows with nothing in them
# Shares of the gripping pressure, in the order in which they are set: hysteresis shows as the difference of two rows.
RUN = ((0.5, RISING), (1.0, RISING), (0.5, FALLING))
STEP = 0.05  # to which a pressure in between is rounded, MPa


@dataclass(frozen=True, slots=True)
class Row:
    """Where a reading is taken: pressure (MPa), at rest, height above the serrated plane (mm), how it was reached."""

    pressure: float
    height: float
    direction: str


def blank_rows(assessment: Assessment, gauge: Gauge | None = None) -> tuple[Row, ...]:
    """Return where readings of a set-up are taken: at each operation's pressure, and at half of it up and down.

    None at a pressure that the sheet forbids to set.
    """
    return tuple(dict.fromkeys(_rows(assessment, gauge)))


def _rows(assessment: Assessment, gauge: Gauge | None) -> Iterator[Row]:
    for index, figures in enumerate(assessment.operations):
        if fails(assessment, Form(), figures.operation.name, *PRESSURE):
            continue
        whole = figures.operation.gripping.pressure
        height = figures.grip.height
        if gauge is not None and gauge_fits(assessment, index, gauge):
            height = gauge.height
        for share, direction in RUN:
            least = assessment.scenario.machine.lowest_pressure
            pressure = whole if share == 1.0 else max(round(share * whole / STEP) * STEP, least)
            if share == 1.0 or pressure < whole:
                yield Row(pressure, height, direction)


def header(form: Form) -> tuple[str, ...]:
    """Return the names of the columns, as `fit` reads them in any language."""
    return "pressure (bar)", "speed (rpm)", f"height ({form.unit})", "force per jaw (kN)", DIRECTION


def cells(row: Row, form: Form) -> tuple[str, ...]:
    """Return a row with its blank, numbers with a decimal point."""
    height = length_text(row.height, form.units)
    return f"{10.0 * row.pressure:.9g}", "0", height, "", row.direction


def blank_csv(rows: Sequence[Row], form: Form) -> str:
    """Return a file to fill in and give to `fit`."""
    lines = [header(form), *(cells(row, form) for row in rows)]
    return "".join(", ".join(line) + "\n" for line in lines)


def readings_block(rows: Sequence[Row], asked: Asked) -> Block:
    """Return the table on the paper, with some rows free."""
    at, form = columns(asked), form_of(asked)
    names = header(form)
    wide = (at.right - at.label) / len(names)
    told = [
        names,
        *(tuple(map(form.number, cells(row, form))) for row in rows),
        *[("",) * len(names)] * (FREE if rows else len(RUN) + FREE),
    ]
    high = HIGH * len(told)

    def drawn(top: float) -> list[Item]:
        upper = top - 1.5
        items: list[Item] = [
            Line((at.label, upper - HIGH * k), (at.right, upper - HIGH * k), THIN)
            for k in range(len(told) + 1)
        ]
        items += [
            Line((at.label + wide * k, upper), (at.label + wide * k, upper - high), THIN)
            for k in range(len(names) + 1)
        ]
        for k, line in enumerate(told):
            size = LABEL if k == 0 else ROW
            y = upper - HIGH * k - 0.5 * (HIGH + size)
            items += [
                Words((at.label + wide * n + 1.5, y), words, size) for n, words in enumerate(line) if words
            ]
        return items

    return Block(high + 3.0, drawn)
