"""A soft jaw on the paper: cut through its middle plane, and seen from the tailstock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.drawing.jaw_shape import JawShape, middle_section
from sim.drawing.pens import AXIS, CUT_OUT, EDGE
from sim.drawing.primitives import Arc, Item, Line, View
from sim.drawing.section_lines import on_paper, outline, teeth

BEYOND = 3.0  # mm on the paper by which axes pass what they are the axes of


def jaw_cut(shape: JawShape, inner: float, *, bored: bool = True) -> BaseGeometry:
    """Return the jaw cut through its middle plane, (radius, z) in mm, its inner end at a radius."""
    return affinity.translate(middle_section(shape, bored=bored), inner)


def jaw_section(shape: JawShape, inner: float, pitch: float, view: View) -> tuple[list[Item], BaseGeometry]:
    """Return the lines of a jaw cut through its middle plane, and the cut region on the paper.

    Parameters
    ----------
    shape : JawShape
    inner, pitch : float
        Radius of the inner end, and pitch of the serrations, mm.
    view : View
        Of z to the right and the radius up.
    """
    blank, metal = shape.blank, jaw_cut(shape, inner)
    region = on_paper(metal, view)
    before = on_paper(jaw_cut(shape, inner, bored=False), view)
    items: list[Item] = [*outline(region)]
    gone = shapely.line_merge(before.boundary.difference(region.boundary.buffer(1e-6)))
    for line in shapely.get_parts(gone):
        corners = shapely.get_coordinates(line).tolist()
        items += [Line((a, b), (c, d), CUT_OUT) for (a, b), (c, d) in pairwise(corners)]
    bottom = blank.height - blank.counterbore_depth
    for at in blank.screws:
        axis = inner + at
        across = (
            (0.0, blank.hole_diameter),
            (bottom, blank.hole_diameter),
            (blank.height, blank.counterbore_diameter),
        )
        for z, wide in across:
            ends = [(axis - 0.5 * wide, z), (axis + 0.5 * wide, z)]
            # Behind the plane the rim of a hole is seen, unless the metal that it stood in is gone.
            if all(metal.distance(shapely.Point(end)) < 1e-6 for end in ends):
                items.append(Line(view.at(z, ends[0][0]), view.at(z, ends[1][0]), EDGE))
        (x0, y), (x1, _) = view.at(0.0, axis), view.at(blank.height, axis)
        items.append(Line((x0 - BEYOND, y), (x1 + BEYOND, y), AXIS))
    return [*items, *teeth(inner, inner + blank.length, pitch, view)], region


def front_view(edges: Sequence[Line | Arc], inner: float, view: View, turn: float = 0.0) -> list[Item]:
    """Return a jaw's edges as seen from the tailstock, jaw 1 up, the others counter-clockwise.

    Parameters
    ----------
    edges : sequence
        From `front_edges`, in the jaw's own frame.
    inner : float
        Radius of its inner end, mm.
    view : View
        Its point (0, 0) is the spindle axis.
    turn : float
        Of the jaw from that which stands up, rad.
    """
    angle = 0.5 * math.pi + turn

    def at(point: Point) -> Point:
        x, y = point[0] + inner, point[1]
        return view.at(x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))

    found: list[Item] = []
    for edge in edges:
        if isinstance(edge, Line):
            found.append(Line(at(edge.start), at(edge.end), edge.pen))
        else:
            found.append(
                Arc(at(edge.centre), edge.radius * view.scale, edge.start + angle, edge.end + angle, edge.pen)
            )
    return found
