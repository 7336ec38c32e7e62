"""Lines and arcs as far as nothing stands in front of them, or as far as they lie within something."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from sim.drawing.primitives import Arc, Line

STEP = math.radians(0.25)  # of an arc that is cut
SHORTEST = 0.02  # mm of a piece that is drawn


def clear_of(item: Line | Arc, front: BaseGeometry) -> Iterator[Line | Arc]:
    """Yield the pieces of a line or an arc that a region in front of it leaves to be seen, mm on the paper."""
    shapely.prepare(front)  # asked by hundreds of lines, most of which it hides nothing of
    if isinstance(item, Line):
        line = shapely.LineString([item.start, item.end])
        if not front.intersects(line):
            if line.length > SHORTEST:
                yield item
            return
        for piece in shapely.get_parts(line.difference(front)):
            if piece.length > SHORTEST:
                first, *_, last = piece.coords
                yield Line(first, last, item.pen)
        return
    count = max(2, math.ceil((item.end - item.start) / STEP))
    turns = [item.start + (item.end - item.start) * k / count for k in range(count + 1)]
    line = shapely.linestrings([item.at(t) for t in turns])
    if item.whole and line.length > 0.0 and not front.intersects(line):
        yield item
        return
    seen = shapely.line_merge(line.difference(front))
    for piece in shapely.get_parts(seen):
        if piece.length > SHORTEST:
            first, *_, last = piece.coords
            start, end = (math.atan2(y - item.centre[1], x - item.centre[0]) for x, y in (first, last))
            yield Arc(item.centre, item.radius, start, end if end > start else end + 2.0 * math.pi, item.pen)
