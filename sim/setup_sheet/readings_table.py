"""A blank table for readings of a grip gauge, in the columns that `fit` reads: on the sheet, and as a file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sim.assessment.results import Assessment
from sim.drawing.numbers import length_text
from sim.drawing.pens import RULE
from sim.drawing.primitives import Item, Line
from sim.readings.csv_file import DIRECTION, FALLING, RISING
from sim.setup_sheet.blocks import Block, Columns
from sim.setup_sheet.figures import fails
from sim.setup_sheet.form import Form
from sim.setup_sheet.gauge import Gauge, gauge_fits
from sim.setup_sheet.gripping import PRESSURE
from sim.setup_sheet.runs import (
    BODY,
    SMALLEST,
    STRONG,
    broken,
    lettered,
    lines_high,
    under_each_other,
    wide_of,
)

HIGH = 4.8  # of a row on the paper, mm
INSIDE = 1.2  # of words in a cell, mm
FREE = 1  # rows with nothing in them
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
    return "pressure (bar)", "speed (rev/min)", f"height ({form.unit})", "force per jaw (kN)", DIRECTION


def cells(row: Row, form: Form) -> tuple[str, ...]:
    """Return a row with its blank, numbers with a decimal point."""
    height = length_text(row.height, form.units)
    return f"{10.0 * row.pressure:.9g}", "0", height, "", row.direction


def blank_csv(rows: Sequence[Row], form: Form) -> str:
    """Return a file to fill in and give to `fit`."""
    lines = [header(form), *(cells(row, form) for row in rows)]
    return "".join(", ".join(line) + "\n" for line in lines)


def readings_block(rows: Sequence[Row], at: Columns, form: Form) -> Block:
    """Return the table on the paper, with some rows free."""
    names = header(form)
    wide = _widths(names, at.right - at.label)
    left = [at.label + sum(wide[:k]) for k in range(len(wide) + 1)]
    heads = [broken(name, SMALLEST, one - 2.0 * INSIDE) for name, one in zip(names, wide, strict=True)]
    head = 1.6 + lines_high(max(len(one) for one in heads), SMALLEST)
    told = [
        *(tuple(map(form.number, cells(row, form))) for row in rows),
        *[("",) * len(names)] * (FREE if rows else len(RUN) + FREE),
    ]
    high = head + HIGH * len(told)

    def drawn(top: float) -> list[Item]:
        upper = top - 1.0
        items: list[Item] = [Line((at.label, upper), (at.right, upper), RULE)]
        items += [
            Line((at.label, upper - head - HIGH * k), (at.right, upper - head - HIGH * k), RULE)
            for k in range(len(told) + 1)
        ]
        items += [Line((x, upper), (x, upper - high), RULE) for x in left]
        for n, lines in enumerate(heads):
            items += under_each_other(left[n] + INSIDE, upper - 1.2, lines, SMALLEST)
        for k, line in enumerate(told):
            y = upper - head - HIGH * k - 0.5 * (HIGH + STRONG)
            items += [
                lettered((left[n] + INSIDE, y), words, STRONG if words[0].isdigit() else BODY)
                for n, words in enumerate(line)
                if words
            ]
        return items

    return Block(high + 2.0, drawn)


def _widths(names: Sequence[str], whole: float) -> list[float]:
    """Return how wide columns are, each as its name or its longest word wants it."""
    wants = [wide_of(name, SMALLEST) for name in names]
    if sum(wants) + 2.0 * INSIDE * len(names) > whole:
        wants = [max(wide_of(word, SMALLEST) for word in name.split()) for name in names]
    spare = (whole - sum(wants)) / len(names)
    return [want + spare for want in wants]
