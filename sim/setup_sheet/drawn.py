"""The drawings of a setup sheet: a jaw cut through its pockets and the jaw set from the tailstock, in one look."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely

from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.frame import scale_text
from sim.drawing.jaw_set_drawing import jaw_set_views
from sim.drawing.pocket_drawing import pocket_views, verdict_of_limits
from sim.drawing.primitives import Group, Item, Primitive, View, Words, flat, geometry, moved
from sim.setup_sheet.blocks import Block, Columns, columns
from sim.setup_sheet.form import Form, form_of
from sim.setup_sheet.runs import SMALLEST, broken, lines_high, under_each_other

APART = 5.0  # mm between two drawings
LEAST_WIDE = 40.0  # mm, of a drawing with its name
ABOVE = 1.8  # mm over a drawing, and between it and its name


def _section(assessment: Assessment, asked: Asked, space: shapely.Polygon) -> tuple[View, list[Item]]:
    # The blank's own dimensions stand in words beside it, and the jaw set shows it from the front.
    return pocket_views(assessment, asked, space, front=False)


Views = Callable[[Assessment, Asked, shapely.Polygon], tuple[View, list[Item]]]
SECTION = "pockets as turned, chuck left"
TOLD = {  # of their tolerances, by the verdict on the pockets at their limits
    None: "pockets as turned, chuck left; no tolerance is stated",
    "pass": "pockets as turned, chuck left; at the limits of the tolerances no verdict is worse",
    "warn": "pockets as turned, chuck left; AT THE LIMITS OF THE TOLERANCES A VERDICT IS WORSE",
    "fail": "pockets as turned, chuck left; AT THE LIMITS OF THE TOLERANCES A VERDICT FAILS",
}
DRAWINGS: tuple[tuple[Views, str], ...] = (
    (_section, SECTION),
    (jaw_set_views, "jaws from the tailstock, at the boring travel"),
)


def drawing_blocks(assessment: Assessment, asked: Asked, high: float) -> list[Block]:
    """Return the drawings of the jaws beside each other, none higher than `high` mm, or where they do not fit so below.

    The jaw set takes what the pockets leave of the width: it says less, so it may be the smaller one.
    """
    at = columns(asked)
    whole = at.right - at.left
    first = _drawn(*DRAWINGS[0], assessment, asked, shapely.box(0.0, 0.0, whole, high))
    left = whole - first.wide - APART
    if left >= LEAST_WIDE:
        second = _drawn(*DRAWINGS[1], assessment, asked, shapely.box(0.0, 0.0, left, high))
        if second.items:
            return [_drawing((first, second), at)]
    second = _drawn(*DRAWINGS[1], assessment, asked, shapely.box(0.0, 0.0, whole, high))
    return [_drawing([one], at) for one in (first, second)]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing anywhere: what it is, all of it, the box that it covers; mm on the paper."""

    what: str
    items: tuple[Item, ...]
    box: tuple[float, float, float, float]

    @property
    def wide(self) -> float:
        """Width that it needs; its name is wrapped under it."""
        return max(self.box[2] - self.box[0], LEAST_WIDE)

    @property
    def name(self) -> tuple[str, ...]:
        """Its name in lines."""
        return broken(self.what, SMALLEST, self.wide)

    @property
    def high(self) -> float:
        """Height that it needs."""
        return self.box[3] - self.box[1]


def _drawn(make: Views, what: str, assessment: Assessment, asked: Asked, space: shapely.Polygon) -> Drawn:
    form, within = form_of(asked), verdict_of_limits(assessment)
    what = form.say(TOLD[None if within is None else within.status] if what == SECTION else what)
    try:
        view, items = make(assessment, asked, space)
    except ScenarioError:
        told = form.say("{what}: too large for this place, see chuckscene drawing", what=what)
        return Drawn(told, (), (0.0, 0.0, 0.0, 0.0))
    items = [_numbered(item, form) for item in items]
    left, low, right, high = shapely.total_bounds([geometry(item) for item in flat(items)]).tolist()
    return Drawn(f"{what}, {scale_text(view.scale)}", tuple(items), (left, low, right, high))


def _numbered(item: Item, form: Form) -> Item:
    """Return the same with its figures as the sheet's language writes them; they stay as wide."""
    if isinstance(item, Group):
        return replace(item, items=tuple(_figures(one, form) for one in item.items))
    return _figures(item, form)


def _figures(item: Primitive, form: Form) -> Primitive:
    return replace(item, words=form.number(item.words)) if isinstance(item, Words) else item


def _drawing(found: Sequence[Drawn], at: Columns) -> Block:
    """Return drawings beside each other, their middles at one height, what is left of the width between them."""
    high = max(one.high for one in found)
    between = (at.right - at.left - sum(one.wide for one in found)) / (len(found) + 1)

    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        x = at.left
        for one in found:
            x += between
            up = top - ABOVE - 0.5 * (high - one.high) - one.box[3]
            off = x + 0.5 * (one.wide - one.box[2] + one.box[0]) - one.box[0]
            items += [moved(item, off, up) for item in one.items]
            items += under_each_other(x, top - 2.0 * ABOVE - high, one.name, SMALLEST)
            x += one.wide
        return items

    names = max(len(one.name) for one in found)
    return Block(high + 2.0 * ABOVE + lines_high(names, SMALLEST), drawn)
