"""The turned part as a closed (r, z) outline."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes.revolve import SECTIONS, checked_outline, revolve, volume_by_pappus


@dataclass(frozen=True, slots=True)
class Workpiece:
    """A turned part; z = 0 at the face that rests on the pocket's seat, + away from the chuck.

    Attributes
    ----------
    outline : tuple of (r, z)
        Closed polygon in mm, r >= 0, first point not repeated; a ValueError refuses one that crosses itself.
    solid : Trimesh or None
        All of a part that is more (or less) than its turned core, whose outline that is then; None where it is no more.
    swept : BaseGeometry or None
        Of such a part all (r, z) that its solid reaches at some angle.
    """

    outline: tuple[tuple[float, float], ...]
    solid: trimesh.Trimesh | None = None
    swept: BaseGeometry | None = None

    def __post_init__(self) -> None:
        try:
            checked_outline(self.outline)
        except ValueError as error:
            raise ValueError(f"workpiece: {error}") from error


def reached(workpiece: Workpiece) -> BaseGeometry:
    """Return all (r, z) that the part reaches at some angle, mm."""
    return shapely.Polygon(workpiece.outline) if workpiece.swept is None else workpiece.swept


def section_polygon(workpiece: Workpiece) -> shapely.Polygon:
    """Return the (r, z) half section as a counter-clockwise polygon, mm."""
    return shapely.Polygon(checked_outline(workpiece.outline))


def volume(workpiece: Workpiece) -> float:
    """Return the exact volume (mm3) by Pappus: area of the outline times the path of its centroid."""
    return volume_by_pappus(workpiece.outline)


def mesh(workpiece: Workpiece, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the part: the solid of revolution about z, or the solid that it is."""
    if workpiece.solid is not None:
        return workpiece.solid.copy()
    return revolve(workpiece.outline, sections)
