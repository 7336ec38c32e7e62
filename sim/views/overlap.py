"""Metal in metal: what a path covers of a body that its tool may not touch, as a solid that can be seen."""

from __future__ import annotations

from typing import cast

import numpy as np
import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes.extrude import prism_along_y
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdicts.path import APART
from sim.clearance.sweep import swept
from sim.programs.path import arc_points

HALF = 3.0  # mm that it reaches to each side of the tool's plane
MOST = 500  # moves that are drawn
LEAST = 0.02  # mm2, smaller pieces are rounding


def overlap(path: PathFigures) -> trimesh.Trimesh | None:
    """Return where a path runs through the body of its first touch, in the plane y = 0, by all moves that touch it.

    Both are the half-plane images that the clearance is judged by, so the solid is there at whatever angle the body
    meets the tool. None without a touch of a body that stands still while the path runs.
    """
    touch = next((one for one in path.clearance.touches if one.kind not in APART), None)
    if touch is None:
        return None
    images = [body.image for body in path.bodies if body.name == touch.body]
    if not images:
        return None
    clearance = path.clearance
    touching = [
        n for n, name in enumerate(clearance.body) if name == touch.body and not clearance.clearance[n] > 0.0
    ]
    numbers = sorted({touch.move, *touching[:MOST]})
    covered = shapely.union_all([_covered(path, number, touch.part) for number in numbers])
    common = shapely.simplify(shapely.intersection(shapely.union_all(images), covered), 0.005)
    pieces = [one for one in shapely.get_parts(common) if one.geom_type == "Polygon" and one.area > LEAST]
    if not pieces:
        return None
    return cast(
        "trimesh.Trimesh", trimesh.util.concatenate([prism_along_y(one, -HALF, HALF) for one in pieces])
    )


def _covered(path: PathFigures, number: int, name: str) -> BaseGeometry:
    """Return what one part of the tool covers along a move, (rho, z)."""
    points = arc_points(path.moves[number], 0.01)
    pieces = [
        swept(part, points[:-1], points[1:]) for part in path.tool_of(number).parts if part.name == name
    ]
    return shapely.union_all(np.concatenate(pieces)) if pieces else shapely.Polygon()
