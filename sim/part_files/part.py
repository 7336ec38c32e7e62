"""A part out of a file: its half section in the part frame, and its surface where it is no body of revolution. mm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

import shapely

from meshes.points import Outline
from meshes.sides import OFF, Arc, Line, Side, area, chords
from sim.base.answers import written
from sim.base.files import file_content
from sim.base.kept import kept
from sim.base.limits import CORNERS, DRAWING, PART
from sim.part_files import dxf
from sim.part_files.axis import found_axis, in_part_frame, stated_axis
from sim.part_files.core import turned_core
from sim.part_files.rings import ring_outline
from sim.part_files.step import step_reader
from sim.part_files.triangles import Triangles, closed_triangles

KINDS = ("step", "stp", "dxf", "stl", "3mf", "obj", "glb")
TOLERANCE = 0.1  # mm, as usual: how far a body of revolution may be off one
SIMPLER = 0.1  # of the tolerance by which the outline may leave what was read, where that makes it simpler
LARGEST_SIMPLER = 0.005  # mm
MOST_CORNERS = CORNERS.most
DIGITS = 5  # behind the point of a millimetre: files in single precision hold no more


@dataclass(frozen=True, slots=True)
class Reading:
    """How a file is to be read.

    Attributes
    ----------
    chuck_end : {'low', 'high'}
        Which end along the axis faces the chuck, by its coordinate.
    unit : str or None
        Of the coordinates; None where the file says it.
    axis : str or None
        'x', 'y' or 'z' of the file; None where it is to be found.
    axis_at : float
        Of a drawing: where the axis stands, measured square to it, mm.
    back_face : float
        How far the face that rests on the jaws stands from the chuck end, mm.
    tolerance : float
        mm by which a body of revolution may be off one, chords included.
    layer : str
        Of a drawing.
    """

    chuck_end: Literal["low", "high"]
    unit: str | None = None
    axis: str | None = None
    axis_at: float = 0.0
    back_face: float = 0.0
    tolerance: float = TOLERANCE
    layer: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PartShape:
    """A part as a file has it.

    Attributes
    ----------
    outline : tuple of (r, z)
        Half section of the body of revolution, or of the turned core; z = 0 rests on the jaws.
    axis : str
        Which direction of the file its axis was found or stated to be, in words.
    deviation : float
        By how much the file's surface is off the body of revolution, chords included, mm; of a core not known here, 0.
    surface : Triangles or None
        Where it is no body of revolution within the tolerance: all of it, in the part frame.
    sides : tuple of Line and Arc
        Of a drawing with arcs the sides that the outline stands for; else empty.
    """

    outline: Outline
    axis: str
    deviation: float
    surface: Triangles | None = None
    sides: tuple[Side, ...] = ()


def kind_of(file: str) -> str:
    """Return the end of a file's name, without the dot.

    Raises
    ------
    ValueError
        If it is none that is read, as a clause behind the file's name.
    """
    kind = Path(file).suffix.lower().removeprefix(".")
    if kind not in KINDS:
        raise ValueError(f"must end in one of {', '.join('.' + k for k in KINDS)}")
    return kind


def read_part(path: Path, reading: Reading) -> PartShape:
    """Return the part in a file.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    NotAvailableError
        If what reads such files is not installed.
    """
    return part_of(part_bytes(path), kind_of(path.name), reading)


def part_bytes(path: Path) -> bytes:
    """Return what a part's file holds.

    Raises
    ------
    ValueError
        If it cannot be read or is too large, as a clause behind the file's name.
    """
    return file_content(path, DRAWING if kind_of(path.name) == "dxf" else PART)


def part_of(data: bytes, kind: str, reading: Reading) -> PartShape:
    """Return the part in a file's bytes; `kind` is the end of its name. Raises as `read_part`."""
    return _worked_out(
        data.decode("latin-1"), kind, reading, step_reader() if kind in ("step", "stp") else ""
    )


@kept(8)
@written
def _worked_out(text: str, kind: str, reading: Reading, reader: str) -> PartShape:  # noqa: ARG001  names the answer
    """Return the part in a file whose bytes are these letters; `reader` is the version of what reads it."""
    data = text.encode("latin-1")
    if kind == "dxf":
        return _drawn(data, reading)
    if reading.layer or reading.axis_at:
        raise ValueError("has no layers and no axis beside its own: layer and axis_at are for a DXF file")
    solid = closed_triangles(data, kind, reading.unit)
    axis = found_axis(solid) if reading.axis is None else stated_axis(reading.axis)
    words = f"{axis.name}, {'found' if reading.axis is None else 'as stated'}"
    placed = in_part_frame(solid, axis, high_end=reading.chuck_end == "high", back_face=reading.back_face)
    within = min(SIMPLER * reading.tolerance, LARGEST_SIMPLER)
    rings = ring_outline(placed)
    if rings is not None and max(rings.sag, rings.spread) <= reading.tolerance:
        return PartShape(_simple(rings.outline, within), words, max(rings.sag, rings.spread))
    return PartShape(_simple(turned_core(placed, within), within), words, 0.0, placed)


def _drawn(data: bytes, reading: Reading) -> PartShape:
    if not data.strip():
        raise ValueError("must hold one closed outline, found an empty file")
    if reading.unit not in ("mm", "in"):
        raise ValueError(
            f"does not say its unit reliably: unit must be stated, mm or in, found {reading.unit}"
        )
    if reading.axis not in ("x", "y"):
        raise ValueError(
            f"is a drawing: axis must be stated, x if the spindle lies to its right, y if it lies up, found "
            f"{reading.axis}"
        )
    along, across = (0, 1) if reading.axis == "x" else (1, 0)
    ring = dxf.closed_outline(data, reading.unit, reading.layer)
    heights = [point[along] for point in ring]
    radii = [point[across] - reading.axis_at for point in ring]
    turned = -1.0 if max(radii) <= -min(radii) else 1.0
    if min(turned * r for r in radii) < -dxf.SAME:
        low, high = sorted(-turned * r for r in (min(radii), max(radii)))
        raise ValueError(
            f"must be a half section, on one side of its axis (the line {'y' if along == 0 else 'x'} = "
            f"{reading.axis_at:g} mm), found it on both, from {low:.3f} to {high:.3f} mm"
        )
    end, sign = (max(heights), -1.0) if reading.chuck_end == "high" else (min(heights), 1.0)

    def placed(point: tuple[float, float]) -> tuple[float, float]:
        return turned * (point[across] - reading.axis_at), sign * (point[along] - end) - reading.back_face

    within = min(SIMPLER * reading.tolerance, LARGEST_SIMPLER)
    outline = _simple(tuple(_on_axis(placed(point)) for point in ring), within)
    sides = dxf.closed_sides(data, reading.unit, reading.layer)
    if not any(isinstance(side, Arc) for side in sides):
        return PartShape(outline, f"{reading.axis}, as stated", dxf.SAG)
    # Whether the drawing's directions are swapped or mirrored decides which way its arcs turn.
    way = sign * turned * (1.0 if across == 0 else -1.0)
    shaped = _with_arcs([_in_place(side, placed, way) for side in sides], within)
    return PartShape(chords(shaped), f"{reading.axis}, as stated", OFF, None, shaped)


def _on_axis(point: tuple[float, float]) -> tuple[float, float]:
    return 0.0 if point[0] <= dxf.SAME else point[0], point[1]


def _in_place(side: Side, placed: Callable[[tuple[float, float]], tuple[float, float]], way: float) -> Side:
    start, end = _on_axis(placed(side.start)), _on_axis(placed(side.end))
    if isinstance(side, Line):
        return Line(start, end)
    return Arc(start, end, placed(side.centre), way * side.turn)


def _with_arcs(ring: list[Side], within: float) -> tuple[Side, ...]:
    """Return sides counter-clockwise from the lowest corner on, lines made simpler between arcs.

    Raises
    ------
    ValueError
        If they come to too many corners.
    """
    ccw = ring if area(ring) > 0.0 else [dxf.reversed_side(side) for side in reversed(ring)]
    first = next(n for n, side in enumerate(ccw) if isinstance(side, Arc))
    found: list[Side] = []
    lines: list[tuple[float, float]] = []
    for side in (*ccw[first:], *ccw[:first], ccw[first]):
        if isinstance(side, Line):
            lines += [side.end] if lines else [side.start, side.end]
            continue
        if lines:
            simple = shapely.simplify(shapely.LineString(lines), within).coords
            found += [Line((a[0], a[1]), (b[0], b[1])) for a, b in pairwise(simple)]
            lines = []
        found.append(side)
    found.pop()
    begin = min(range(len(found)), key=lambda n: (found[n].start[1], found[n].start[0]))
    sides = (*found[begin:], *found[:begin])
    if len(chords(sides)) > MOST_CORNERS:
        raise ValueError(f"must come to at most {MOST_CORNERS} corners, found {len(chords(sides))}")
    return sides


def _simple(outline: Outline, within: float) -> Outline:
    """Return an outline without corners that it does not need, counter-clockwise from its lowest.

    Raises
    ------
    ValueError
        If it crosses itself or has too many corners.
    """
    shape = shapely.Polygon(outline)
    if not shape.is_valid or shape.area <= 0.0:
        raise ValueError("must have a half section that does not cross or touch itself, found one that does")
    found = shapely.Polygon(shapely.simplify(shape, within)).exterior
    corners = [(float(r), float(z)) for r, z in found.coords[:-1]]
    # The first corner is never left out by what makes it simpler: once more from one that is needed.
    simple = shapely.simplify(shapely.Polygon(_from_lowest(corners)), within).exterior.coords[:-1]
    corners = [(round(r, DIGITS), round(z, DIGITS)) for r, z in simple]
    if len(corners) > MOST_CORNERS:
        raise ValueError(f"must come to at most {MOST_CORNERS} corners, found {len(corners)}")
    return _from_lowest(corners if shapely.LinearRing(corners).is_ccw else corners[::-1])


def _from_lowest(corners: list[tuple[float, float]]) -> Outline:
    """Return a ring from its lowest corner on, of several the innermost."""
    begin = min(range(len(corners)), key=lambda n: (corners[n][1], corners[n][0]))
    return tuple(corners[begin:] + corners[:begin])
