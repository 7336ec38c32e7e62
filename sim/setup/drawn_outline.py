"""The closed outline of a DXF file as corners of a tool, from its programmed tip."""

from __future__ import annotations

from pathlib import Path

from meshes.sides import Point
from sim.base.errors import ScenarioError
from sim.base.files import file_content
from sim.base.limits import DRAWING
from sim.part_files.dxf import closed_outline
from sim.scenario import Drawing


def drawn_outline(stated: Drawing, folder: Path) -> tuple[Point, ...]:
    """Return the corners (x, z) of the outline in a drawing, mm from the programmed tip, in the machine's directions.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or does not hold exactly one closed outline.
    """
    where = f"file {stated.file}"
    try:
        ring = closed_outline(file_content(folder / stated.file, DRAWING), stated.unit, stated.layer)
    except ValueError as error:
        raise ScenarioError(f"{where} {error}") from None
    return tuple(_placed(point, stated) for point in ring)


def _placed(point: Point, stated: Drawing) -> Point:
    """Return a point of the drawing, mm, as (x, z) from the tip."""
    found = {}
    for axis, value, tip in zip((stated.right, stated.up), point, stated.tip, strict=True):
        found[axis[-1]] = (value - tip) * (-1.0 if axis.startswith("-") else 1.0)
    return found["x"], found["z"]
