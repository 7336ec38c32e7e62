"""A round boring bar with an indexable insert at its end, origin at the programmed tip.

The frame and the tip are those of `meshes.insert`: x radially outward, z away from the chuck, the rake face
in y = 0. The bar's axis is parallel to z at x = -functional_offset (ISO 5609: dimension f), y = 0; the shank
ends at z = reach.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import manifold3d
import numpy as np
import shapely
import trimesh
from numpy.typing import NDArray

from meshes import insert as inserts
from meshes.boolean import from_manifold, union
from meshes.dimension import require_less, require_positive
from meshes.insert import Insert
from meshes.placement import placed, translation
from meshes.revolve import revolve

SECTIONS = 96
SEAT_SETBACK = 0.4  # mm by which the insert's seat stays behind its edges, so that only the insert can cut
_RELIEVED_SHARE = 0.4  # share of the insert, seen from its tip, that stands free of the head


@dataclass(frozen=True, slots=True)
class BoringBar:
    """A boring bar; lengths in mm.

    Attributes
    ----------
    diameter : float
        Of the round shank.
    reach : float
        From the tip to the end of the free length (the holder's face), along z.
    functional_offset : float
        f of ISO 5609: from the bar's axis to the tip, radially.
    """

    diameter: float
    reach: float
    functional_offset: float

    def __post_init__(self) -> None:
        part = "boring bar"
        require_positive(
            part, diameter=self.diameter, reach=self.reach, functional_offset=self.functional_offset
        )
        require_less(
            part, "half the diameter", 0.5 * self.diameter, "the functional offset", self.functional_offset
        )


def head_length(bar: BoringBar, insert: Insert, approach_angle: float) -> float:
    """Return the z (mm) at which the head ends and the full round shank begins."""
    return float(inserts.outline(insert, approach_angle)[:, 1].max()) + 0.25 * bar.diameter


def mesh(bar: BoringBar, insert: Insert, approach_angle: float, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return bar and insert as one solid.

    The head is simplified: the hull of the half round below the rake face where the shank begins and of the
    seat under the insert's rear, and a web under the whole insert `SEAT_SETBACK` behind its edges.

    Raises
    ------
    ValueError
        If the reach is not greater than the head's length.
    """
    return union([*_body(bar, insert, approach_angle, sections), inserts.mesh(insert, approach_angle)])


def body_mesh(
    bar: BoringBar, insert: Insert, approach_angle: float, sections: int = SECTIONS
) -> trimesh.Trimesh:
    """Return the bar with its head, without the insert; see `mesh`."""
    return union(_body(bar, insert, approach_angle, sections))


def _body(bar: BoringBar, insert: Insert, approach_angle: float, sections: int) -> list[trimesh.Trimesh]:
    start = head_length(bar, insert, approach_angle)
    require_less("boring bar", "head length", start, "the reach", bar.reach)
    radius = 0.5 * bar.diameter
    cylinder = revolve([(0.0, start), (radius, start), (radius, bar.reach), (0.0, bar.reach)], sections)
    shank = placed(cylinder, translation(-bar.functional_offset, 0.0, 0.0))
    return [shank, *_head(bar, insert, approach_angle, start)]


def _head(bar: BoringBar, insert: Insert, approach_angle: float, start: float) -> list[trimesh.Trimesh]:
    run_in = insert.thickness * math.tan(insert.clearance_angle)
    seat = shapely.Polygon(inserts.outline(insert, approach_angle)).buffer(-(SEAT_SETBACK + run_in))
    bottom = max(0.5 * bar.diameter, insert.thickness + 1.0)
    web = _hull(_at_level(seat, 0.5 * insert.thickness), _at_level(seat, 0.5 * (insert.thickness + bottom)))
    away = np.array([seat.centroid.x, seat.centroid.y])
    away /= np.linalg.norm(away)
    along = shapely.get_coordinates(seat.exterior) @ away
    kept = along.min() + _RELIEVED_SHARE * (along.max() - along.min())
    rear = seat.intersection(_half_plane(away, kept, 4.0 * float(np.ptp(along)) + 4.0 * kept))
    turn = np.linspace(0.0, math.pi, 33)
    radius = 0.5 * bar.diameter
    half_round = np.column_stack(
        [-bar.functional_offset + radius * np.cos(turn), radius * np.sin(turn), np.full(len(turn), start)]
    )
    # The hull goes on into the shank: solids that merely touch would be joined along a seam of slivers.
    deeper = half_round * np.array([1.0, 0.98, 1.0]) + np.array([0.0, 0.0, 0.1 * radius])
    deeper[:, 0] = -bar.functional_offset + 0.98 * (deeper[:, 0] + bar.functional_offset)
    low = _at_level(rear, 0.5 * (insert.thickness + bottom))
    return [web, _hull(_at_level(rear, 0.5 * insert.thickness), low, half_round, deeper)]


def _half_plane(normal: NDArray[np.float64], offset: float, size: float) -> shapely.Polygon:
    """Return the square of half width `size` (mm) that stands on the line normal . (x, z) = offset."""
    side = np.array([-normal[1], normal[0]])
    foot = offset * normal
    return shapely.Polygon(
        [foot - size * side, foot + size * side, foot + size * (side + normal), foot + size * (normal - side)]
    )


def _at_level(section: shapely.Geometry, y: float) -> NDArray[np.float64]:
    points = shapely.get_coordinates(section)
    return np.column_stack([points[:, 0], np.full(len(points), y), points[:, 1]])


def _hull(*points: NDArray[np.float64]) -> trimesh.Trimesh:
    return from_manifold(manifold3d.Manifold.hull_points(np.vstack(points)))
