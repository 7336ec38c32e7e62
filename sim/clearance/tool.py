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
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

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
from sim.base.answers import written
from sim.base.arrays import Floats
from sim.base.kept import kept
from sim.clearance.tool_carried import carrier_outline
from sim.clearance.tool_outlines import Outline, PartKind, flank_outlines, head_outlines, insert_outline

CONVEX = 1e-9  # share of its area by which a convex outline may fall short of its hull, by rounding


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
        if polygon.convex_hull.area - polygon.area > CONVEX * polygon.area:
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
    if hull.area - polygon.area <= CONVEX * polygon.area:
        convex: Sequence[BaseGeometry] = [hull]
    else:
        convex = _merged_convex(list(shapely.constrained_delaunay_triangles(polygon).geoms))
    rings = [shapely.get_coordinates(shapely.orient_polygons(piece))[:-1] for piece in convex]
    return tuple(ToolPart(name, kind, ring, near, far) for ring in rings)


def _cut(outlines: Iterable[Outline]) -> tuple[ToolPart, ...]:
    """Return the convex pieces of outlines."""
    return tuple(
        dataclasses.replace(piece, hidden_from=o.hidden_from, assumed=o.assumed)
        for o in outlines
        for piece in pieces(o.name, o.kind, o.ring, o.near, o.far)
    )


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
                    and joined.convex_hull.area - joined.area <= CONVEX * joined.area
                ):
                    piece, grew = joined.convex_hull, True
                    del left[index]
                    break
        done.append(piece)
    return done


def insert_part(insert: Insert, approach_angle: float) -> tuple[ToolPart, ...]:
    """Return the cutting part: the rake face of an insert, approach angle KAPR in rad."""
    return pieces("insert", "insert", insert_outline(insert, approach_angle))


def flank_part(
    insert: Insert, rake_face: shapely.Polygon, bar: BoringBar | None = None
) -> tuple[ToolPart, ...]:
    """Return the flank of an insert below its rake face, see `sim.clearance.tool_outlines`."""
    return _cut(flank_outlines(insert, rake_face, bar))


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


@written
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
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
    return Tool(
        name=f"boring bar {bar.diameter:g} mm with {insert.designation}",
        parts=(
            *insert_part(insert, approach_angle),
            *_cut(flank_outlines(insert, rake_face, bar) + head_outlines(bar, insert, rake_face, front)),
            *bar_part(bar, front),
        ),
        nose_radius=insert.nose_radius,
    )


def turning_tool(holder: ToolHolder, insert: Insert, approach_angle: float) -> Tool:
    """Return a holder of any outline with an insert at its tip."""
    rake_face = shapely.Polygon(inserts.outline(insert, approach_angle))
    return Tool(
        name=f"holder with {insert.designation}",
        parts=(
            *insert_part(insert, approach_angle),
            *flank_part(insert, rake_face),
            *holder_parts(holder),
        ),
        nose_radius=insert.nose_radius,
    )


def of_turning_tool(stated: TurningTool) -> Tool:
    """Return a tool of the turret as pieces: cutter, bar or holder, turret or what else carries it.

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
    else:
        parts += _cut([carrier_outline(stated.carrier)])
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
