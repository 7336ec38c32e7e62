"""What the part comes near, off its gripped surface and its back face: gripped, and while it is put in.

In the half-plane, mm, exact for a part of revolution (`sim.setup.surroundings`). Apart from what grips it the part is
asked below its back face, and in front of its pocket or beside it where it is more than `GRIPPED_WITHIN` wider (gripped
outside) or narrower (inside) than what the jaws grip. Walls of other pockets are asked by 'clear of the other step'.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.operation import OperationFigures, half_section
from sim.mechanics.stroke import within_stroke
from sim.setup.held import GRIPPED_WITHIN
from sim.setup.parts import Parts
from sim.setup.surroundings import BESIDE, FAR, SOFT_JAWS, Around, around

SLIVER = 1e-9  # mm2, an overlap that is none
GRIPPED, LOADED = "gripped", "while it is put in"


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where a part is nearest to a body, mm.

    Attributes
    ----------
    gap : float
        Least distance; where they overlap, minus the least way along a radius or the spindle that frees the part.
    body : str
    state : str
        Gripped, or while the part is put in.
    radius, height : float
        Of that place, chuck frame.
    across, along : float
        Extent of the overlap along the radius and along the spindle; 0 for none.
    """

    gap: float
    body: str
    state: str
    radius: float
    height: float
    across: float = 0.0
    along: float = 0.0


def nearest(parts: Parts, figures: OperationFigures) -> Meeting:
    """Return what an operation's part is nearest to: gripped at both ends of its size, and while it is put in."""
    stroke = parts.scenario.chuck.stroke
    ends = {within_stroke(t, stroke) for t in (figures.travel.first, figures.travel.last)}
    found = [while_gripped(parts, figures, travel) for travel in sorted(ends)]
    return min((*found, while_put_in(parts, figures)), key=lambda meeting: meeting.gap)


def while_gripped(parts: Parts, figures: OperationFigures, travel: float) -> Meeting:
    """Return what the part is nearest to with the jaws on it at a travel (mm)."""
    return _least(parts, figures, around(parts, travel), GRIPPED)


def while_put_in(parts: Parts, figures: OperationFigures) -> Meeting:
    """Return what the part is nearest to on its way in along the spindle, the jaws at the loading position."""
    return _least(parts, figures, around(parts, 0.0), LOADED)


def _least(parts: Parts, figures: OperationFigures, bodies: Iterable[Around], state: str) -> Meeting:
    part = half_section(figures, parts)
    swept = _swept(part) if state == LOADED else part
    pairs: list[tuple[str, BaseGeometry, BaseGeometry]] = []
    for body in bodies:
        if body.name == SOFT_JAWS:
            pairs += [(body.name, *pair) for pair in _beside_jaws(parts, figures, part, body.image, state)]
        else:
            pairs.append((body.name, swept, body.image))
    return min((_meeting(name, one, other, state) for name, one, other in pairs), key=lambda m: m.gap)


def _beside_jaws(
    parts: Parts, figures: OperationFigures, part: BaseGeometry, jaws: BaseGeometry, state: str
) -> Iterator[tuple[BaseGeometry, BaseGeometry]]:
    """Yield the pieces of the part that may not touch the soft jaws, each with the piece of the jaws."""
    scenario, seat = parts.scenario, figures.zone.seat
    top = scenario.soft_jaw.height
    own = scenario.pocket_of(figures.operation)
    deepest = top - max(p.depth for p in scenario.pockets)
    under = min(seat, deepest)
    below = _pieces(shapely.intersection(part, shapely.box(0.0, -FAR, FAR, under - BESIDE)))
    metal = shapely.intersection(jaws, shapely.box(0.0, -FAR, FAR, under))
    if state == LOADED:
        below, metal = _swept(below), jaws
    # In front of another, shallower pocket the part is asked by that pocket's own verdict.
    low = seat + BESIDE if all(p.depth >= own.depth for p in scenario.pockets) else top
    work = figures.operation.workpiece
    gripped = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    if parts.direction == "outside":
        wide = shapely.box(gripped + GRIPPED_WITHIN, low, FAR, FAR)
    else:
        wide = shapely.box(0.0, low, gripped - GRIPPED_WITHIN, FAR)
    beside = _pieces(shapely.intersection(part, wide))
    yield from ((piece, other) for piece, other in ((below, metal), (beside, jaws)) if not piece.is_empty)


def _pieces(shape: BaseGeometry) -> BaseGeometry:
    """Return the part of a shape that has an area."""
    return shapely.union_all([p for p in shapely.get_parts(shape) if p.area > SLIVER])


def _swept(shape: BaseGeometry) -> BaseGeometry:
    """Return what a shape sweeps that comes in along the spindle, from far out to where it is."""
    swept = [shape]
    for piece in shapely.get_parts(shape):
        corners = shapely.get_coordinates(piece)
        for (r0, z0), (r1, z1) in itertools.pairwise(corners):
            if r0 != r1:
                swept.append(shapely.Polygon([(r0, z0), (r1, z1), (r1, FAR), (r0, FAR)]))
    return shapely.union_all(swept)


def _meeting(name: str, part: BaseGeometry, body: BaseGeometry, state: str) -> Meeting:
    both = [p for p in shapely.get_parts(shapely.intersection(part, body)) if p.area > SLIVER]
    if not both:
        gap = float(shapely.distance(part, body))
        if not math.isfinite(gap):  # one of them is empty
            return Meeting(FAR, name, state, 0.0, 0.0)
        place = shapely.get_coordinates(shapely.shortest_line(part, body))[0]
        return Meeting(gap, name, state, float(place[0]), float(place[1]))
    sizes = [(p.bounds[2] - p.bounds[0], p.bounds[3] - p.bounds[1]) for p in both]
    worst = int(np.argmax([min(size) for size in sizes]))
    across, along = sizes[worst]
    centre = both[worst].centroid
    return Meeting(-min(across, along), name, state, centre.x, centre.y, across, along)
