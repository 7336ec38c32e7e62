"""Prisms from shapely polygons, holes included, along any of the three axes."""

from __future__ import annotations

import numpy as np
import shapely
import trimesh

from meshes.dimension import require_positive
from meshes.placement import placed

_Y_Z_TO_X = np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
_X_Z_TO_Y = np.array([[1.0, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])


def prism(section: shapely.Polygon, height: float) -> trimesh.Trimesh:
    """Return the prism of an (x, y) section (mm) from z = 0 to `height` (mm).

    Raises
    ------
    ValueError
        If the section crosses itself or is empty, or the height is not greater than 0.
    """
    require_positive("prism", height=height)
    if section.is_empty or not section.is_valid:
        raise ValueError(
            f"a prism's section must not cross itself, found: {shapely.is_valid_reason(section)}"
        )
    solid = trimesh.creation.extrude_polygon(section, height, engine="earcut")
    return trimesh.Trimesh(
        vertices=np.array(solid.vertices), faces=np.array(solid.faces), process=False, validate=False
    )


def prism_along_x(section: shapely.Polygon, length: float) -> trimesh.Trimesh:
    """Return the prism of a (y, z) section from x = 0 to `length` (mm)."""
    return placed(prism(section, length), _Y_Z_TO_X)


def prism_along_y(section: shapely.Polygon, start: float, end: float) -> trimesh.Trimesh:
    """Return the prism of an (x, z) section from y = `start` to `end` (mm)."""
    turned = _X_Z_TO_Y.copy()
    turned[1, 3] = end
    return placed(prism(section, end - start), turned)
