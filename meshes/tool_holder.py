"""A tool holder as a plate in the tool's frame: of any outline, or of a square shank with its head."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
import trimesh
from numpy.typing import NDArray

from meshes import insert as inserts
from meshes.dimension import require_less, require_positive
from meshes.extrude import prism_along_y
from meshes.insert import Insert
from meshes.stated_outline import closed_outline

SEAT_SETBACK = 0.4  # mm by which the head stays behind the insert's edges, so that only the insert can cut
_RELIEVED_SHARE = 0.4  # share of the insert, seen from its tip, that stands free of the head


@dataclass(frozen=True, slots=True)
class ToolHolder:
    """A holder by its outline; the frame and the programmed tip are those of `meshes.insert`.

    Attributes
    ----------
    outline : tuple of (x, z)
        Closed polygon in mm relative to the programmed tip, first point not repeated.
    thickness : float
        mm; the plate lies in 0 <= y <= thickness, below the rake face.
    simplified : bool
        The outline was made from a few dimensions, see `square_shank`; nobody stated it.
    """

    outline: tuple[tuple[float, float], ...]
    thickness: float
    simplified: bool = False

    def __post_init__(self) -> None:
        require_positive("tool holder", thickness=self.thickness)
        closed_outline("tool holder", self.outline)


@dataclass(frozen=True, slots=True)
class SquareShank:
    """The shank of a holder; lengths in mm, symbols of ISO 5610 as GB/T 5343.2 repeats them (bzxz.net).

    Attributes
    ----------
    height : float
        h: from the base to the top face, which the cutting edge is level with.
    width : float
        b.
    length : float
        l1: from the tip to the end of the shank.
    functional_offset : float
        f: from the tip to the far side of the shank, across it.
    head_length : float
        l2: from the tip to where the full shank begins.
    axis : {'radial', 'axial'}
        The shank runs along x, as of a holder for outer diameters, or along z.
    """

    height: float
    width: float
    length: float
    functional_offset: float
    head_length: float
    axis: Literal["radial", "axial"] = "radial"

    def __post_init__(self) -> None:
        part = "tool holder"
        require_positive(
            part,
            height=self.height,
            width=self.width,
            functional_offset=self.functional_offset,
            head_length=self.head_length,
        )
        require_less(part, "head length", self.head_length, "the length", self.length)


def shank_with_head(shank: SquareShank, head: tuple[tuple[float, float], ...]) -> ToolHolder:
    """Return a shank with the stated outline of its head, (x, z) in mm from the tip, as one plate.

    Raises
    ------
    ValueError
        If the head's outline bounds nothing, or does not meet the shank.
    """
    far, near = shank.functional_offset, shank.functional_offset - shank.width
    box = shapely.box(-shank.length, near, -shank.head_length, far)
    if shank.axis == "axial":
        box = shapely.Polygon(_swapped(shapely.get_coordinates(box.exterior)[:-1]))
    whole = shapely.union(closed_outline("tool holder", head), box)
    if not isinstance(whole, shapely.Polygon) or whole.interiors:
        raise ValueError(
            "tool holder: the head's outline must go on into the shank, which begins "
            f"{shank.head_length:g} mm from the tip"
        )
    ring = shapely.get_coordinates(shapely.boundary(shapely.orient_polygons(whole)))[:-1]
    return ToolHolder(tuple((float(x), float(z)) for x, z in ring), shank.height)


def square_shank(shank: SquareShank, insert: Insert, approach_angle: float) -> ToolHolder:
    """Return shank and head of a holder for an insert, as one plate as thick as the shank is high.

    The head is simplified and errs on the large side: the hull of the insert's seat, the shank's end, and the
    corner that the far side of the shank makes with the trailing edge.

    Raises
    ------
    ValueError
        If the head is too short for the insert.
    """
    # Drawn for a radial shank; an axial one is the same mirrored at the tip's bisector, which swaps the edges.
    axial = shank.axis == "axial"
    outline = inserts.outline(insert, approach_angle)
    if axial:
        outline = _swapped(outline)
    far, near = shank.functional_offset, shank.functional_offset - shank.width
    require_less(
        "tool holder", "the insert's reach", -float(outline[:, 0].min()), "the head length", shank.head_length
    )
    seat = shapely.Polygon(outline).buffer(-SEAT_SETBACK)
    away = np.array([seat.centroid.x, seat.centroid.y])
    along = shapely.get_coordinates(seat.exterior) @ (away / np.linalg.norm(away))
    size = 4.0 * float(np.abs(outline).max())
    direction = away / np.linalg.norm(away)
    foot = (along.min() + _RELIEVED_SHARE * np.ptp(along)) * direction
    side = np.array([-direction[1], direction[0]])
    behind = shapely.Polygon(
        [
            foot - size * side,
            foot + size * side,
            foot + size * (side + direction),
            foot + size * (direction - side),
        ]
    )
    rear = seat.intersection(behind)
    # The face of the head runs back from the tip as the edge of the insert beside it does.
    slope = approach_angle - 0.5 * math.pi if axial else inserts.trailing_edge_angle(insert, approach_angle)
    slope = 0.0 if insert.shape == "R" else max(0.0, slope)
    corner = (min(-far * math.tan(slope) - SEAT_SETBACK, float(rear.bounds[2])), far)
    head = shapely.MultiPoint(
        [
            *shapely.get_coordinates(rear),
            *([corner] if corner[0] > -shank.head_length else []),
            (-shank.head_length, near),
            (-shank.head_length, far),
        ]
    ).convex_hull
    whole = shapely.union(head, shapely.box(-shank.length, near, -shank.head_length, far))
    ring = shapely.get_coordinates(shapely.boundary(shapely.orient_polygons(whole)))[:-1]
    if axial:
        ring = _swapped(ring)
    return ToolHolder(tuple((float(x), float(z)) for x, z in ring), shank.height, simplified=True)


def _swapped(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mirror (x, z) at the bisector of -x and +z: (-z, -x)."""
    return -points[:, ::-1]


def section_polygon(holder: ToolHolder) -> shapely.Polygon:
    """Return the outline as a polygon, (x, z) in mm."""
    return shapely.Polygon(holder.outline)


def mesh(holder: ToolHolder) -> trimesh.Trimesh:
    """Return the holder's solid."""
    return prism_along_y(section_polygon(holder), 0.0, holder.thickness)
