"""A round boring bar with an indexable insert at its end, origin at the programmed tip.

The frame and the tip are those of `meshes.insert`: x radially outward, z away from the chuck, the rake face
in y = 0. The bar's axis is parallel to z at x = -functional_offset (ISO 5609: dimension f), y = 0; the shank
ends at z = reach.

The head is what no standard draws. What is known of it is that a bar enters the bore that it is made for: with the
tip at its wall all of the head lies within the circle of the least bore. Bars of 8 to 50 mm enter bores of 1.05 to 1.1
times f + d/2, the width from the tip to the far side of the shank (tool makers' tables, from memory, not verified);
the upper end counts where no least bore is stated, since it leaves the head largest. The heel of the insert enters with
it: bars tilt their inserts the more, the smaller the bore is that they are made for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import manifold3d
import numpy as np
import shapely
import trimesh
from numpy.typing import NDArray

from meshes import insert as inserts
from meshes.boolean import difference, from_manifold, intersection, union
from meshes.dimension import require_less, require_positive
from meshes.extrude import prism_along_y
from meshes.insert import Insert
from meshes.placement import placed, translation
from meshes.revolve import revolve
from meshes.stated_outline import closed_outline

SECTIONS = 96
SEAT_SETBACK = 0.4  # mm by which the insert's seat stays behind its edges, so that only the insert can cut
LEAST_BORE = 1.1  # times f + d/2: least bore where none is stated, see the module
TILT = math.radians(6.0)  # of inserts without clearance, in their holders (common practice, no source)
INTO_THE_SHANK = 0.05  # share of the diameter by which a stated head goes on into the shank
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
    stated_least_bore : float, optional
        Diameter of the smallest bore that it enters; see `least_bore`.
    shank : str
        What the bar is made of; no shape hangs on it.
    head : tuple of (x, z), optional
        Outline of the head from above, mm from the tip, closed, first point not repeated; it ends where the round shank
        begins. With it the head is taken to be all that lies within this outline and the least bore.
    """

    diameter: float
    reach: float
    functional_offset: float
    stated_least_bore: float | None = None
    shank: str = "steel"
    head: tuple[tuple[float, float], ...] | None = None

    def __post_init__(self) -> None:
        part = "boring bar"
        require_positive(
            part, diameter=self.diameter, reach=self.reach, functional_offset=self.functional_offset
        )
        require_less(
            part, "half the diameter", 0.5 * self.diameter, "the functional offset", self.functional_offset
        )
        width = self.functional_offset + 0.5 * self.diameter
        if self.stated_least_bore is not None and not width <= self.stated_least_bore < math.inf:
            raise ValueError(
                f"{part}: least bore must be at least the functional offset and half the diameter ({width:g} mm), "
                f"found {self.stated_least_bore:g} mm"
            )
        if self.head is not None:
            self._require_head(closed_outline(part, self.head), part)

    def _require_head(self, outline: shapely.Polygon, part: str) -> None:
        """Refuse a head that does not end in the shank."""
        end, radius = outline.bounds[3], 0.5 * self.diameter
        shank = shapely.box(
            -self.functional_offset - radius, end - 1e-6, radius - self.functional_offset, end
        )
        if not outline.intersects(shank):
            raise ValueError(
                f"{part}: the head's outline must end in the shank, which lies between {-shank.bounds[2]:g} mm and "
                f"{-shank.bounds[0]:g} mm from the tip across the axis, and ends beside it at z = {end:g} mm"
            )

    @property
    def least_bore(self) -> float:
        """Diameter (mm) of the smallest bore that the bar enters, stated or assumed."""
        if self.stated_least_bore is not None:
            return self.stated_least_bore
        return LEAST_BORE * (self.functional_offset + 0.5 * self.diameter)


def head_length(bar: BoringBar, insert: Insert, approach_angle: float) -> float:
    """Return the z (mm) at which the head ends and the full round shank begins.

    A stated head goes on into the shank a little: solids that merely touch would be joined along a seam of slivers.
    """
    if bar.head is not None:
        return max(z for _, z in bar.head) - INTO_THE_SHANK * bar.diameter
    return float(inserts.outline(insert, approach_angle)[:, 1].max()) + 0.25 * bar.diameter


def mesh(bar: BoringBar, insert: Insert, approach_angle: float, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return bar and insert as one solid.

    The head is simplified: the hull of the half round below the rake face where the shank begins and of the
    seat under the insert's rear, and a web under the whole insert `SEAT_SETBACK` behind its edges, both as far as the
    least bore leaves room less `SEAT_SETBACK`.

    Raises
    ------
    ValueError
        If the reach is not greater than the head's length.
    """
    return union([body_mesh(bar, insert, approach_angle, sections), insert_mesh(bar, insert, approach_angle)])


def insert_mesh(bar: BoringBar, insert: Insert, approach_angle: float) -> trimesh.Trimesh:
    """Return the insert in its bar, its flanks leaning in as `lean` says."""
    return inserts.mesh(replace(insert, clearance_angle=math.atan(lean(bar, insert))), approach_angle)


def body_mesh(
    bar: BoringBar, insert: Insert, approach_angle: float, sections: int = SECTIONS
) -> trimesh.Trimesh:
    """Return the bar with its head, without the insert; see `mesh`."""
    body = union(_body(bar, insert, approach_angle, sections))
    # A stated head has its own pocket for the insert: faces that coincide cannot be drawn.
    return body if bar.head is None else difference(body, [insert_mesh(bar, insert, approach_angle)])


def _body(bar: BoringBar, insert: Insert, approach_angle: float, sections: int) -> list[trimesh.Trimesh]:
    start = head_length(bar, insert, approach_angle)
    require_less("boring bar", "head length", start, "the reach", bar.reach)
    radius = 0.5 * bar.diameter
    cylinder = revolve([(0.0, start), (radius, start), (radius, bar.reach), (0.0, bar.reach)], sections)
    shank = placed(cylinder, translation(-bar.functional_offset, 0.0, 0.0))
    if bar.head is not None:
        solid = prism_along_y(shapely.Polygon(bar.head), 0.0, head_depth(bar, insert))
        return [shank, _relieved(solid, bar, 0.0)]
    return [shank, *(_relieved(solid, bar) for solid in _head(bar, insert, approach_angle, start))]


def head_depth(bar: BoringBar, insert: Insert) -> float:
    """Return how deep (mm) a stated head goes below the rake face: as the shank, or the insert with its seat."""
    return max(0.5 * bar.diameter, insert.thickness + 1.0)


def lean(bar: BoringBar, insert: Insert) -> float:
    """Return how far the flanks of an insert lean in, mm for each mm of depth: by clearance, or by tilt in the bar.

    The tilt is at least what takes the heel into the circle of the least bore, the tip at its wall:
    sqrt((R - t s)^2 + t^2) = R for a thickness t and a lean s.
    """
    own, radius, t = math.tan(insert.clearance_angle or TILT), 0.5 * bar.least_bore, insert.thickness
    return own if t >= radius else max(own, (radius - math.sqrt(radius**2 - t**2)) / t)


def run_in(bar: BoringBar, insert: Insert) -> float:
    """Return how far (mm) the flanks of an insert lean in over its thickness, see `lean`."""
    return insert.thickness * lean(bar, insert)


def _relieved(solid: trimesh.Trimesh, bar: BoringBar, setback: float = SEAT_SETBACK) -> trimesh.Trimesh:
    """Return a part of the head as far as it lies within the least bore, less a setback (mm), the tip at its wall."""
    radius = 0.5 * bar.least_bore
    low, high = solid.bounds[:, 2]
    ring = [
        (0.0, low - 1.0), (radius - setback, low - 1.0),
        (radius - setback, high + 1.0), (0.0, high + 1.0),
    ]  # fmt: skip
    return intersection([solid, placed(revolve(ring, 4 * SECTIONS), translation(-radius, 0.0, 0.0))])


def _head(bar: BoringBar, insert: Insert, approach_angle: float, start: float) -> list[trimesh.Trimesh]:
    seat = shapely.Polygon(inserts.outline(insert, approach_angle)).buffer(
        -(SEAT_SETBACK + run_in(bar, insert))
    )
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
