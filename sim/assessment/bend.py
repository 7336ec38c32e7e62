"""How far a part gives way under each cut where a centre or a steady rest bears it."""

from __future__ import annotations

import math

import numpy as np
import shapely

from sim.base.arrays import Floats
from sim.mechanics.part_bend import Beam, Root, Spring, gives
from sim.scenario import Operation, Scenario
from sim.setup.held import HeldZone
from sim.setup.supports import centre_tip

SLICE = 1.0  # mm
JAWS_ACROSS = 1.5  # springs of three jaws, seen along any direction across the spindle (sum of cos^2)


def gives_under_cuts(scenario: Scenario, index: int, zone: HeldZone) -> tuple[float, ...]:
    """Return how far the part gives way at each cut for each newton across it there, mm/N.

    Nothing where neither centre nor steady rest bears the part. The part is as thin as it is before or after its
    program.
    """
    operation, springs = scenario.operations[index], _springs(scenario.operations[index], zone)
    if not springs:
        return ()
    chuck = scenario.chuck
    root = Root(JAWS_ACROSS * chuck.radial_stiffness, JAWS_ACROSS * chuck.tilt_stiffness)
    beam = _beam(operation, scenario.metal(operation.workpiece.material).modulus, zone)
    return tuple(gives(zone.seat + cut.height - zone.middle, beam, root, springs) for cut in operation.cuts)


def _springs(operation: Operation, zone: HeldZone) -> tuple[Spring, ...]:
    found, to_root = [], zone.seat - zone.middle
    if operation.tailstock is not None:
        found.append(Spring(centre_tip(operation) + to_root, operation.tailstock.radial_stiffness))
    if operation.steady_rest is not None:
        stated = operation.steady_rest
        found.append(Spring(stated.height + to_root, stated.radial_stiffness))
    return tuple(found)


def _beam(operation: Operation, modulus: float, zone: HeldZone) -> Beam:
    """Return the part beyond its held length as a beam from the held middle; within it the jaws keep it straight."""
    outlines = [operation.workpiece.outline]
    if operation.program is not None:
        more = (operation.program.raw_outline, operation.program.finished_outline)
        outlines += [outline for outline in more if outline is not None]
    free, end = zone.high - zone.seat, max(z for _, z in operation.workpiece.outline)
    edges = np.linspace(free, max(end, free + SLICE), max(2, math.ceil((end - free) / SLICE)) + 1)
    middles = 0.5 * (edges[:-1] + edges[1:])
    area = np.min([_second_moments(shapely.Polygon(one), middles) for one in outlines], axis=0)
    # Where a part ends, in a centre hole or short of a raw face, the slice before it goes on.
    for k in range(1, len(area)):
        area[k] = area[k] if area[k] > 0.0 else area[k - 1]
    return Beam(edges + zone.seat - zone.middle, modulus * area)


def _second_moments(section: shapely.Polygon, heights: Floats) -> Floats:
    """Return the second moments of area (mm4) of a body of revolution's section at some heights."""
    far = np.full(len(heights), section.bounds[2] + 1.0)
    ends = np.stack([np.zeros_like(far), heights, far, heights], axis=1).reshape(-1, 2, 2)
    pieces, owner = shapely.get_parts(
        shapely.intersection(section, shapely.linestrings(ends)), return_index=True
    )
    inner, _, outer, _ = shapely.bounds(pieces).T
    found = np.zeros(len(heights))
    np.add.at(found, owner, 0.25 * math.pi * (outer**4 - inner**4))
    return found
