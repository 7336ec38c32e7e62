"""Rows of a setup sheet as pieces of a page, each as high as it needs and drawn wherever it comes to stand; mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sim.drawing.asked import Asked
from sim.drawing.frame import LARGEST, LEFT, OTHER
from sim.drawing.letters import shown
from sim.drawing.pens import EDGE, FRAME, RULE, THIN
from sim.drawing.primitives import Corners, Item, Line, moved
from sim.setup_sheet.entries import Entry, Section, Told
from sim.setup_sheet.runs import (
    BODY,
    FAR,
    STRONG,
    Row,
    broken,
    drawn_rows,
    lettered,
    lines_high,
    rows_high,
    rows_of,
    under_each_other,
    wide_of,
)
from sim.setup_sheet.scale import SCALE_HIGH, scale_drawn

LABEL, TICK, TITLE = 2.06, 2.08, 2.9  # heights of capitals: a row's label, words behind boxes, a step's title
GAP = 0.85  # above the words of a row
NUMBER_WIDE, LABEL_WIDE, SIDE_WIDE = 7.0, 26.0, 30.0
RISE = 1.0  # between a step and the line over the next
LABEL_BESIDE, SHORT, TICKED = (
    22.0,
    21.0,
    20.0,
)  # of two entries on one row: the second's label, what the first tells, boxes
BOX = 3.2  # side of a box to tick
BLANK = 20.0  # length of a line to write on
WRITTEN = 5.0  # least height of a row to write in
WIDE = 130.0  # of what stands in more columns
INSET = 2.5  # of what stands in the frame of what fails


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a page.

    Attributes
    ----------
    height : float
        mm.
    draw : callable
        From where its upper edge stands to what is drawn.
    with_next : bool
        It does not end a page.
    """

    height: float
    draw: Callable[[float], list[Item]]
    with_next: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns of a page begin, and where the last one ends.

    Attributes
    ----------
    left, label, told, side, right : float
        From the paper's left edge, mm.
    """

    left: float
    label: float
    told: float
    side: float
    right: float


def columns(asked: Asked) -> Columns:
    """Return the columns on a paper."""
    left, right = LEFT, asked.size[0] - OTHER
    return Columns(left, left + NUMBER_WIDE, left + NUMBER_WIDE + LABEL_WIDE, right - SIDE_WIDE, right)


def narrower(at: Columns, by: float) -> Columns:
    """Return columns that leave so much of the page's right free."""
    return replace(at, side=at.side - by, right=at.right - by)


def halves(at: Columns) -> tuple[Columns, Columns]:
    """Return the columns of a short entry, and of the one beside it."""
    split = at.label + LABEL_WIDE + SHORT + TICKED
    second = Columns(split, split, split + LABEL_BESIDE, at.right - TICKED, at.right)
    return replace(at, side=split - TICKED, right=split), second


def told_blocks(told: Told, at: Columns) -> list[Block]:
    """Return what stands before all others: what fails in the largest letters and in a heavy frame."""
    framed = told.weight == "fail"
    body, bold = (STRONG, 3.0) if framed else (BODY, STRONG)
    head = LARGEST if framed else FAR
    inset = INSET if framed else 0.0
    wide = at.right - at.left - 2.0 * inset
    head = min(head, head * wide / wide_of(told.head, head, bold=True))

    def frame(top: float, low: float) -> list[Item]:
        return [Line((x, top), (x, low), FRAME) for x in (at.left, at.right)] if framed else []

    def heading(top: float) -> list[Item]:
        return [
            *frame(top, top - head - 3.7),
            Line((at.left, top), (at.right, top), FRAME if framed else THIN),
            lettered((at.left + inset, top - 2.0 - head), told.head, head, bold=True),
        ]

    blocks = [Block(head + 3.7, heading, with_next=bool(told.lines))]
    for number, line in enumerate(told.lines):
        rows = rows_of([line], wide - 4.0, body=body, bold=bold, first=bold)
        last = number == len(told.lines) - 1
        high = rows_high(rows) + 0.4 + last * (1.6 if framed else 0.8)

        def row(
            top: float, rows: tuple[Row, ...] = rows, high: float = high, *, last: bool = last
        ) -> list[Item]:
            x, y = at.left + inset, top - rows[0].capitals
            square = ((x, y), (x + 1.6, y), (x + 1.6, y + 1.6), (x, y + 1.6))
            items = [Corners(square, EDGE, filled=True), *drawn_rows(x + 4.0, top, rows)]
            if last and framed:
                items.append(Line((at.left, top - high), (at.right, top - high), FRAME))
            return [*items, *frame(top, top - high)]

        blocks.append(Block(high, row))
    if framed:
        blocks.append(Block(2.0, lambda _: []))
    return blocks


def section_blocks(number: int | str, section: Section, at: Columns) -> list[Block]:
    """Return one step of the work: its heading and its rows."""
    title = broken(shown(section.title), TITLE, at.right - at.label, bold=True)

    def heading(top: float) -> list[Item]:
        return [
            Line((at.left, top - RISE), (at.right, top - RISE), EDGE),
            lettered((at.left, top - RISE - 1.9 - TITLE), str(number), TITLE, bold=True),
            *under_each_other(at.label, top - RISE - 1.9, title, TITLE, bold=True),
        ]

    blocks = [Block(RISE + 1.4 + lines_high(len(title), TITLE), heading, with_next=True)]
    for one in section.entries:
        if one.told:
            blocks.append(entry_block(one, at))
        elif one.ticks:
            blocks.append(checks_block(one, at))
        else:
            blocks += signed_blocks(one, at)
    return blocks


def _row_of_two(entry: Entry, other: Entry, at: Columns) -> Block:
    """Return two entries as one row, as high as the higher of them."""
    high = max(entry_block(one, place).height for one, place in zip((entry, other), halves(at), strict=True))
    first, second = (
        entry_block(one, place, high) for one, place in zip((entry, other), halves(at), strict=True)
    )
    return Block(high, lambda top: [*first.draw(top), *second.draw(top)])


def entry_block(entry: Entry, at: Columns, least: float = 0.0) -> Block:
    """Return a row as one piece, no lower than `least` mm."""
    if entry.beside is not None:
        return _row_of_two(replace(entry, beside=None), entry.beside, at)
    wide = at.side - at.told - 2.0
    told = rows_of(entry.told, wide, first=FAR if entry.large else STRONG)
    label = broken(shown(entry.label), LABEL, at.told - at.label - 1.5)
    side = _side_lines(entry, at.right - at.side)
    written = WRITTEN - GAP if entry.blank else 0.0
    high = max(rows_high(told), lines_high(len(label), LABEL), 4.4 * len(side), written) + GAP
    drawn = scale_drawn(entry.scale, at.told, wide) if entry.scale is not None else []
    high = max(high + (SCALE_HIGH if drawn else 0.0), least)
    capitals = told[0].capitals

    def row(top: float) -> list[Item]:
        # All that stands on the first line stands on one line.
        items = [
            *under_each_other(at.label, top - GAP - capitals + LABEL, label, LABEL),
            *drawn_rows(at.told, top - GAP, told),
            Line((at.label, top - high), (at.right, top - high), RULE),
            *(moved(item, 0.0, top - high + 0.5) for item in drawn),
        ]
        for count, line in enumerate(side):
            items += _side(line, at.side, top - 0.9 - 4.4 * count - BOX)
        return items

    return Block(high, row)


def checks_block(entry: Entry, at: Columns) -> Block:
    """Return boxes to tick before it goes on, in columns, the first of them to the last row."""
    count = 3 if at.right - at.label > WIDE else 2
    half = (at.right - at.label) / count
    words = [broken(one, TICK, half - BOX - 3.0) for one in entry.ticks]
    in_column = -(-len(words) // count)
    highs = [
        1.2 + max(BOX, *(lines_high(len(one), TICK) for one in words[row::in_column]))
        for row in range(in_column)
    ]

    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        for number, one in enumerate(words):
            x = at.label + half * (number // in_column)
            y = top - 0.8 - sum(highs[: number % in_column]) - BOX
            items += _tick(one, x, y)
        return items

    return Block(sum(highs) + 1.4, drawn)


def signed_blocks(entry: Entry, at: Columns) -> list[Block]:
    """Return lines to write on, with one for the date where it has a blank; two beside each other where it is wide."""
    if entry.beside is None:
        return [_signed((entry,), at)]
    if at.right - at.label > WIDE:
        return [_signed((entry, entry.beside), at)]
    return [_signed((entry,), at), _signed((entry.beside,), at)]


def _signed(entries: Sequence[Entry], at: Columns) -> Block:
    each = (at.right - at.label) / len(entries)

    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        y = top - WRITTEN + 0.4
        for number, one in enumerate(entries):
            x, end = at.label + each * number, at.label + each * (number + 1) - 2.0
            items.append(lettered((x, y + 0.3), one.label, LABEL))
            if one.blank:
                items.append(Line((end - BLANK, y), (end, y), THIN))
                end -= BLANK + wide_of(one.blank, LABEL) + 1.5
                items.append(lettered((end, y + 0.3), one.blank, LABEL))
                end -= 2.0
            items.append(Line((x + LABEL_BESIDE, y), (end, y), THIN))
        return items

    return Block(WRITTEN + 0.4, drawn)


def _side_lines(entry: Entry, wide: float) -> list[tuple[str, ...]]:
    """Return what stands at the right: a blank (its unit behind '_'), or boxes, as many on a line as fit."""
    found: list[tuple[str, ...]] = [("_" + entry.blank,)] if entry.blank else []
    line: tuple[str, ...] = ()
    for words in entry.ticks:
        joined = (*line, words)
        if line and sum(_tick_wide(one) for one in joined) - 2.0 > wide:
            found.append(line)
            joined = (words,)
        line = joined
    return [*found, line] if line else found


def _tick_wide(words: str) -> float:
    return BOX + 1.4 + wide_of(words, TICK) + 2.0


def _side(line: tuple[str, ...], x: float, y: float) -> list[Item]:
    if line[0].startswith("_"):
        y -= 0.4
        return [Line((x, y), (x + BLANK, y), THIN), lettered((x + BLANK + 1.5, y + 0.3), line[0][1:], TICK)]
    items: list[Item] = []
    for words in line:
        items += _tick((words,), x, y)
        x += _tick_wide(words)
    return items


def _tick(lines: Sequence[str], x: float, y: float) -> list[Item]:
    """Return a box with its lower left corner there, and what it is for beside it."""
    box = Corners(((x, y), (x + BOX, y), (x + BOX, y + BOX), (x, y + BOX)), EDGE)
    return [box, *under_each_other(x + BOX + 1.4, y + 0.5 * (BOX + TICK), lines, TICK)]
