"""Rows of a setup sheet as pieces of a page, each as high as it needs and drawn wherever it comes to stand; mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely

from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.frame import LARGE, LARGEST, LEFT, OTHER, SMALL, scale_text
from sim.drawing.jaw_set_drawing import jaw_set_views
from sim.drawing.letters import LEADING, shown, words_width, wrapped
from sim.drawing.pens import EDGE, FRAME, THIN
from sim.drawing.pocket_drawing import pocket_views
from sim.drawing.primitives import (
    Corners,
    Group,
    Item,
    Line,
    Primitive,
    View,
    Words,
    flat,
    geometry,
    moved,
)
from sim.setup_sheet.entries import Entry, Section, Told
from sim.setup_sheet.form import Form, form_of
from sim.setup_sheet.scale import SCALE_HIGH, scale_drawn

ROW, LABEL, TICK = 2.3, 2.2, 2.0  # heights of capitals: what is told, its label, words behind boxes
GAP = 1.2  # above and below the words of a row
NUMBER_WIDE, LABEL_WIDE, SIDE_WIDE = 8.0, 29.0, 34.0
RISE = 2.0  # between a step and the line over the next
FAR = 3.2  # height of capitals of what is read from afar
BOX = 3.2  # side of a box to tick
BLANK = 24.0  # length of a line to write on
DRAWN = 112.0  # largest height of a drawing of the jaws
APART = 6.0  # between two drawings
LEAST_WIDE = 40.0  # of a drawing with its name
LEAST_SCALE = 0.2  # of a jaw set beside a pocket: its numbers stay legible


Views = Callable[[Assessment, Asked, shapely.Polygon], tuple[View, list[Item]]]
DRAWINGS: tuple[tuple[Views, str], ...] = (
    (pocket_views, "pockets as turned, chuck left"),
    (jaw_set_views, "jaws from the tailstock, at the boring travel"),
)


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


def lines_high(count: int, height: float) -> float:
    """Return how high so many lines are, from the first capitals' top to below the last."""
    return count * LEADING * height


def under_each_other(x: float, top: float, lines: Sequence[str], height: float) -> list[Item]:
    """Return lines of words, the first with its capitals' top at `top`."""
    return [Words((x, top - height - n * LEADING * height), line, height) for n, line in enumerate(lines)]


def told_blocks(told: Told, asked: Asked) -> list[Block]:
    """Return what stands before all others: what fails in the largest letters and between heavy lines."""
    at = columns(asked)
    height = {"fail": 2.8, "warn": ROW, "pass": ROW}[told.weight]
    pen = FRAME if told.weight == "fail" else THIN
    head = LARGEST if told.weight == "fail" else LARGE
    head = min(head, head * (at.right - at.left) / words_width(told.head, head))

    def heading(top: float) -> list[Item]:
        return [
            Line((at.left, top), (at.right, top), pen),
            Words((at.left, top - 2.0 - head), told.head, head),
        ]

    blocks = [Block(head + 5.0, heading, with_next=bool(told.lines))]
    for number, line in enumerate(told.lines):
        lines = wrapped(shown(line), height, at.right - at.left - 5.0)
        last = number == len(told.lines) - 1

        def row(top: float, lines: tuple[str, ...] = lines) -> list[Item]:
            square = Corners(
                (
                    (at.left, top - height),
                    (at.left + 1.6, top - height),
                    (at.left + 1.6, top - height + 1.6),
                    (at.left, top - height + 1.6),
                ),
                EDGE,
                filled=True,
            )
            return [square, *under_each_other(at.left + 5.0, top, lines, height)]

        blocks.append(Block(lines_high(len(lines), height) + (2.0 if last else 0.3), row))
    return blocks


def section_blocks(number: int, section: Section, assessment: Assessment, asked: Asked) -> list[Block]:
    """Return one step of the work: its heading, its rows, its drawing."""
    at = columns(asked)
    title = wrapped(shown(section.title), LARGE, at.right - at.label)

    def heading(top: float) -> list[Item]:
        return [
            Line((at.left, top - RISE), (at.right, top - RISE), EDGE),
            Words((at.left, top - RISE - 2.5 - LARGE), str(number), LARGE),
            *under_each_other(at.label, top - RISE - 2.5, title, LARGE),
        ]

    blocks = [Block(RISE + 2.5 + lines_high(len(title), LARGE), heading, with_next=True)]
    blocks += [entry_block(one, asked) if one.told else checks_block(one, asked) for one in section.entries]
    if section.drawn:
        blocks += drawing_blocks(assessment, asked)
    return blocks


def entry_block(entry: Entry, asked: Asked) -> Block:
    """Return a row as one piece."""
    at = columns(asked)
    wide = at.side - at.told - 2.0
    first = wrapped(shown(entry.told[0]), FAR, wide) if entry.large else ()
    rest = entry.told[1:] if entry.large else entry.told
    told = [line for one in rest for line in wrapped(shown(one), ROW, wide)]
    label = wrapped(shown(entry.label), LABEL, at.told - at.label - 2.0)
    side = _side_lines(entry, at.right - at.side)
    under = lines_high(len(first), FAR)
    high = max(under + lines_high(len(told), ROW), lines_high(len(label), LABEL), 5.0 * len(side)) + GAP
    drawn = scale_drawn(entry.scale, at.told, wide) if entry.scale is not None else []
    high += SCALE_HIGH if drawn else 0.0

    def row(top: float) -> list[Item]:
        items = [
            *under_each_other(at.label, top - GAP, label, LABEL),
            *under_each_other(at.told, top - GAP, first, FAR),
            *under_each_other(at.told, top - GAP - under, told, ROW),
            Line((at.label, top - high), (at.right, top - high), THIN),
            *(moved(item, 0.0, top - high + 0.5) for item in drawn),
        ]
        for count, line in enumerate(side):
            items += _side(line, at.side, top - GAP - 5.0 * count - BOX)
        return items

    return Block(high, row)


def checks_block(entry: Entry, asked: Asked) -> Block:
    """Return boxes to tick in two columns."""
    at = columns(asked)
    rows = (len(entry.ticks) + 1) // 2
    half = 0.5 * (at.right - at.label)

    def boxes(top: float) -> list[Item]:
        items: list[Item] = []
        for count, words in enumerate(entry.ticks):
            x = at.label + half * (count // rows)
            items += _tick(words, x, top - GAP - 5.5 * (count % rows) - BOX, ROW)
        return items

    return Block(5.5 * rows + GAP + 1.0, boxes)


def drawing_blocks(assessment: Assessment, asked: Asked) -> list[Block]:
    """Return the pocket in section and the jaw set, side by side where there is room for both as they are."""
    at = columns(asked)
    space = shapely.box(at.left, 0.0, at.right, DRAWN)
    first, *others = [_drawn(*one, assessment, asked, space) for one in DRAWINGS]
    # The jaw set says less than the pocket: it may be smaller, so that both stand in one look.
    left = at.right - at.left - first.wide - APART
    beside = [
        _drawn(*one, assessment, asked, shapely.box(0.0, 0.0, left, DRAWN)) if left >= LEAST_WIDE else None
        for one in DRAWINGS[1:]
    ]
    if all(one is not None and one.items and one.scale >= LEAST_SCALE for one in beside):
        return [_drawing([first, *(one for one in beside if one is not None)], at)]
    return [_drawing([one], at) for one in (first, *others)]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing anywhere: what it is, all of it, the box that it covers, its scale; mm on the paper."""

    what: str
    items: tuple[Item, ...]
    box: tuple[float, float, float, float]
    scale: float = 1.0

    @property
    def wide(self) -> float:
        """Width that it needs; its name is wrapped under it."""
        return max(self.box[2] - self.box[0], LEAST_WIDE)

    @property
    def name(self) -> tuple[str, ...]:
        """Its name in lines."""
        return wrapped(self.what, SMALL, self.wide)

    @property
    def high(self) -> float:
        """Height that it needs."""
        return self.box[3] - self.box[1]


def _drawn(make: Views, what: str, assessment: Assessment, asked: Asked, space: shapely.Polygon) -> Drawn:
    form = form_of(asked)
    what = form.say(what)
    try:
        view, items = make(assessment, asked, space)
    except ScenarioError:
        told = form.say("{what}: too large for this place, see chuckscene drawing", what=what)
        return Drawn(told, (), (0.0, 0.0, 0.0, 0.0))
    items = [_numbered(item, form) for item in items]
    left, low, right, high = shapely.total_bounds([geometry(item) for item in flat(items)]).tolist()
    return Drawn(f"{what}, {scale_text(view.scale)}", tuple(items), (left, low, right, high), view.scale)


def _numbered(item: Item, form: Form) -> Item:
    """Return the same with its figures as the sheet's language writes them; they stay as wide."""
    if isinstance(item, Group):
        return replace(item, items=tuple(_figures(one, form) for one in item.items))
    return _figures(item, form)


def _figures(item: Primitive, form: Form) -> Primitive:
    return replace(item, words=form.number(item.words)) if isinstance(item, Words) else item


def _drawing(found: Sequence[Drawn], at: Columns) -> Block:
    """Return drawings beside each other, their upper edges at one height, what is left of the width between them."""
    high = max(one.high for one in found)
    between = (at.right - at.left - sum(one.wide for one in found)) / (len(found) + 1)

    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        x = at.left
        for one in found:
            x += between
            off = x + 0.5 * (one.wide - one.box[2] + one.box[0]) - one.box[0], top - 3.0 - one.box[3]
            items += [moved(item, *off) for item in one.items]
            items += under_each_other(x, top - 3.0 - high - 3.0, one.name, SMALL)
            x += one.wide
        return items

    return Block(high + 7.0 + lines_high(max(len(one.name) for one in found), SMALL), drawn)


def _side_lines(entry: Entry, wide: float) -> list[tuple[str, ...]]:
    """Return what stands at the right: a blank (its unit behind '_'), or boxes, as many on a line as fit."""
    found: list[tuple[str, ...]] = [("_" + entry.blank,)] if entry.blank else []
    line: tuple[str, ...] = ()
    for words in entry.ticks:
        joined = (*line, words)
        if line and sum(_tick_wide(one) for one in joined) > wide:
            found.append(line)
            joined = (words,)
        line = joined
    return [*found, line] if line else found


def _tick_wide(words: str) -> float:
    return BOX + 1.4 + words_width(words, TICK) + 2.5


def _side(line: tuple[str, ...], x: float, y: float) -> list[Item]:
    if line[0].startswith("_"):
        return [Line((x, y), (x + BLANK, y), THIN), Words((x + BLANK + 1.5, y + 0.3), line[0][1:], TICK)]
    items: list[Item] = []
    for words in line:
        items += _tick(words, x, y, TICK)
        x += _tick_wide(words)
    return items


def _tick(words: str, x: float, y: float, height: float) -> list[Item]:
    box = Corners(((x, y), (x + BOX, y), (x + BOX, y + BOX), (x, y + BOX)), EDGE)
    return [box, Words((x + BOX + 1.4, y + 0.5 * (BOX - height)), words, height)]
