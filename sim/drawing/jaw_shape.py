"""A bored soft jaw as it is drawn: cut through its middle plane, and what is seen of it from the front.

Jaw frame, mm: x outward from the inner end, y across, z from the serrated plane. A jaw from a file counts as the block
that its dimensions state; the chamfers on the long edges of bored faces are left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes import soft_jaw
from meshes.points import Point
from meshes.sector import sector_radius
from meshes.soft_jaw import SoftJawBlank
from sim.base.arrays import Floats
from sim.drawing.pens import EDGE
from sim.drawing.primitives import Arc, Line
from sim.setup.earlier_bores import earlier_bores
from sim.setup.parts import Parts

BESIDE = 1e-4  # mm to either side of a line at which heights are looked at
FAR = 1e4  # mm, beyond every jaw


@dataclass(frozen=True, slots=True, eq=False)
class JawShape:
    """A soft jaw and all that has been turned out of it.

    Attributes
    ----------
    blank : SoftJawBlank
    turned : tuple of (float, (n, 2) array)
        Radius of the inner end while it was turned, and the (r, z) outline that went, mm.
    """

    blank: SoftJawBlank
    turned: tuple[tuple[float, Floats], ...]


def jaw_shape(parts: Parts) -> JawShape:
    """Return the soft jaw of a setup as it is bored."""
    outlines = list(earlier_bores(parts.scenario))
    if parts.stock_removed is not None:
        outlines.append((parts.place.bored, parts.stock_removed))
    outlines.append((parts.place.bored, parts.removed))
    return JawShape(parts.sizes.blank, tuple(outlines))


def middle_section(shape: JawShape, *, bored: bool = True) -> BaseGeometry:
    """Return the jaw cut through its middle plane, (x, z); `bored` False: the blank with its holes."""
    blank = shape.blank
    metal: BaseGeometry = shapely.box(0.0, 0.0, blank.length, blank.height)
    for at in blank.screws:
        for diameter, low in ((blank.hole_diameter, -1.0), (blank.counterbore_diameter, _bottom(blank))):
            metal = metal.difference(
                shapely.box(at - 0.5 * diameter, low, at + 0.5 * diameter, blank.height + 1.0)
            )
    for inner, outline in shape.turned if bored else ():
        half = shapely.Polygon(outline)
        both = shapely.union_all([half, affinity.scale(half, -1.0, 1.0, origin=(0.0, 0.0))])
        metal = metal.difference(affinity.translate(both, -inner))
    return metal


def _bottom(blank: SoftJawBlank) -> float:
    return blank.height - blank.counterbore_depth


def seen_height(shape: JawShape, x: float, y: float) -> float:
    """Return the z (mm) of what is seen of the jaw from the front at a point; -FAR where there is nothing."""
    blank, plan = shape.blank, _plan(shape.blank)
    if not shapely.contains_xy(plan, x, y):
        return -FAR
    height = blank.height
    for at in blank.screws:
        off = math.hypot(x - at, y)
        if off < 0.5 * blank.hole_diameter:
            return -FAR
        if off < 0.5 * blank.counterbore_diameter:
            height = min(height, _bottom(blank))
    for inner, outline in shape.turned:
        height = min(height, _floor(outline, math.hypot(x + inner, y), blank.height))
    return height if height > 0.0 else -FAR


def _plan(blank: SoftJawBlank) -> shapely.Polygon:
    found = soft_jaw.plan(blank)
    shapely.prepare(found)
    return found


def _floor(outline: Floats, radius: float, top: float) -> float:
    """Return how deep a removed outline goes from the top face at a radius, mm; the top where it takes nothing."""
    first, second = outline, np.roll(outline, -1, axis=0)
    across = (first[:, 0] <= radius) != (second[:, 0] <= radius)
    a, b = first[across], second[across]
    heights = np.sort(a[:, 1] + (b[:, 1] - a[:, 1]) * (radius - a[:, 0]) / (b[:, 0] - a[:, 0]))
    for low, high in zip(heights[::2], heights[1::2], strict=True):
        if low < top < high:
            return float(low)
    return top


def _rims(outline: Floats, top: float) -> list[float]:
    """Return the radii of an outline's corners, and of where it passes the top face, mm."""
    found = {round(float(r), 9) for r in outline[:, 0] if r > 0.0}
    for (r0, z0), (r1, z1) in pairwise([*outline.tolist(), outline[0].tolist()]):
        if min(z0, z1) < top < max(z0, z1):
            found.add(round(r0 + (r1 - r0) * (top - z0) / (z1 - z0), 9))
    return sorted(radius for radius in found if radius > 0.0)


def front_edges(shape: JawShape) -> list[Line | Arc]:
    """Return the edges that are seen from the front, (x, y) in the jaw's frame, wide."""
    blank = shape.blank
    circles = [
        ((at, 0.0), 0.5 * d) for at in blank.screws for d in (blank.hole_diameter, blank.counterbore_diameter)
    ]
    for inner, outline in shape.turned:
        circles += [((-inner, 0.0), radius) for radius in _rims(outline, blank.height)]
    end = _round_end(blank)
    # The chords of a sector's round end are drawn as the arc that they stand for.
    lines = list(pairwise(shapely.get_coordinates(soft_jaw.plan(blank).exterior).tolist()))
    straight = [(tuple(a), tuple(b)) for a, b in lines if end is None or not _on(a, end) or not _on(b, end)]
    rims = [*circles, *([] if end is None else [end])]
    found: list[Line | Arc] = []
    for first, second in straight:
        found += _seen_line(shape, first, second, rims)
    for centre, radius in rims:
        found += _seen_arc(shape, centre, radius, rims, straight)
    return found


def _round_end(blank: SoftJawBlank) -> tuple[Point, float] | None:
    if blank.sector_angle is None:
        return None
    radius = sector_radius(blank.length, blank.tip_width, blank.sector_angle)
    return (blank.length - radius, 0.0), radius


def _on(point: tuple[float, ...], circle: tuple[Point, float]) -> bool:
    (x, y), radius = circle
    return abs(math.hypot(point[0] - x, point[1] - y) - radius) < 1e-6


def _changes(shape: JawShape, at: Callable[[float], Point]) -> bool:
    """Tell whether an edge is seen where a line is crossed; `at` gives points by their distance from it."""
    heights = [seen_height(shape, *at(off * BESIDE)) for off in (-2.0, -1.0, 1.0, 2.0)]
    if abs(heights[2] - heights[1]) > 10.0 * BESIDE:
        return True
    return abs((heights[3] - heights[2]) - (heights[1] - heights[0])) > 0.05 * BESIDE


def _seen_line(
    shape: JawShape, first: Point, second: Point, rims: list[tuple[Point, float]]
) -> Iterator[Line]:
    length = math.dist(first, second)
    u = (second[0] - first[0]) / length, (second[1] - first[1]) / length
    cuts = {0.0, length}
    for (x, y), radius in rims:
        along = (x - first[0]) * u[0] + (y - first[1]) * u[1]
        off = (x - first[0]) * u[1] - (y - first[1]) * u[0]
        if abs(off) < radius:
            half = math.sqrt(radius**2 - off**2)
            cuts |= {s for s in (along - half, along + half) if 0.0 < s < length}

    def point(along: float) -> Point:
        return first[0] + along * u[0], first[1] + along * u[1]

    def seen(low: float, high: float) -> bool:
        x, y = point(0.5 * (low + high))
        return high - low > 1e-9 and _changes(shape, lambda off: (x - off * u[1], y + off * u[0]))

    start: float | None = None
    steps = sorted(cuts)
    for low, high in pairwise(steps):
        visible = seen(low, high)
        if visible and start is None:
            start = low
        if start is not None and (not visible or high == steps[-1]):
            yield Line(point(start), point(high if visible else low), EDGE)
            start = None


def _seen_arc(
    shape: JawShape,
    centre: Point,
    radius: float,
    rims: list[tuple[Point, float]],
    lines: list[tuple[Point, Point]],
) -> Iterator[Arc]:
    cuts = sorted({*_by_circles(centre, radius, rims), *_by_lines(centre, radius, lines)})
    if not cuts:
        cuts = [0.0]
    pieces = list(pairwise([*cuts, cuts[0] + 2.0 * math.pi]))

    def seen(low: float, high: float) -> bool:
        turn = 0.5 * (low + high)
        out = math.cos(turn), math.sin(turn)
        return high - low > 1e-9 and _changes(
            shape, lambda off: (centre[0] + (radius + off) * out[0], centre[1] + (radius + off) * out[1])
        )

    kept = [piece for piece in pieces if seen(*piece)]
    joined: list[list[float]] = []
    for low, high in kept:
        if joined and abs(joined[-1][1] - low) < 1e-9:
            joined[-1][1] = high
        else:
            joined.append([low, high])
    if len(joined) > 1 and abs(joined[0][0] + 2.0 * math.pi - joined[-1][1]) < 1e-9:
        joined[0][0] = joined.pop()[0] - 2.0 * math.pi
    for low, high in joined:
        yield Arc(centre, radius, low, high, EDGE)


def _by_circles(centre: Point, radius: float, rims: list[tuple[Point, float]]) -> Iterator[float]:
    """Yield the angles (rad, 0 to a full turn) at which a circle meets others."""
    for other, size in rims:
        dx, dy = other[0] - centre[0], other[1] - centre[1]
        far = math.hypot(dx, dy)
        if far < 1e-9 or not abs(radius - size) < far < radius + size:
            continue
        turn = math.acos((radius**2 + far**2 - size**2) / (2.0 * radius * far))
        for sign in (-1.0, 1.0):
            yield (math.atan2(dy, dx) + sign * turn) % (2.0 * math.pi)


def _by_lines(centre: Point, radius: float, lines: list[tuple[Point, Point]]) -> Iterator[float]:
    """Yield the angles (rad, 0 to a full turn) at which a circle meets straight lines."""
    for (x0, y0), (x1, y1) in lines:
        length = math.hypot(x1 - x0, y1 - y0)
        u = (x1 - x0) / length, (y1 - y0) / length
        along = (centre[0] - x0) * u[0] + (centre[1] - y0) * u[1]
        off = (centre[0] - x0) * u[1] - (centre[1] - y0) * u[0]
        if abs(off) >= radius:
            continue
        half = math.sqrt(radius**2 - off**2)
        for s in (along - half, along + half):
            if -1e-9 <= s <= length + 1e-9:
                turn = math.atan2(y0 + s * u[1] - centre[1], x0 + s * u[0] - centre[0])
                yield turn % (2.0 * math.pi)
