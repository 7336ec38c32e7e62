"""Tools as a turning solid meets them: convex outlines with a range of distance below the centre line.

The frame is that of `meshes.insert`: origin at the programmed tip, x radially outward, z away from the
chuck, y in the cutting direction, the rake face in y = 0. A part of a tool occupies its outline, an (x, z)
polygon, over near <= |y| <= far. With the tip at radius X a point of it is seen at rho = sqrt((X + x)^2 +
y^2), so that a part of outline x0 .. x1 covers sqrt((X + x0)^2 + near^2) .. sqrt((X + x1)^2 + far^2); where
it reaches across the axis both sides count. A round bar whose axis is at centre height covers the same rho
as its plane of symmetry, |c| - d/2 .. |c| + d/2 with the axis at c, so near = far = 0 is exact for it.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from meshes import boring_bar
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.insert import Insert
from meshes.tool_holder import ToolHolder, section_polygon
from meshes.turning_tool import Cutter, TurningTool
from sim.base.arrays import Floats
from sim.base.kept import kept
from sim.clearance.removal import polygons

PartKind = Literal["insert", "seat", "shank", "holder"]
NOSE_SAG = 1e-3  # mm by which the chords of the cutting corner may leave its arc
# Layers of y, least and most, into which head and seat of a bar are cut; each covers what lies in it.
HEAD_LEVELS, SEAT_LEVELS = (4, 24), (3, 24)
_FAR = 1e4  # mm, larger than any tool
RELIEVED_SHARE = 0.4  # of the insert, from its tip: stands free of the head, as in `meshes.boring_bar`


@dataclass(frozen=True, slots=True, eq=False)
class ToolPart:
    """A convex piece of a tool.

    Attributes
    ----------
    name : str
        As a setter calls it; pieces of one part share it.
    kind : {'insert', 'seat', 'shank', 'holder'}
        Only the insert cuts. Seat (head and all) and holder stand close behind its edges: they must not
        touch, but their distance from the surface just cut is no clearance; that of the shank is.
    outline : (n, 2) array
        (x, z) in mm from the programmed tip, convex, counter-clockwise in (x, z).
    near, far : float
        Range of |y|, mm.
    hidden_from : float
        With the tip at this radius (mm) or a larger one the piece lies behind others and cannot be met first.
    assumed : bool
        Nobody stated this shape: it is what a tool of these dimensions usually has there.
    """

    name: str
    kind: PartKind
    outline: Floats
    near: float = 0.0
    far: float = 0.0
    hidden_from: float = math.inf
    assumed: bool = False

    def __post_init__(self) -> None:
        outline = np.array(self.outline, dtype=np.float64)
        if not 0.0 <= self.near <= self.far < math.inf:
            raise ValueError(
                f"{self.name}: needs 0 <= near <= far mm, found {self.near:g} and {self.far:g} mm"
            )
        polygon = shapely.Polygon(outline)
        if not polygon.is_valid or polygon.area <= 0.0 or not polygon.exterior.is_ccw:
            raise ValueError(f"{self.name}: outline must be a counter-clockwise polygon with an area")
        if polygon.convex_hull.area - polygon.area > 1e-9 * polygon.area:
            raise ValueError(f"{self.name}: outline of one piece must be convex")
        outline.setflags(write=False)
        object.__setattr__(self, "outline", outline)


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool at rest in space, as convex pieces relative to its programmed tip.

    Attributes
    ----------
    name : str
    parts : tuple of ToolPart
    nose_radius : float
        Of the insert, mm.
    """

    name: str
    parts: tuple[ToolPart, ...]
    nose_radius: float

    def __post_init__(self) -> None:
        if not any(part.kind == "insert" for part in self.parts):
            raise ValueError(f"{self.name}: a tool needs an insert that cuts")

    @property
    def assumed(self) -> frozenset[str]:
        """Names of the parts whose shape nobody stated."""
        return frozenset(part.name for part in self.parts if part.assumed)


def pieces(
    name: str, kind: PartKind, outline: ArrayLike, near: float = 0.0, far: float = 0.0
) -> tuple[ToolPart, ...]:
    """Return the convex pieces of any outline.

    Parameters
    ----------
    name : str
        As a message names the part of the tool.
    kind : PartKind
    outline : (n, 2) array_like
        (x, z) in mm from the programmed tip, either sense of rotation.
    near, far : float
        Range of |y|, mm; both 0 for a flat piece.

    Raises
    ------
    ValueError
        If the outline crosses itself or has no area.
    """
    polygon = shapely.Polygon(np.asarray(outline, dtype=np.float64))
    if not polygon.is_valid or polygon.area <= 0.0:
        raise ValueError(f"{name}: outline must not cross itself and must have an area")
    hull = polygon.convex_hull
    if hull.area - polygon.area <= 1e-9 * polygon.area:
        convex: Sequence[BaseGeometry] = [hull]
    else:
        convex = _merged_convex(list(shapely.constrained_delaunay_triangles(polygon).geoms))
    rings = [shapely.get_coordinates(shapely.orient_polygons(piece))[:-1] for piece in convex]
    return tuple(ToolPart(name, kind, ring, near, far) for ring in rings)


def _merged_convex(triangles: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    """Join triangles to fewer convex polygons, greedily."""
    left = list(triangles)
    done: list[BaseGeometry] = []
    while left:
        piece, grew = left.pop(), True
        while grew:
            grew = False
            for index, other in enumerate(left):
                joined = piece.union(other)
                if (
                    joined.geom_type == "Polygon"
                    and joined.convex_hull.area - joined.area <= 1e-9 * joined.area
                ):
                    piece, grew = joined.convex_hull, True
                    del left[index]
                    break
        done.append(piece)
    return done


def insert_part(insert: Insert, approach_angle: float) -> tuple[ToolPart, ...]:
    """Return the cutting part: the rake face of an insert, approach angle KAPR in rad."""
    return pieces("insert", "insert", _with_coarse_rear(insert, approach_angle))


def flank_part(insert: Insert, approach_angle: float, bar: BoringBar | None = None) -> tuple[ToolPart, ...]:
    """Return the flank of the insert as sections below the rake face.

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
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
    parts: tuple[ToolPart, ...] = ()
    for depth in sorted(depths):
        sections = shapely.buffer(rake_face, -depth * slope, join_style="mitre", mitre_limit=20.0)
        for section in polygons(shapely.orient_polygons(sections)):
            outline = _fewer_corners(shapely.get_coordinates(section.exterior)[:-1], 0.01)
            # sqrt((r - d)^2 + t^2) <= r for all radii r of the insert: the section is behind the rake face.
            shrunk = depth * slope
            hidden = (shrunk**2 + depth**2) / (2.0 * shrunk) - float(shapely.bounds(rake_face)[0])
            for piece in pieces("insert flank", "seat", outline, depth, depth):
                parts += (dataclasses.replace(piece, hidden_from=hidden, assumed=assumed),)
    return parts


def bar_part(bar: BoringBar, front: float) -> tuple[ToolPart, ...]:
    """Return the round shank from z = front (mm from the tip) to the bar's reach."""
    axis, radius = -bar.functional_offset, 0.5 * bar.diameter
    ring = [
        (axis - radius, front),
        (axis + radius, front),
        (axis + radius, bar.reach),
        (axis - radius, bar.reach),
    ]
    return pieces("bar", "shank", ring)


def holder_parts(holder: ToolHolder) -> tuple[ToolPart, ...]:
    """Return a holder of any outline as a plate from centre height down by its thickness."""
    ring = shapely.get_coordinates(section_polygon(holder))
    return pieces("holder", "holder", ring, 0.0, holder.thickness)


@kept(32)
def boring_tool(bar: BoringBar, insert: Insert, approach_angle: float) -> Tool:
    """Return a boring bar with its insert; the solid is that of `meshes.boring_bar`.

    Seat and head are what bars of these dimensions have (see `meshes.boring_bar`), and say so by `assumed`. They
    are cut into layers of y; each is given the largest outline and depth it has, so none is taken too small.

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
    return Tool(
        name=f"boring bar {bar.diameter:g} mm with {insert.designation}",
        parts=(
            *insert_part(insert, approach_angle),
            *flank_part(insert, approach_angle, bar),
            *_head_parts(bar, insert, approach_angle, front),
            *bar_part(bar, front),
        ),
        nose_radius=insert.nose_radius,
    )


def turning_tool(holder: ToolHolder, insert: Insert, approach_angle: float) -> Tool:
    """Return a holder of any outline with an insert at its tip."""
    return Tool(
        name=f"holder with {insert.designation}",
        parts=(
            *insert_part(insert, approach_angle),
            *flank_part(insert, approach_angle),
            *holder_parts(holder),
        ),
        nose_radius=insert.nose_radius,
    )


def of_turning_tool(stated: TurningTool) -> Tool:
    """Return a tool of the turret as pieces: cutter, bar or holder, turret.

    Raises
    ------
    ValueError
        If bar, insert and approach angle do not go together.
    """
    if isinstance(stated.carrier, BoringBar) and isinstance(stated.cutter, Insert):
        tool = boring_tool(stated.carrier, stated.cutter, stated.approach_angle)
    elif isinstance(stated.carrier, ToolHolder) and isinstance(stated.cutter, Insert):
        tool = turning_tool(stated.carrier, stated.cutter, stated.approach_angle)
    elif isinstance(stated.carrier, ToolHolder) and isinstance(stated.cutter, Cutter):
        blade = pieces("cutter", "insert", stated.cutter.outline)
        tool = Tool("cutter", (*blade, *holder_parts(stated.carrier)), stated.cutter.nose_radius)
    else:
        raise ValueError("a bar must hold an insert by its designation")
    parts = tool.parts
    if stated.turret is not None:
        ring = shapely.get_coordinates(section_polygon(stated.turret))
        parts += pieces("turret", "holder", ring, 0.0, stated.turret.thickness)
    tool = Tool(stated.name or tool.name, parts, tool.nose_radius)
    return mirrored(tool) if stated.cuts == "inward" else tool


def mirrored(tool: Tool) -> Tool:
    """Return the tool of the other hand: it cuts inwards (-x), as for outer diameters."""
    return Tool(
        name=tool.name,
        parts=tuple(
            dataclasses.replace(part, outline=part.outline[::-1] * np.array([-1.0, 1.0]))
            for part in tool.parts
        ),
        nose_radius=tool.nose_radius,
    )


def insert_polygon(tool: Tool) -> BaseGeometry:
    """Return the outline of the cutting part, (x, z) in mm from the tip."""
    return shapely.union_all([shapely.Polygon(part.outline) for part in tool.parts if part.kind == "insert"])


def _head_parts(bar: BoringBar, insert: Insert, approach_angle: float, front: float) -> list[ToolPart]:
    """Seat and head with the measures of `meshes.boring_bar`, in layers of y."""
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
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
    parts: list[ToolPart] = []
    for name, outline, near, far in found:
        for relieved in _relieved(outline, near, bar):
            pieced = pieces(name, "seat", shapely.get_coordinates(relieved.exterior)[:-1], near, far)
            # A point of the seat at radius r is seen sqrt(r^2 + far^2) - r further out: within the rake face if that is
            # less than the seat is set back.
            hidden = (
                math.inf if name == "head" else far**2 / (2.0 * shrunk) - float(shapely.bounds(rake_face)[0])
            )
            parts += [dataclasses.replace(piece, hidden_from=hidden, assumed=True) for piece in pieced]
    return parts


def _count(low: float, high: float, bar: BoringBar, bounds: tuple[int, int]) -> int:
    """Return so many layers that none stands out of the least bore by more than the setback."""
    wanted = math.ceil((high**2 - low**2) / (boring_bar.SEAT_SETBACK * bar.least_bore))
    return min(max(wanted, bounds[0]), bounds[1])


def _levels(low: float, high: float, count: int) -> list[float]:
    """Return depths y (mm) with equal steps of y squared, which is what the radius of a corner grows by."""
    return [math.sqrt(square) for square in np.linspace(low**2, high**2, count + 1)]


def _relieved(outline: Floats, near: float, bar: BoringBar) -> list[shapely.Polygon]:
    """Return that of a layer's outline (x, z) which the least bore leaves room for at its upper level."""
    radius = 0.5 * bar.least_bore
    room = (radius - boring_bar.SEAT_SETBACK) ** 2 - near**2
    if room <= 0.0:
        return []
    side = -radius + math.sqrt(room)
    return polygons(shapely.intersection(shapely.Polygon(outline), shapely.box(-_FAR, -_FAR, side, _FAR)))


def _with_coarse_rear(insert: Insert, approach_angle: float) -> Floats:
    """Outline whose cutting corner is as fine as `meshes.insert` makes it, its other corners in few steps.

    The other corners do not cut; with steps of 30 deg they lie within 0.04 nose radii of the true arc.
    """
    step = 2.0 * math.acos(1.0 - NOSE_SAG / max(insert.nose_radius, NOSE_SAG))
    fine = inserts.outline(insert, approach_angle, step)
    if len(inserts.SHAPES[insert.shape]) not in (3, 4):
        return fine
    nose = np.array([-insert.nose_radius, insert.nose_radius])
    cutting = fine[np.hypot(*(fine - nose).T) <= insert.nose_radius + 1e-6]
    coarse = inserts.outline(insert, approach_angle, math.radians(30.0))
    return shapely.get_coordinates(shapely.MultiPoint(np.vstack([cutting, coarse])).convex_hull)[:-1]


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
