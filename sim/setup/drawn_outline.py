"""The closed outline of a DXF file as corners of a tool, from its programmed tip."""

from __future__ import annotations

from meshes.points import Outline, Point
from sim.base.errors import ScenarioError
from sim.part_files.dxf import closed_outline
from sim.scenario import Drawing


def drawn_outline(stated: Drawing, data: bytes) -> Outline:
    """Return the corners (x, z) of the outline that a DXF file holds, mm from the tip, in the machine's directions.

    Raises
    ------
    ScenarioError
        If the file does not hold exactly one closed outline.
    """
    try:
        ring = closed_outline(data, stated.unit, stated.layer)
    except ValueError as error:
        raise ScenarioError(f"file {stated.file} {error}") from None
    return tuple(_placed(point, stated) for point in ring)


def _placed(point: Point, stated: Drawing) -> Point:
    """Return a point of the drawing, mm, as (x, z) from the tip."""
    found = {}
    for axis, value, tip in zip((stated.right, stated.up), point, stated.tip, strict=True):
        found[axis[-1]] = (value - tip) * (-1.0 if axis.startswith("-") else 1.0)
    return found["x"], found["z"]
