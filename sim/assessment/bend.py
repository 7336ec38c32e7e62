"""How far a part gives way under each cut, and at which speed it whips: a beam on jaws, centre and steady rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from sim.base.arrays import Floats
from sim.mechanics.part_bend import Beam, Root, Spring, borne, gives, whip_speed
from sim.scenario import Operation, Scenario
from sim.setup.held import HeldZone
from sim.setup.supports import centre_tip

SLICE = 1.0  # mm
SWINGING = 4.0  # mm; a first bend of many times its length is as well told by these
JAWS_ACROSS = 1.5  # springs of three jaws, seen along any direction across the spindle (sum of cos^2)


def gives_under_cuts(scenario: Scenario, index: int, zone: HeldZone) -> tuple[float, ...]:
    """Return how far the part gives way at each cut for each newton across it there, mm/N.

    The part is as thin as it is before or after its program.
    """
    operation = scenario.operations[index]
    modulus = scenario.metal(operation.workpiece.material).modulus
    beam, root, springs = (
        _front(operation, zone, SLICE).beam(modulus),
        _root(scenario),
        _springs(operation, zone),
    )
    return tuple(gives(zone.seat + cut.height - zone.middle, beam, root, springs) for cut in operation.cuts)


def borne_at(scenario: Scenario, index: int, zone: HeldZone, height: float) -> list[tuple[float, float]]:
    """Return what centre and steady rest bear of a force across the part at a height: (height, share) of each.

    Heights from the part's back face, mm; the part is as thin as it is before or after its program.
    """
    operation, to_root = scenario.operations[index], zone.seat - zone.middle
    springs = _springs(operation, zone)
    if not springs:
        return []
    beam = _front(operation, zone, SLICE).beam(scenario.metal(operation.workpiece.material).modulus)
    shares = borne(height + to_root, beam, _root(scenario), springs)
    return [(spring.place - to_root, share) for spring, share in zip(springs, shares, strict=True)]


def whips_at(scenario: Scenario, index: int, zone: HeldZone) -> float:
    """Return a speed (rev/min) below the lowest at which the part whips: as thin, and as heavy, as it ever is."""
    operation = scenario.operations[index]
    metal = scenario.metal(operation.workpiece.material)
    ends = [(end.beam(metal.modulus), end.masses(metal.density)) for end in _ends(operation, zone)]
    held = metal.density * _most_area(operation, zone.middle - zone.seat) * zone.length
    return whip_speed(ends, held, _root(scenario), _springs(operation, zone))


@dataclass(frozen=True, slots=True, eq=False)
class _End:
    """What stands out of the jaws on one side, in slices.

    Attributes
    ----------
    edges : (n + 1,) array
        From the held middle, mm.
    second_moments, areas : (n,) arrays
        The least (mm4) and the largest (mm2) of the part before and after its program.
    """

    edges: Floats
    second_moments: Floats
    areas: Floats

    def beam(self, modulus: float) -> Beam:
        """Return it as a beam of a modulus, MPa."""
        return Beam(self.edges, modulus * self.second_moments)

    def masses(self, density: float) -> Floats:
        """Return the mass of each slice, kg, at a density in kg/mm3."""
        found: Floats = density * self.areas * np.diff(self.edges)
        return found


def _root(scenario: Scenario) -> Root:
    chuck = scenario.chuck
    return Root(JAWS_ACROSS * chuck.radial_stiffness, JAWS_ACROSS * chuck.tilt_stiffness)


def _springs(operation: Operation, zone: HeldZone) -> tuple[Spring, ...]:
    found, to_root = [], zone.seat - zone.middle
    if operation.tailstock is not None:
        found.append(Spring(centre_tip(operation) + to_root, operation.tailstock.radial_stiffness))
    if operation.steady_rest is not None:
        stated = operation.steady_rest
        found.append(Spring(stated.height + to_root, stated.radial_stiffness))
    return tuple(found)


def _outlines(operation: Operation) -> list[shapely.Polygon]:
    found = [operation.workpiece.outline]
    if operation.program is not None:
        more = (operation.program.raw_outline, operation.program.finished_outline)
        found += [outline for outline in more if outline is not None]
    return [shapely.Polygon(outline) for outline in found]


def _front(operation: Operation, zone: HeldZone, step: float) -> _End:
    """Return what stands out of the jaws away from the chuck; within the held length the jaws keep it straight."""
    outlines = _outlines(operation)
    free = zone.high - zone.seat
    return _end(outlines, zone.middle - zone.seat, free, max(one.bounds[3] for one in outlines) - free, step)


def _ends(operation: Operation, zone: HeldZone) -> tuple[_End, ...]:
    """Return what stands out of the jaws on both sides, the second only where it does."""
    front, outlines = _front(operation, zone, SWINGING), _outlines(operation)
    free = zone.low - zone.seat
    behind = free - min(one.bounds[1] for one in outlines)
    if behind < SWINGING:
        return (front,)
    return front, _end(outlines, zone.middle - zone.seat, free, behind, SWINGING, -1.0)


def _end(
    outlines: list[shapely.Polygon], middle: float, free: float, length: float, step: float, way: float = 1.0
) -> _End:
    """Return an end of the part.

    Parameters
    ----------
    outlines : list of polygon
        Of the part, the first as it is gripped.
    middle, free : float
        Heights of the held middle and where the end leaves the jaws, part frame, mm.
    length, step : float
        Of the end and of its slices, mm.
    way : float
        1 away from the chuck, -1 towards it; no unit.
    """
    out = np.linspace(0.0, max(length, step), max(2, math.ceil(length / step)) + 1)
    heights = free + way * 0.5 * (out[:-1] + out[1:])
    found = [_sections(outline, np.append(middle, heights)) for outline in outlines]
    held = found[0][0][0]
    moments = np.min([_going_on(moment, held) for moment, _ in found], axis=0)
    areas = np.max([area for _, area in found], axis=0)[1:]
    return _End(out + abs(free - middle), moments, areas)


def _most_area(operation: Operation, height: float) -> float:
    return max(float(_sections(outline, np.array([height]))[1][0]) for outline in _outlines(operation))


def _going_on(moments: Floats, held: float) -> Floats:
    """Return second moments (mm4) but the first, which is that in the jaws, `held` where there is none.

    Where a part ends, as in a centre hole or short of a raw face, the slice before goes on.
    """
    found = moments.copy()
    found[0] = found[0] if found[0] > 0.0 else held
    for k in range(1, len(found)):
        found[k] = found[k] if found[k] > 0.0 else found[k - 1]
    return found[1:]


def _sections(section: shapely.Polygon, heights: Floats) -> tuple[Floats, Floats]:
    """Return second moments (mm4) and areas (mm2) of a body of revolution's section at some heights."""
    far = np.full(len(heights), section.bounds[2] + 1.0)
    ends = np.stack([np.zeros_like(far), heights, far, heights], axis=1).reshape(-1, 2, 2)
    pieces, owner = shapely.get_parts(
        shapely.intersection(section, shapely.linestrings(ends)), return_index=True
    )
    inner, _, outer, _ = shapely.bounds(pieces).T
    moments, areas = np.zeros(len(heights)), np.zeros(len(heights))
    np.add.at(moments, owner, 0.25 * math.pi * (outer**4 - inner**4))
    np.add.at(areas, owner, math.pi * (outer**2 - inner**2))
    return moments, areas
