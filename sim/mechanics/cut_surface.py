"""Where on a part a cut lies: on a surface that a tool reaches, in metal, and how far from what stands around it.

Half-plane of the part's own frame shifted to its seat, (r, z) in mm. A scenario draws the part as it is before a cut or
after it, so the ring between the machined diameter and the raw surface, the depth of cut thick, must touch the
outline's surface to within `DRAWN`:

- turning and boring along the spindle: from d/2 outward, or for boring inward, at the height of the cut;
- facing, and any feed across the spindle: from the height of the cut away from the chuck, at d/2;
- threading: from the crests towards the root, outside or (root farther out) in a bore, at the height of the cut;
- grooving and parting: the blade's width at the diameter where it begins, outside or (outward) in a bore;
- drilling and tapping: metal across the drill's diameter at that height, whether the hole is drawn or not;
- another rotating tool: any of the three.

A surface counts if it faces the right way and a tool as slender as `TIP` gets there from the open side: from in front
of the chuck, around jaws and chuck body.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from sim.mechanics.cutting import ALONG_AN_AXIS, FeedTowards
from sim.mechanics.kienzle import Kind

DRAWN = 1.0  # mm, how exactly an outline is taken to be drawn (common practice, no source)
TIP = 0.2  # mm, half the narrowest gap that a tool enters (assumption, no source)
ROOM = 50.0  # mm of free space drawn around part and jaws
FACES = 0.17  # least share of a surface's normal in a direction in which it is said to face, 10 deg
FAR = 1e4  # mm, beyond everything on a lathe
THIN = 1e-6  # mm, thickness of a ring that has none


@dataclass(frozen=True, slots=True)
class CutPlace:
    """Where a cut lies.

    Attributes
    ----------
    kind, feed_towards : Kind, FeedTowards
        As of a `Cut`.
    diameter, height : float
        At which it cuts (of a drill its own), mm; z in the chuck's frame.
    off_axis : float
        Distance of a drill's axis from the spindle's, mm.
    rotating_tool : bool
    end_diameter : float
        Of a groove, where it ends, of a thread its root, mm.
    """

    kind: Kind
    feed_towards: FeedTowards
    diameter: float
    height: float
    off_axis: float = 0.0
    rotating_tool: bool = False
    end_diameter: float = 0.0

    @property
    def drilled(self) -> bool:
        """Its tool has an axis of its own, along the spindle's."""
        return self.kind in ALONG_AN_AXIS

    @property
    def groove(self) -> bool:
        """Its depth of cut is the width of a blade, half of it on each side of the height."""
        return self.kind in ("grooving", "parting")

    @property
    def inside(self) -> bool:
        """It cuts along a bore's wall."""
        return self.kind == "boring" or (self.kind == "threading" and self.end_diameter > self.diameter)

    @property
    def ahead(self) -> bool:
        """Its depth of cut is measured along the spindle, away from the chuck."""
        across = self.feed_towards in ("axis", "outward")
        return self.kind == "facing" or (not self.drilled and not self.groove and across)

    def radii(self, depth: float) -> tuple[float, float]:
        """Return the radii (mm) between which it cuts with a depth of cut (mm)."""
        radius = 0.5 * self.diameter
        if self.drilled:
            return max(0.0, self.off_axis - radius), self.off_axis + radius
        if self.groove or self.kind == "threading":
            end = 0.5 * self.end_diameter
            return min(radius, end), max(radius, end)
        if self.ahead:
            return radius, radius
        return (max(0.0, radius - depth), radius) if self.kind == "boring" else (radius, radius + depth)


@dataclass(frozen=True, slots=True, eq=False)
class Surfaces:
    """Surfaces of a part that a tool reaches, lines (r, z), mm; each may be empty.

    Attributes
    ----------
    outer, inner, front : BaseGeometry
        Those that face away from the axis, towards it, and away from the chuck.
    metal : BaseGeometry
        The part's section.
    """

    outer: BaseGeometry
    inner: BaseGeometry
    front: BaseGeometry
    metal: BaseGeometry


def surfaces(part: shapely.Polygon, beside: BaseGeometry, floor: float) -> Surfaces:
    """Return the surfaces of a part that a tool reaches.

    Parameters
    ----------
    part : Polygon
    beside : BaseGeometry
        What stands around it.
    floor : float
        Height of the chuck's face, from behind which no tool comes.
    """
    reach = _reach(part, beside, floor)
    corners = np.array(orient(part).exterior.coords)
    lines: dict[str, list[BaseGeometry]] = {"outer": [], "inner": [], "front": []}
    for start, end in itertools.pairwise(corners):
        length = float(np.hypot(*(end - start)))
        if length == 0.0 or (start[0] == 0.0 and end[0] == 0.0):
            continue
        # Counter-clockwise in (r, z): metal on the left, so the normal points to the right.
        outward, forward = (end[1] - start[1]) / length, -(end[0] - start[0]) / length
        # The middle of the tip goes along the surface, off it by its half width.
        off = TIP * np.array([outward, forward])
        path = shapely.intersection(shapely.LineString([start + off, end + off]), reach)
        if path.length == 0.0:
            continue
        reached = affinity.translate(path, -off[0], -off[1])
        if outward > FACES:
            lines["outer"].append(reached)
        if outward < -FACES:
            lines["inner"].append(reached)
        if forward > FACES:
            lines["front"].append(reached)
    outer, inner, front = (shapely.union_all(lines[name]) for name in ("outer", "inner", "front"))
    return Surfaces(outer, inner, front, part)


def _reach(part: BaseGeometry, beside: BaseGeometry, floor: float) -> BaseGeometry:
    """Return where the middle of a slender tool gets to from in front of the chuck, both sides of the axis."""
    filled = shapely.union_all([part, beside])
    filled = shapely.union(filled, shapely.transform(filled, lambda xy: xy * np.array([-1.0, 1.0])))
    wide, top = filled.bounds[2] + ROOM, filled.bounds[3] + ROOM
    free = shapely.difference(shapely.box(-wide, floor, wide, top), filled)
    opened = shapely.buffer(free, -TIP, join_style="mitre")
    start = shapely.Point(0.0, top - 0.5 * ROOM)
    joined = [p for p in shapely.get_parts(opened) if shapely.contains(p, start)]
    return shapely.buffer(shapely.union_all(joined), 0.1 * TIP, join_style="mitre")


def off_surface(place: CutPlace, depth: float, drawn: Iterable[Surfaces]) -> float:
    """Return how far (mm) a cut with a depth of cut (mm) lies from the surface that it cuts; infinite for none.

    The least of the part's outlines, of which one or more are drawn.
    """
    radius, z = 0.5 * place.diameter, place.height
    low, high = place.radii(depth)
    across = shapely.LineString([(low, z), (high, z)])
    outward = shapely.LineString([(radius, z), (radius + depth, z)])
    inward = shapely.LineString([(max(0.0, radius - depth), z), (radius, z)])
    forward = shapely.LineString([(radius, z), (radius, z + depth)])
    found = []
    front = shapely.LineString([(radius, z - 0.5 * depth), (radius, z + 0.5 * depth)])
    for one in drawn:
        if place.groove:
            found.append((front, one.inner if place.feed_towards == "outward" else one.outer))
            continue
        if place.drilled:
            found.append((across, one.metal))
            continue
        if place.kind == "threading":
            found.append((outward, one.inner) if place.inside else (inward, one.outer))
            continue
        if place.rotating_tool or place.kind == "turning":
            found.append((outward, one.outer))
        if place.rotating_tool or place.kind == "boring":
            found.append((inward, one.inner))
        if place.rotating_tool or place.ahead:
            found.append((forward, one.front))
    return min((float(shapely.distance(*pair)) for pair in found if not pair[1].is_empty), default=np.inf)


@dataclass(frozen=True, slots=True)
class Room:
    """How far a cut and its way in lie from a body, mm; 0 where they meet it.

    Attributes
    ----------
    gap : float
        By the better of the two straight ways in: along the spindle from in front, or (never for a bore) from outside.
    deep : bool
        From outside it does not get in: it lies beside the jaws.
    """

    gap: float
    deep: bool


def room(place: CutPlace, depth: float, body: BaseGeometry) -> Room:
    """Return how far a cut and its way in lie from a body."""
    (low, high), z = place.radii(depth), place.height
    high = max(high, low + THIN)
    top = z + (depth if place.ahead else THIN)
    if place.drilled and place.feed_towards == "tailstock":
        return Room(float(shapely.distance(shapely.box(low, -FAR, high, z), body)), deep=True)
    if place.groove:
        return _room_of_a_blade(place, depth, body)
    ahead = float(shapely.distance(shapely.box(low, z, high, FAR), body))
    if place.inside or place.drilled:
        return Room(ahead, deep=True)
    outside = float(shapely.distance(shapely.box(low, z, FAR, top), body))
    return Room(max(ahead, outside), deep=outside <= 0.0)


def _room_of_a_blade(place: CutPlace, depth: float, body: BaseGeometry) -> Room:
    """Return how far a groove and its blade's way lie from a body: from outside, or outward out of a bore's middle."""
    (low, high), z = place.radii(depth), place.height
    lower, upper = z - 0.5 * depth, z + 0.5 * depth
    if place.feed_towards == "outward":
        ways = shapely.union(shapely.box(0.0, lower, high, upper), shapely.box(0.0, lower, low, FAR))
        return Room(float(shapely.distance(ways, body)), deep=True)
    outside = float(shapely.distance(shapely.box(low, lower, FAR, upper), body))
    return Room(outside, deep=outside <= 0.0)
