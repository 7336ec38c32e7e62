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

from meshes.boring_bar import BoringBar
from meshes.insert import Insert
from meshes.tool_holder import ToolHolder
from meshes.turning_tool import Cutter, TurningTool
from sim.base.answers import written
from sim.base.arrays import Flags, Floats
from sim.base.kept import kept
from sim.clearance.tool_carried import carrier_outline
from sim.clearance.tool_outlines import Outline, PartKind, bar_outlines, cutting_outlines, plate_outline

ON_AXIS = 1e-9  # mm; what reaches across the axis by less only touches it
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

    def on_one_side(self, starts: Floats, ends: Floats) -> Flags:
        """Tell in which steps (n, 2) of the tip it is flat and reaches nowhere across the axis."""
        least = np.minimum(starts[:, 0], ends[:, 0]) + self.outline[:, 0].min()
        found: Flags = (least >= -ON_AXIS) & (least < math.inf)
        return found & (self.far == 0.0)

    def folded(self, starts: Floats, ends: Floats) -> ToolPart:
        """Return what stands for it in steps (n, 2) of the tip that all run along the axis at one distance from it.

        What lies beyond the axis is seen on this side, too: a drill on the axis as half of it. The same part where the
        steps run otherwise, or where what is seen is not convex.
        """
        if self.far > 0.0 or not len(starts) or self.on_one_side(starts, ends).all():
            return self
        x = float(starts[0, 0])
        if not ((starts[:, 0] == x).all() and (ends[:, 0] == x).all()):
            return self
        ring = self.outline + np.array([x, 0.0])
        sides = [_on_this_side(ring), _on_this_side(ring * np.array([-1.0, 1.0]))]
        seen = shapely.union_all([side for side in sides if not side.is_empty])
        if seen.geom_type != "Polygon" or seen.convex_hull.area - seen.area > CONVEX * seen.area:
            return self
        outline = shapely.get_coordinates(shapely.orient_polygons(seen.convex_hull))[:-1]
        return dataclasses.replace(self, outline=outline - np.array([x, 0.0]))


def _on_this_side(ring: Floats) -> BaseGeometry:
    """Return what of a ring (k, 2; x, z in mm) lies at x >= 0."""
    low, high = ring[:, 1].min(), ring[:, 1].max()
    return shapely.intersection(
        shapely.Polygon(ring), shapely.box(0.0, low, max(ring[:, 0].max(), 0.0), high)
    )


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


def cut(outlines: Iterable[Outline]) -> tuple[ToolPart, ...]:
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
    return Tool(
        name=f"boring bar {bar.diameter:g} mm with {insert.designation}",
        parts=cut(bar_outlines(bar, insert, approach_angle)),
        nose_radius=insert.nose_radius,
    )


def turning_tool(holder: ToolHolder, insert: Insert, approach_angle: float) -> Tool:
    """Return a holder of any outline with an insert at its tip."""
    return Tool(
        name=f"holder with {insert.designation}",
        parts=cut((*cutting_outlines(insert, approach_angle), plate_outline("holder", holder))),
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
        plate = cut([plate_outline("holder", stated.carrier)])
        tool = Tool("cutter", (*blade, *plate), stated.cutter.nose_radius)
    else:
        raise ValueError("a bar must hold an insert by its designation")
    behind = (
        carrier_outline(stated.carrier) if stated.turret is None else plate_outline("turret", stated.turret)
    )
    tool = Tool(stated.name or tool.name, tool.parts + cut([behind]), tool.nose_radius)
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
