"""Half-plane images, in closed form, of what stands around a part at a travel: jaws, screws, master jaws, chuck body.

The part is a body of revolution, so it meets a body if and only if its half section meets the body's image, the set of
all (rho, z) whose circle about the spindle meets the body; distances are those of the bodies. At one height a bored jaw
is its plan less (or within) the circle that was turned: its image runs from its point nearest to the axis to the one
farthest off. Lengths in mm.

Left out, so that a little more stands there than does: earlier borings, the T-slot of the master jaw, edge chamfers. A
jaw from a file counts as the block that its dimensions state.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes import centre, chuck_body, plug, soft_jaw, steady_rest
from meshes.jaw_screw import HEADS
from sim.base.answers import written
from sim.base.arrays import Floats
from sim.base.gripping import Direction
from sim.base.kept import kept
from sim.setup.held import held_zone
from sim.setup.jaw_screws import head_underside, nut_top
from sim.setup.parts import Parts
from sim.setup.supports import centre_tip

SOFT_JAWS, CHUCK_BODY = "soft jaws", "chuck body"
CIRCLE = 256  # segments to a quarter: a circle of radius 60 mm sags by 0.3 micrometres
BESIDE = 1e-6  # mm above or below a step at which its two sides are looked at
FAR = 1e4  # mm, beyond everything on a lathe
OUT = 1e-3  # mm2 of a screw or T-nut beside the jaws' image that is rounding


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """A body and its image (rho, z), mm."""

    name: str
    image: BaseGeometry


def around(parts: Parts, travel: float) -> tuple[Around, ...]:
    """Return what turns beside the part at a travel, the soft jaws first; a stop behind the part is left out."""
    jaw = parts.scenario.master_jaw
    soft = shapely.union_all([_soft_jaw(parts, x) for x in inner_ends(parts, travel)])
    low = parts.place.master_inner(travel)
    high = float(np.hypot(low + jaw.length, 0.5 * jaw.width))
    body = shapely.Polygon(chuck_body.section_outline(parts.sizes.body))
    master = shapely.box(max(low, 0.0), -jaw.height, high, 0.0)
    shown = [(SOFT_JAWS, soft), (CHUCK_BODY, body), ("master jaws", master)]
    metal = shapely.union_all([soft, body, master])
    # Of screws and T-nuts what stands out of the jaws: in a counterbore, jaw stands beside the head.
    for name, images in (("jaw screws", screw_images(parts, travel)), ("T-nuts", _nuts(parts, travel))):
        out = shapely.difference(shapely.union_all(list(images)), metal)
        if out.area > OUT:
            shown.append((name, out))
    return tuple(Around(name, image) for name, image in shown)


def stop(parts: Parts, index: int) -> Around | None:
    """Return the stop behind the part of an operation, None without one."""
    found, stated = parts.back_stops[index], parts.scenario.operations[index].back_stop
    if found is None or stated is None:
        return None
    return Around("back stop", shapely.Polygon(np.add(plug.section_outline(found), (0.0, stated.height))))


def off_the_core(parts: Parts, index: int) -> Around | None:
    """Return what a part from a file sweeps beside its turned core, None where it is that core."""
    part, work = parts.workpieces[index], parts.scenario.operations[index].workpiece
    if part.swept is None or work.model is None:
        return None
    core = shapely.buffer(shapely.Polygon(part.outline), work.model.tolerance, join_style="mitre")
    lugs = shapely.difference(part.swept, core)
    seat = held_zone(parts.scenario, index).seat
    return Around("lugs of the part", affinity.translate(lugs, yoff=seat)) if lugs.area > OUT else None


def supports(parts: Parts, index: int) -> tuple[Around, ...]:
    """Return centre and steady rest of an operation; empty without them. Both count as standing all around."""
    operation, seat = parts.scenario.operations[index], held_zone(parts.scenario, index).seat
    centre_of, steady_of = parts.centres[index], parts.steady_rests[index]
    found = []
    if centre_of is not None:
        outline = np.add(centre.section_outline(centre_of), (0.0, seat + centre_tip(operation)))
        found.append(Around("centre", shapely.Polygon(outline)))
    if steady_of is not None and operation.steady_rest is not None:
        at = (0.0, seat + operation.steady_rest.height)
        outlines = [np.add(outline, at) for outline in steady_rest.section_outlines(steady_of)]
        found.append(Around("steady rest", shapely.union_all([shapely.Polygon(o) for o in outlines])))
    return tuple(found)


def inner_ends(parts: Parts, travel: float) -> tuple[float, ...]:
    """Return the radii of the soft jaws' inner ends at a travel: one, or more where jaws stand off by serrations."""
    scenario = parts.scenario
    inner, pitch = parts.place.inner(travel), scenario.chuck.serration_pitch
    return tuple(inner + off * pitch for off in sorted(set(scenario.soft_jaw.serrations_off)))


def plan_at(parts: Parts, inner: float) -> shapely.Polygon:
    """Return the blank seen from the front, its inner end at the radius `inner`, (x, y)."""
    return affinity.translate(soft_jaw.plan(parts.sizes.blank), xoff=inner)


def disc(centre: float, radius: float) -> shapely.Polygon:
    """Return a circle about (centre, 0)."""
    return shapely.Point(centre, 0.0).buffer(radius, quad_segs=CIRCLE)


def turned_out(outline: Floats, height: float) -> list[tuple[float, float]]:
    """Return the radii between which a removed (r, z) outline lies at a height, rising; empty where it does not."""
    line = shapely.LineString([(-FAR, height), (FAR, height)])
    pieces = shapely.get_parts(shapely.intersection(shapely.Polygon(outline), line))
    return sorted((p.bounds[0], p.bounds[2]) for p in pieces if p.length > 0.0)


def bored_plan(
    plan: BaseGeometry, centre: float, turned: list[tuple[float, float]], direction: Direction
) -> BaseGeometry:
    """Return what boring leaves of a plan at a height, from `turned_out` there, the bore's axis at (centre, 0)."""
    for low, high in turned:
        if direction == "outside":
            plan = shapely.difference(plan, disc(centre, high))
        else:
            plan = shapely.intersection(plan, disc(centre, low))
    return plan


def _soft_jaw(parts: Parts, inner: float) -> BaseGeometry:
    scenario = parts.scenario
    centre = inner - parts.place.bored
    return _bored_jaw(plan_at(parts, inner), centre, parts.removed, scenario.soft_jaw.height, parts.direction)


@written
@kept(64)  # looked at by several verdicts at the same few travels
def _bored_jaw(
    plan: BaseGeometry, centre: float, removed: Floats, top: float, direction: Direction
) -> BaseGeometry:
    """Return the image of a jaw of this plan and height, an (r, z) outline about (centre, 0) turned out of it."""
    steps = sorted({0.0, top, *(z for z in removed[:, 1].tolist() if 0.0 < z < top)})
    slabs = []
    for low, high in itertools.pairwise(steps):
        if high - low <= 2.0 * BESIDE:
            continue
        ends = [
            _reach(bored_plan(plan, centre, turned_out(removed, z), direction))
            for z in (low + BESIDE, high - BESIDE)
        ]
        if ends[0] is not None and ends[1] is not None:
            (a, b), (c, d) = ends[0], ends[1]
            slabs.append(shapely.Polygon([(a, low), (b, low), (d, high), (c, high)]))
    return shapely.union_all(slabs)


def _reach(region: BaseGeometry) -> tuple[float, float] | None:
    """Return the least and the largest distance of a region from the axis."""
    if region.area <= 0.0:
        return None
    corners = shapely.get_coordinates(region)
    return float(shapely.distance(region, shapely.Point(0.0, 0.0))), float(np.hypot(*corners.T).max())


def _axes(parts: Parts, travel: float) -> Iterator[float]:
    for inner in inner_ends(parts, travel):
        for position in parts.scenario.soft_jaw.screws.positions:
            yield inner + position


def screw_images(parts: Parts, travel: float) -> Iterator[BaseGeometry]:
    """Yield heads and shanks of the jaw screws at a travel, with their washers under the heads."""
    screw, seat = parts.sizes.screw, head_underside(parts.scenario)
    head, shank = HEADS[screw.thread_diameter], 0.5 * screw.thread_diameter
    for axis in _axes(parts, travel):
        yield shapely.box(axis - 0.5 * head.diameter, seat, axis + 0.5 * head.diameter, seat + head.height)
        yield shapely.box(axis - shank, seat - screw.length, axis + shank, seat)


def _nuts(parts: Parts, travel: float) -> Iterator[BaseGeometry]:
    nut, top = parts.scenario.master_jaw.t_nut, nut_top(parts.scenario)
    for axis in _axes(parts, travel):
        far = float(np.hypot(axis + 0.5 * nut.length, 0.5 * nut.width))
        yield shapely.box(axis - 0.5 * nut.length, top - nut.neck_height - nut.height, far, top)
