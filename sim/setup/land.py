"""Where a part's back face lies on metal: its rings at z = 0 on the land that boring leaves under the pocket.

Seen from the front, (x, y) in mm, for one jaw: the blank, less what is turned out below the back face (a deeper pocket
with its chamfer, a plug's seat, a through-bore), less counterbores and screw holes and what earlier borings took. The
relief groove goes into the wall, not into the land. Widths are radial, on rays over the middle half of the jaw.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats
from sim.base.gripping import Direction
from sim.base.kept import kept
from sim.scenario.outline import curved
from sim.setup.earlier_bores import earlier_bore
from sim.setup.jaw_screws import head_seat
from sim.setup.parts import Parts
from sim.setup.surroundings import BESIDE, FAR, bored_plan, disc, inner_ends, plan_at, turned_out

COUNTED_WIDTH = 0.5  # share of a jaw's width, about its middle, over which its land is asked for
RAYS = 13  # over that width; odd, so that one is the jaw's middle
FLAT = 1e-6  # mm above and below z = 0 at which the part's outline is looked at
THIN = 1e-3  # mm, a narrower ring is a slant and no face
LEAST_SUPPORT = 0.5  # mm of overlap below which the part is taken to stand on nothing
AT_STOP = 0.05  # mm by which a stop's upper face may lie below the part and still stop it

Ring = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Overlap:
    """Back face of the part on the jaws' land, mm.

    Attributes
    ----------
    width : float
        Mean radial width over the middle of a jaw, of the jaw where it is least.
    radius : float
        Least middle between the innermost and the outermost metal under the part on a ray; 0 for none.
    inner : float
        Least radius of the metal under the part; 0 for none.
    """

    width: float
    radius: float
    inner: float


def back_rings(outline: tuple[tuple[float, float], ...], height: float = 0.0) -> tuple[Ring, ...]:
    """Return the rings (inner and outer radius) of a part that face the chuck at a height, mm of its own frame.

    A part that lies on an arc lies on a line: the chord there is no ring.
    """
    part = shapely.Polygon(outline)
    above, under = (_radii(part, height + off) for off in (FLAT, -FLAT))
    on_arcs = [
        shapely.LineString([(r0, 0.0), (r1, 0.0)])
        for (r0, z0), (r1, z1), arc in zip(outline, (*outline[1:], outline[0]), curved(outline), strict=True)
        if arc and max(abs(z0 - height), abs(z1 - height)) <= FLAT
    ]
    faces = shapely.get_parts(shapely.difference(above, shapely.union_all([under, *on_arcs])))
    return tuple(sorted((f.bounds[0], f.bounds[2]) for f in faces if f.length > THIN))


def _radii(part: shapely.Polygon, height: float) -> BaseGeometry:
    """Return where a section has metal at a height, as lines along the radius."""
    line = shapely.LineString([(-FAR, height), (FAR, height)])
    met = [
        p
        for p in shapely.get_parts(shapely.intersection(part, line))
        if p.geom_type in ("LineString", "LinearRing")
    ]
    return shapely.transform(shapely.union_all(met), lambda xy: xy * np.array([1.0, 0.0]))


def overlap(parts: Parts, index: int, travel: float) -> Overlap:
    """Return how the part of an operation lies on the land of the jaws at a travel, the worst of the three jaws."""
    rings = back_rings(parts.scenario.operations[index].workpiece.outline)
    if not rings:
        return Overlap(0.0, 0.0, 0.0)
    found = [_on(parts, land, rings) for land in _lands(parts, index, travel)]
    return Overlap(*(min(getattr(o, of) for o in found) for of in ("width", "radius", "inner")))


def stands(parts: Parts, index: int) -> bool:
    """Tell whether the part of an operation stands on the jaws at all, as they stand while they are bored."""
    return overlap(parts, index, parts.scenario.boring.travel).width >= LEAST_SUPPORT


def stop_width(parts: Parts, index: int, seat: float) -> float:
    """Return the radial width (mm) on which a part's lowest face meets its back stop; 0 where it does not."""
    operation = parts.scenario.operations[index]
    stated, outline = operation.back_stop, operation.workpiece.outline
    if stated is None:
        return 0.0
    lowest = min(z for _, z in outline)
    if not 0.0 <= seat + lowest - stated.height - stated.thickness <= AT_STOP:
        return 0.0
    low, high = 0.5 * stated.inner_diameter, 0.5 * stated.outer_diameter
    return math.fsum(max(0.0, min(b, high) - max(a, low)) for a, b in back_rings(outline, lowest))


def _lands(parts: Parts, index: int, travel: float) -> tuple[BaseGeometry, ...]:
    """Return the land of each jaw that stands differently, at a travel."""
    scenario, jaw = parts.scenario, parts.scenario.soft_jaw
    seat = jaw.height - scenario.pocket_of(scenario.operations[index]).depth
    sunk = seat > head_seat(scenario)
    hole = jaw.screws.counterbore_diameter if sunk else jaw.screws.hole_diameter
    bored = parts.place.bored
    holes = tuple((bored + position, 0.5 * hole) for position in jaw.screws.positions)
    left = _land(
        plan_at(parts, bored), parts.removed, parts.direction, seat, holes, _bored_before(parts, seat)
    )
    return tuple(affinity.translate(left, xoff=inner - bored) for inner in inner_ends(parts, travel))


@kept(64)  # every state of a setup, and each of its cuts, asks for the land of the same jaws
def _land(
    plan: BaseGeometry,
    removed: Floats,
    direction: Direction,
    seat: float,
    holes: tuple[Ring, ...],
    before: tuple[tuple[float, Ring], ...],
) -> BaseGeometry:
    """Return what is left of a jaw's plan under the back face at a height `seat`, as it stands while it is bored.

    Holes are told by centre and radius, what earlier borings took by its centre and the radii that it lies between.
    """
    land = bored_plan(plan, 0.0, turned_out(removed, seat - BESIDE), direction)
    # Where nothing is turned away above it, it lies under metal.
    land = shapely.difference(land, bored_plan(plan, 0.0, turned_out(removed, seat + BESIDE), direction))
    gone: list[BaseGeometry] = [disc(*hole) for hole in holes]
    for centre, (low, high) in before:
        ring = disc(centre, high)
        gone.append(ring if low <= 0.0 else shapely.difference(ring, disc(centre, low)))
    return shapely.difference(land, shapely.union_all(gone))


def _bored_before(parts: Parts, seat: float) -> tuple[tuple[float, Ring], ...]:
    """Return what earlier borings took under a back face at a height, where the jaws stand while they are bored now."""
    found = []
    for number in range(len(parts.scenario.soft_jaw.bored_before)):
        earlier, outline = earlier_bore(parts.scenario, number)
        found += [(parts.place.bored - earlier, ring) for ring in turned_out(outline, seat - BESIDE)]
    return tuple(found)


def _on(parts: Parts, land: BaseGeometry, rings: tuple[Ring, ...]) -> Overlap:
    outermost = rings[-1][1] if parts.place.outside else rings[0][0]
    angle = parts.place.counted_half_angle(outermost, COUNTED_WIDTH) if outermost > 0.0 else 0.0
    return _on_rays(land, rings, angle)


@kept(256)  # as above
def _on_rays(land: BaseGeometry, rings: tuple[Ring, ...], angle: float) -> Overlap:
    """Return how rings lie on a land, by rays up to an angle (rad) on either side of the jaw's middle."""
    faces = shapely.union_all([_annulus(ring) for ring in rings])
    met = shapely.intersection(land, faces)
    turns = np.linspace(-angle, angle, RAYS)
    ends = FAR * np.column_stack([np.cos(turns), np.sin(turns)])
    on_rays = shapely.intersection(met, shapely.linestrings(np.stack([np.zeros_like(ends), ends], axis=1)))
    points, owner = shapely.get_coordinates(on_rays, return_index=True)
    radii = np.hypot(*points.T)
    middles = [0.5 * float(r.min() + r.max()) for r in (radii[owner == n] for n in np.unique(owner))]
    least = float(radii.min()) if radii.size else 0.0
    return Overlap(float(shapely.length(on_rays).mean()), min(middles, default=0.0), least)


def _annulus(ring: Ring) -> BaseGeometry:
    low, high = ring
    return disc(0.0, high) if low <= 0.0 else shapely.difference(disc(0.0, high), disc(0.0, low))
