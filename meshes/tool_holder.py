"""A tool holder of any outline, as a plate in the tool's frame."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
import trimesh

from meshes.dimension import require_positive
from meshes.extrude import prism_along_y


@dataclass(frozen=True, slots=True)
class ToolHolder:
    """A holder by its outline; the frame and the programmed tip are those of `meshes.insert`.

    Attributes
    ----------
    outline : tuple of (x, z)
        Closed polygon in mm relative to the programmed tip, first point not repeated.
    thickness : float
        mm; the plate lies in 0 <= y <= thickness, below the rake face.
    """

    outline: tuple[tuple[float, float], ...]
    thickness: float

    def __post_init__(self) -> None:
        require_positive("tool holder", thickness=self.thickness)
        if len(self.outline) < 3:
            raise ValueError(
                f"tool holder: outline must have three or more points, found {len(self.outline)}"
            )
        polygon = shapely.Polygon(self.outline)
        if not polygon.is_valid or not polygon.area > 0.0:
            reason = "it encloses no area" if polygon.is_valid else shapely.is_valid_reason(polygon)
            raise ValueError(f"tool holder: outline must not cross itself, found: {reason}")


def section_polygon(holder: ToolHolder) -> shapely.Polygon:
    """Return the outline as a polygon, (x, z) in mm."""
    return shapely.Polygon(holder.outline)


def mesh(holder: ToolHolder) -> trimesh.Trimesh:
    """Return the holder's solid."""
    return prism_along_y(section_polygon(holder), 0.0, holder.thickness)
