"""Where a note finds room: the nearest place at which its words touch no line and no other words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.drawing import dimensions
from sim.drawing.primitives import Group, Item, Line, Words, flat, geometry

AROUND = 0.7  # mm that words keep from lines
CROSSING = 12.0  # mm that a leader may rather be longer than cross a line
IN_METAL = 15.0  # mm that a leader may rather be longer than its words stand on hatching
TIP = 0.6  # mm about the tip within which the leader meets what it points at


def placed_note(
    tip: Point,
    words: tuple[str, ...],
    drawn: Sequence[Item],
    room: BaseGeometry,
    metal: BaseGeometry | None = None,
    kind: str = "note",
) -> Group:
    """Return a note with its leader where there is room for it.

    Parameters
    ----------
    tip : Point
        What it points at.
    words : tuple of str
        Its lines.
    drawn : sequence of Item
        What is on the sheet, hatching left out.
    room : BaseGeometry
        Within which the words must stand, mm on the paper.
    metal : BaseGeometry, optional
        What will be hatched: words stand better beside it.
    kind : str

    Returns
    -------
    Group
        The nearest place that is free; if there is none, the one where the words meet the fewest lines.
    """
    shapes = [geometry(item) for item in flat(list(drawn))]
    tree = shapely.STRtree(shapes)
    near = shapely.Point(tip).buffer(TIP)
    best: tuple[float, Group] | None = None
    for corner, leftwards in _corners(tip):
        note = dimensions.leader(tip, words, corner, leftwards=leftwards, kind=kind)
        cost = _cost(note, tip, corner, room, tree, near, None if best is None else best[0])
        if cost is not None and metal is not None:
            cost += IN_METAL * any(metal.intersects(i.box()) for i in note.items if isinstance(i, Words))
        if cost is not None and (best is None or cost < best[0]):
            best = cost, note
    if best is None:
        return dimensions.leader(tip, words, (tip[0] + 8.0, tip[1] + 8.0), leftwards=False, kind=kind)
    return best[1]


def _corners(tip: Point) -> Iterator[tuple[Point, bool]]:
    for far in (7.0, 10.0, 13.0, 17.0, 22.0, 28.0, 36.0, 46.0, 58.0, 72.0):
        for degrees in (45, 60, 30, -45, -60, -30, 75, -75, 15, -15):
            x, y = far * math.cos(math.radians(degrees)), far * math.sin(math.radians(degrees))
            yield (tip[0] + x, tip[1] + y), False
            yield (tip[0] - x, tip[1] + y), True


def _cost(
    note: Group,
    tip: Point,
    corner: Point,
    room: BaseGeometry,
    tree: shapely.STRtree,
    near: BaseGeometry,
    least: float | None,
) -> float | None:
    far = math.hypot(corner[0] - tip[0], corner[1] - tip[1])
    if least is not None and far >= least:
        return None
    boxes = [item.box(AROUND) for item in note.items if isinstance(item, Words)]
    boxes += [geometry(item).buffer(0.2) for item in note.items[1:2] if isinstance(item, Line)]
    if not shapely.contains(room, boxes).all():
        return None
    met = len(tree.query(boxes, predicate="intersects")[0])
    line = geometry(note.items[0]).difference(near)
    crossed = len(tree.query(line, predicate="intersects")) if not line.is_empty else 0
    return far + CROSSING * crossed + 1000.0 * met
