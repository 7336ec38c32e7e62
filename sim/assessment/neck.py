"""What parts off the end of a part that a centre presses on, or leaves it on a neck too thin for that push."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.figures.path import PathFigures
from sim.base.arrays import Floats
from sim.base.printable import printable
from sim.scenario.cut import Cut
from sim.setup.parts import Parts

# Of the yield strength, of a neck pressed by a centre: it is bent and twisted, too (assumption, no source).
NECK_BEARS = 1.0 / 3
_SLOT = 0.01  # mm to each side of a cut's height that it takes away at least
_THIN = 1e-6  # mm, layers of less height are rounding


def parted_off(parts: Parts, figures: OperationFigures, machining: PathFigures | None) -> tuple[str, ...]:
    """Return the names of what parts off the end under a centre, or leaves it on a thin neck; nothing without one.

    Parameters
    ----------
    parts : Parts
    figures : OperationFigures
    machining : PathFigures or None
        The program of the operation, if it has one; each of its readings counts.
    """
    centre = figures.operation.tailstock
    if centre is None:
        return ()
    low, face = figures.zone.high, figures.zone.seat + centre.height
    bottom = face - 0.5 * centre.hole_diameter / math.tan(0.5 * centre.cone_angle)
    held = half_section(figures, parts)
    # A stated groove in the wall round the centre's hole lies in the push's way; a face that is turned there does not.
    left: list[tuple[str, BaseGeometry, float, float]] = []
    for cut in figures.operation.cuts:
        if cut.kind == "parting" or (cut.kind == "grooving" and cut.end_diameter is not None):
            at = figures.zone.seat + cut.height
            reached = min(low, at - _SLOT), max(face, at + _SLOT)
            left.append((printable(cut.name), grooved(held, cut, at), *reached))
    left.append(("the part as it is gripped", held, low, bottom))
    readings = () if machining is None else machining.readings
    for way in readings:
        told = f" with {way.reading}" if len(readings) > 1 else ""
        left.append((f"the program{told}", way.clearance.stock_left, low, bottom))
    bears = NECK_BEARS * figures.yield_strength
    return tuple(
        name
        for name, section, begin, end in left
        if centre.force_high > bears * least_area_across(section, begin, end)
    )


def grooved(held: BaseGeometry, cut: Cut, at: float, half_width: float = _SLOT) -> BaseGeometry:
    """Return a half section without what a cut to its end diameter takes at its height (mm); parting takes all.

    `half_width` (mm) is what it takes to each side of that height.
    """
    end, outside = 0.5 * (cut.end_diameter or 0.0), held.bounds[2]
    inner, outer = (0.0, end) if 2.0 * end > cut.diameter else (end, outside)
    if cut.kind == "parting":
        inner, outer = 0.0, outside
    return shapely.difference(held, shapely.box(inner, at - half_width, outer, at + half_width))


def least_area_across(section: BaseGeometry, low: float, high: float) -> float:
    """Return the least area (mm2) across the axis of a body of revolution between two heights: 0 where it is parted.

    Parameters
    ----------
    section : polygonal geometry
        Half section, (r, z) in mm.
    low, high : float
        Heights, mm; inf where nothing lies between them.

    Notes
    -----
    Each edge of the section's outline adds or takes away a disc: pi r(z)^2, r linear in z. Between the heights of two
    corners the sum is one quadratic, whose least value is taken.
    """
    if high - low <= _THIN:
        return math.inf
    radius, height = edges_of(section)
    rises = height[:, 1] - height[:, 0]
    kept = rises != 0.0
    radius, height, rises = radius[kept], height[kept], rises[kept]
    slope = (radius[:, 1] - radius[:, 0]) / rises
    at_zero = radius[:, 0] - slope * height[:, 0]
    # Counter-clockwise round metal: what rises is its outside.
    terms = np.sign(rises)[:, None] * np.column_stack([at_zero**2, 2.0 * at_zero * slope, slope**2])
    borders = np.unique(np.clip(np.concatenate([height.ravel(), [low, high]]), low, high))
    begin = np.searchsorted(borders, np.clip(height.min(axis=1), low, high))
    end = np.searchsorted(borders, np.clip(height.max(axis=1), low, high))
    sums = np.zeros((len(borders), 3))
    np.add.at(sums, begin, terms)
    np.subtract.at(sums, end, terms)
    thick = np.diff(borders) > _THIN
    bottom, top, terms = borders[:-1][thick], borders[1:][thick], np.cumsum(sums, axis=0)[:-1][thick]
    turn = np.clip(-0.5 * terms[:, 1] / np.where(terms[:, 2] > 0.0, terms[:, 2], np.inf), bottom, top)
    at = np.stack([bottom, top, turn])
    squares = terms[:, 0] + at * (terms[:, 1] + at * terms[:, 2])
    return math.pi * max(0.0, float(squares.min()))


def edges_of(section: BaseGeometry) -> tuple[Floats, Floats]:
    """Return radius and height of both ends of each edge (n, 2), metal to their left."""
    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(section)))
    ends = [np.stack([points[:-1], points[1:]], axis=1) for points in map(shapely.get_coordinates, rings)]
    edges = np.concatenate([*ends, np.zeros((0, 2, 2))])
    return edges[:, :, 0], edges[:, :, 1]
