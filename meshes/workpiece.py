"""The turned part as a closed (r, z) outline."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
import trimesh

from meshes.revolve import SECTIONS, checked_outline, revolve, volume_by_pappus


@dataclass(frozen=True, slots=True)
class Workpiece:
    """A turned part; z = 0 at the face that rests on the pocket's seat, + away from the chuck.

    Attributes
    ----------
    outline : tuple of (r, z)
        Closed polygon in mm, r >= 0, first point not repeated; a ValueError refuses one that crosses itself.
    """

    outline: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        try:
            checked_outline(self.outline)
        except ValueError as error:
            raise ValueError(f"workpiece: {error}") from error


def section_polygon(workpiece: Workpiece) -> shapely.Polygon:
    """Return the (r, z) half section as a counter-clockwise polygon, mm."""
    return shapely.Polygon(checked_outline(workpiece.outline))


def volume(workpiece: Workpiece) -> float:
    """Return the exact volume (mm3) by Pappus: area of the outline times the path of its centroid."""
    return volume_by_pappus(workpiece.outline)


def mesh(workpiece: Workpiece, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Return the solid of revolution about z."""
    return revolve(workpiece.outline, sections)
