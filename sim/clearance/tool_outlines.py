"""Outlines of a tool: rake face, flank, seat, head, bar and plate, (x, z) in mm from the tip, by depth below it.

The frame is that of `meshes.insert`, as in `sim.clearance.tool`, which cuts them into convex pieces.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from meshes import boring_bar
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.insert import Insert
from meshes.tool_holder import ToolHolder, section_polygon
from sim.base.arrays import Floats
from sim.clearance.shapes import polygons

PartKind = Literal["insert", "seat", "shank", "holder"]
NOSE_SAG = 1e-3  # mm by which the chords of the cutting corner may leave its arc
# Layers of y, least and most, into which head and seat of a bar are cut; each covers what lies in it.
HEAD_LEVELS, SEAT_LEVELS = (4, 24), (3, 24)
_FAR = 1e4  # mm, larger than any tool
RELIEVED_SHARE = 0.4  # of the insert, from its tip: stands free of the head, as in `meshes.boring_bar`


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """What a tool has over a range of depth; of any shape, its fields as those of `sim.clearance.tool.ToolPart`, mm."""

    name: str
    kind: PartKind
    ring: Floats
    near: float = 0.0
    far: float = 0.0
    hidden_from: float = math.inf
    assumed: bool = False


def bar_outlines(bar: BoringBar, insert: Insert, approach_angle: float) -> list[Outline]:
    """Return a boring bar with its insert, approach angle KAPR in rad.

    Raises
    ------
    ValueError
        If the reach is not greater than the head's length, or the approach angle lets the insert rub.
    """
    front = boring_bar.head_length(bar, insert, approach_angle)
    if not front < bar.reach:
        raise ValueError(
            f"boring bar: reach must be greater than the head's length ({front:g} mm), found {bar.reach:g} mm"
        )
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
    return [
        insert_outline(insert, approach_angle),
        *flank_outlines(insert, rake_face, bar),
        *head_outlines(bar, insert, rake_face, front),
        shank_outline(bar, front),
    ]


def cutting_outlines(insert: Insert, approach_angle: float) -> list[Outline]:
    """Return an insert alone, rake face and flank, approach angle KAPR in rad."""
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
    return [insert_outline(insert, approach_angle), *flank_outlines(insert, rake_face)]


def shank_outline(bar: BoringBar, front: float) -> Outline:
    """Return the round shank from z = front (mm from the tip) to the bar's reach; its axis lies at centre height."""
    axis, radius = -bar.functional_offset, 0.5 * bar.diameter
    left, right = axis - radius, axis + radius
    ring = np.array([(left, front), (right, front), (right, bar.reach), (left, bar.reach)])
    return Outline("bar", "shank", ring)


def plate_outline(name: str, holder: ToolHolder) -> Outline:
    """Return a holder or a turret of any outline as a plate from centre height down by its thickness."""
    ring = shapely.get_coordinates(section_polygon(holder))
    return Outline(name, "holder", ring, 0.0, holder.thickness)


def flank_outlines(insert: Insert, rake_face: shapely.Polygon, bar: BoringBar | None = None) -> list[Outline]:
    """Return the flank of the insert as sections below the rake face, (x, z) in mm from the tip.

    In a small bore the heel rubs before anything else: with the tip at radius x it is seen at
    sqrt((x - t tan a)^2 + t^2) for a thickness t and a clearance a. Between two sections the flank is ruled
    and lies within their images, rho being a convex function of the depth; one section more stands where the
    nose radius is used up. Inserts without clearance of their own are taken as tilted by `meshes.boring_bar.TILT` in
    their holder (common practice, no source), and all in a bar as its least bore asks for. Nobody stated a tilt, so
    such a flank is assumed.
    """
    own = math.tan(insert.clearance_angle or boring_bar.TILT)
    slope = own if bar is None else boring_bar.lean(bar, insert)
    assumed = insert.clearance_angle == 0.0 or slope > own
    depths = {insert.thickness, min(insert.thickness, insert.nose_radius / slope)}
    found = []
    for depth in sorted(depths):
        sections = shapely.buffer(rake_face, -depth * slope, join_style="mitre", mitre_limit=20.0)
        for section in polygons(shapely.orient_polygons(sections)):
            outline = _fewer_corners(shapely.get_coordinates(section.exterior)[:-1], 0.01)
            # sqrt((r - d)^2 + t^2) <= r for all radii r of the insert: the section is behind the rake face.
            shrunk = depth * slope
            hidden = (shrunk**2 + depth**2) / (2.0 * shrunk) - float(shapely.bounds(rake_face)[0])
            found.append(Outline("insert flank", "seat", outline, depth, depth, hidden, assumed))
    return found


def head_outlines(bar: BoringBar, insert: Insert, rake_face: shapely.Polygon, front: float) -> list[Outline]:
    """Return seat and head with the measures of `meshes.boring_bar`, in layers of y, up to z = front (mm).

    A stated head is taken as it is drawn, as far as the least bore leaves room for it; no seat is assumed beside it.
    """
    if bar.head is not None:
        return _stated_head(bar, bar.head, boring_bar.head_depth(bar, insert))
    shrunk = boring_bar.SEAT_SETBACK + boring_bar.run_in(bar, insert)
    seat = rake_face.buffer(-shrunk)
    upper = 0.5 * insert.thickness
    lower = 0.5 * (insert.thickness + max(0.5 * bar.diameter, insert.thickness + 1.0))
    ring = shapely.get_coordinates(seat.exterior)
    away = np.array([seat.centroid.x, seat.centroid.y])
    along = ring @ (away / np.linalg.norm(away))
    relieved = along.min() + RELIEVED_SHARE * np.ptp(along)
    rear = _beyond(ring, along, relieved)
    turn = np.linspace(0.0, math.pi, 33)
    radius = 0.5 * bar.diameter
    section = np.column_stack(
        [-bar.functional_offset + radius * np.cos(turn), radius * np.sin(turn), np.full(len(turn), front)]
    )
    # The head's hull goes on into the shank by a tenth of its radius, a little narrower.
    deeper = section * np.array([1.0, 0.98, 1.0]) + np.array([0.0, 0.0, 0.1 * radius])
    deeper[:, 0] = -bar.functional_offset + 0.98 * (deeper[:, 0] + bar.functional_offset)
    corners = np.vstack([_at_level(rear, upper), _at_level(rear, lower), section, deeper])
    depth = float(corners[:, 1].max())
    found = []
    for near, far in itertools.pairwise(_levels(upper, lower, _count(upper, lower, bar, SEAT_LEVELS))):
        found.append(("seat", ring, near, far))
    for near, far in itertools.pairwise(_levels(0.0, depth, _count(0.0, depth, bar, HEAD_LEVELS))):
        found.append(("head", _fewer_corners(_layer(corners, near, far)), near, far))
    left = float(shapely.bounds(rake_face)[0])
    outlines = []
    for name, outline, near, far in found:
        # A point of the seat at radius r is seen sqrt(r^2 + far^2) - r further out: within the rake face if that is
        # less than the seat is set back.
        hidden = math.inf if name == "head" else far**2 / (2.0 * shrunk) - left
        for relieved in _relieved(outline, near, bar):
            ring = shapely.get_coordinates(relieved.exterior)[:-1]
            outlines.append(Outline(name, "seat", ring, near, far, hidden, assumed=True))
    return outlines


def _stated_head(bar: BoringBar, head: tuple[tuple[float, float], ...], depth: float) -> list[Outline]:
    found = []
    for near, far in itertools.pairwise(_levels(0.0, depth, _count(0.0, depth, bar, HEAD_LEVELS))):
        for section in _within_least_bore(np.asarray(head), near, bar):
            ring = shapely.get_coordinates(section.exterior)[:-1]
            found.append(Outline("head", "seat", ring, near, far))
    return found


def _count(low: float, high: float, bar: BoringBar, bounds: tuple[int, int]) -> int:
    """Return so many layers that none stands out of the least bore by more than the setback."""
    wanted = math.ceil((high**2 - low**2) / (boring_bar.SEAT_SETBACK * bar.least_bore))
    return min(max(wanted, bounds[0]), bounds[1])


def _levels(low: float, high: float, count: int) -> list[float]:
    """Return depths y (mm) with equal steps of y squared, which is what the radius of a corner grows by."""
    return [math.sqrt(square) for square in np.linspace(low**2, high**2, count + 1)]


def _within_least_bore(outline: Floats, near: float, bar: BoringBar) -> list[shapely.Polygon]:
    """Return that of a layer's outline (x, z) which lies in the circle of the least bore at its upper level."""
    radius = 0.5 * bar.least_bore
    if near >= radius:
        return []
    half = math.sqrt(radius**2 - near**2)
    return polygons(
        shapely.intersection(
            shapely.Polygon(outline), shapely.box(-radius - half, -_FAR, half - radius, _FAR)
        )
    )


def _relieved(outline: Floats, near: float, bar: BoringBar) -> list[shapely.Polygon]:
    """Return that of a layer's outline (x, z) which the least bore leaves room for at its upper level."""
    radius = 0.5 * bar.least_bore
    room = (radius - boring_bar.SEAT_SETBACK) ** 2 - near**2
    if room <= 0.0:
        return []
    side = -radius + math.sqrt(room)
    return polygons(shapely.intersection(shapely.Polygon(outline), shapely.box(-_FAR, -_FAR, side, _FAR)))


def insert_outline(insert: Insert, approach_angle: float) -> Outline:
    """Return the rake face of an insert, which cuts, approach angle KAPR in rad.

    Its cutting corner is as fine as `meshes.insert` makes it, its other corners in few steps.

    The other corners do not cut; with steps of 30 deg they lie within 0.04 nose radii of the true arc.
    """
    step = 2.0 * math.acos(1.0 - NOSE_SAG / max(insert.nose_radius, NOSE_SAG))
    fine = inserts.outline(insert, approach_angle, step)
    if len(inserts.SHAPES[insert.shape]) not in (3, 4):
        return Outline("insert", "insert", fine)
    nose = np.array([-insert.nose_radius, insert.nose_radius])
    cutting = fine[np.hypot(*(fine - nose).T) <= insert.nose_radius + 1e-6]
    coarse = inserts.outline(insert, approach_angle, math.radians(30.0))
    ring = shapely.get_coordinates(shapely.MultiPoint(np.vstack([cutting, coarse])).convex_hull)[:-1]
    return Outline("insert", "insert", ring)


def _fewer_corners(outline: Floats, setback: float = 0.05) -> Floats:
    """Return a convex outline round the given one, short edges replaced by sharp corners.

    An edge goes if its neighbours, made longer, meet less than `setback` (mm) outside of it.
    """
    ring = outline
    while len(ring) > 4:
        before, begin, end, after = (np.roll(ring, shift, axis=0) for shift in (1, 0, -1, -2))
        into, out = begin - before, after - end
        turn = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
        span = end - begin
        share = (span[:, 0] * out[:, 1] - span[:, 1] * out[:, 0]) / np.where(np.abs(turn) > 1e-12, turn, 1.0)
        corner = begin + share[:, None] * into
        height = np.abs(span[:, 0] * (corner - begin)[:, 1] - span[:, 1] * (corner - begin)[:, 0])
        height /= np.hypot(span[:, 0], span[:, 1])
        # The neighbours meet outside only if the ring turns by less than a half turn over the edge.
        sense = np.sign(shapely.Polygon(ring).exterior.is_ccw - 0.5)
        height = np.where((turn * sense > 1e-12) & (share > 0.0), height, np.inf)
        least = int(height.argmin())
        if height[least] > setback:
            break
        ring = np.delete(ring, (least + 1) % len(ring), axis=0)
        ring[least if least < len(ring) else -1] = corner[least]
    return ring


def _beyond(ring: Floats, along: Floats, limit: float) -> Floats:
    """Points of a closed ring at which `along` is at least `limit`, and where it crosses it."""
    first, second = along[:-1], along[1:]
    crosses = (first - limit) * (second - limit) < 0.0
    share = (limit - first[crosses]) / (second[crosses] - first[crosses])
    points = ring[:-1][crosses] + share[:, None] * (ring[1:][crosses] - ring[:-1][crosses])
    return np.vstack([ring[along >= limit], points])


def _at_level(points: Floats, y: float) -> Floats:
    return np.column_stack([points[:, 0], np.full(len(points), y), points[:, 1]])


def _layer(corners: Floats, near: float, far: float) -> Floats:
    """Outline (x, z) of what the convex hull of the corners has between two heights y."""
    y = corners[:, 1]
    points = [corners[(near <= y) & (y <= far)][:, [0, 2]]]
    for level in (near, far):
        below, above = corners[y < level], corners[y > level]
        if len(below) and len(above):
            share = (level - below[:, None, 1]) / (above[None, :, 1] - below[:, None, 1])
            crossing = below[:, None] + share[:, :, None] * (above[None, :] - below[:, None])
            points.append(crossing.reshape(-1, 3)[:, [0, 2]])
    hull = shapely.MultiPoint(np.vstack(points)).convex_hull
    return shapely.get_coordinates(hull)[:-1]
