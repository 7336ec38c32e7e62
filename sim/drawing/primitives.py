"""What a drawing consists of: lines, arcs, filled corners and words, in mm on the paper."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import shapely

from meshes.points import Point
from sim.drawing.letters import BELOW, words_width
from sim.drawing.pens import TEXT, Pen

Anchor = Literal["left", "middle", "right"]
Projection = Literal["first", "third"]
Units = Literal["mm", "inch"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from one point to another."""

    start: Point
    end: Point
    pen: Pen


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc, counter-clockwise from one angle to the other, rad; a whole circle where they are a full turn apart."""

    centre: Point
    radius: float
    start: float
    end: float
    pen: Pen

    @property
    def whole(self) -> bool:
        """Whether it is a circle."""
        return self.end - self.start >= 2.0 * math.pi - 1e-9

    def at(self, angle: float) -> Point:
        """Return its point at an angle, rad."""
        return self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle)


@dataclass(frozen=True, slots=True)
class Corners:
    """A closed outline; filled black (an arrow's head) or white (the ground of words), or only its lines."""

    points: tuple[Point, ...]
    pen: Pen
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """Words on one line.

    Attributes
    ----------
    at : Point
        Where the line on which they stand begins, has its middle or ends, by `anchor`.
    words : str
    height : float
        Of capitals, mm.
    anchor : {'left', 'middle', 'right'}
    upwards : bool
        They run up the sheet, to be read from the right.
    bold : bool
        In the bold font, as a setup sheet's figures are; a DXF file, which holds none of those, has one font.
    stretch : float
        Width over that of the font's own letters, no unit.
    """

    at: Point
    words: str
    height: float
    anchor: Anchor = "left"
    upwards: bool = False
    pen: Pen = TEXT
    bold: bool = False
    stretch: float = 1.0

    @property
    def width(self) -> float:
        """Width along the line, mm."""
        return self.stretch * words_width(self.words, self.height, bold=self.bold)

    def box(self, around: float = 0.0) -> shapely.Polygon:
        """Return what they cover, with `around` mm more to each side."""
        width = self.width
        low = {"left": 0.0, "middle": -0.5 * width, "right": -width}[self.anchor]
        a, b, c, d = low - around, low + width + around, -BELOW * self.height - around, self.height + around
        x, y = self.at
        if self.upwards:
            return shapely.box(x - d, y + a, x - c, y + b)
        return shapely.box(x + a, y + c, x + b, y + d)


Primitive = Line | Arc | Corners | Words


@dataclass(frozen=True, slots=True)
class Group:
    """Primitives that belong together: a dimension, a note with its leader, a body's hatching.

    Attributes
    ----------
    kind : str
        'length', 'diameter', 'half diameter', 'radius', 'note', 'hatching'.
    name : str
        What the dimension says, or the body's name.
    items : tuple of Primitive
    """

    kind: str
    name: str
    items: tuple[Primitive, ...]


Item = Primitive | Group


@dataclass(frozen=True, slots=True)
class View:
    """Where a view stands on the paper: its own point (0, 0), and mm on the paper for each real mm."""

    origin: Point
    scale: float

    def at(self, across: float, up: float) -> Point:
        """Return the point on the paper of a real one, mm."""
        return self.origin[0] + self.scale * across, self.origin[1] + self.scale * up


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing on its paper.

    Attributes
    ----------
    title : str
        What is drawn.
    width, height : float
        Of the paper, mm.
    view : View
        The main view; every view of a sheet has its scale.
    units : {'mm', 'inch'}
        Of the dimensions.
    items : tuple of Item
    description : str
        Read aloud: the cautions.
    """

    title: str
    width: float
    height: float
    view: View
    units: Units
    items: tuple[Item, ...]
    description: str


def flat(items: tuple[Item, ...] | list[Item]) -> list[Primitive]:
    """Return all primitives, those of groups too."""
    found: list[Primitive] = []
    for item in items:
        if isinstance(item, Group):
            found += item.items
        else:
            found.append(item)
    return found


def moved(item: Item, across: float, up: float) -> Item:
    """Return the same elsewhere on the paper, so many mm to the right and up."""

    def at(point: Point) -> Point:
        return point[0] + across, point[1] + up

    if isinstance(item, Group):
        return replace(item, items=tuple(_moved(one, at) for one in item.items))
    return _moved(item, at)


def _moved(item: Primitive, at: Callable[[Point], Point]) -> Primitive:
    if isinstance(item, Line):
        return replace(item, start=at(item.start), end=at(item.end))
    if isinstance(item, Arc):
        return replace(item, centre=at(item.centre))
    if isinstance(item, Corners):
        return replace(item, points=tuple(at(point) for point in item.points))
    return replace(item, at=at(item.at))


@lru_cache(8192)  # each note that looks for room asks for all that is drawn so far
def geometry(item: Primitive) -> shapely.geometry.base.BaseGeometry:
    """Return what a primitive covers on the paper: a line, or the box of words."""
    if isinstance(item, Line):
        return shapely.LineString([item.start, item.end])
    if isinstance(item, Words):
        return item.box()
    if isinstance(item, Corners):
        return (
            shapely.Polygon(item.points)
            if item.filled
            else shapely.LineString([*item.points, item.points[0]])
        )
    steps = max(2, math.ceil((item.end - item.start) / math.radians(3.0)))
    return shapely.LineString(
        [item.at(item.start + (item.end - item.start) * k / steps) for k in range(steps + 1)]
    )
