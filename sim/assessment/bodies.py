"""A scenario's jaws and part as the contact model wants them: face, bodies, springs, surfaces to report."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from sim.assessment.part_wall import PartWall
from sim.base.gripping import Direction
from sim.base.rounding import SAME
from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    Hole,
    JawBlock,
    JawGuide,
    Lobe,
    PointPlan,
    SeatArea,
    SectorPlan,
    TurnedPart,
)
from sim.scenario import Pocket, Scenario, SoftJaw
from sim.setup.held import GRIPPED_WITHIN, HeldZone
from sim.setup.jaw_place import JawPlace, stands_free
from sim.setup.parts import Parts
from sim.setup.rebore import pre_bored

ContactModel = Literal["foundation", "elastic"]
# Strips and bands of a face. A column is open or closed as a whole, which the jaws' taper wavers by: by 4 % where 20
# strips divide a sector jaw, by 0.6 % with 32.
GRID = {"foundation": (32, 6), "elastic": (48, 6)}
WALL = 1.0  # mm, a wall thinner than this beside the gripped surface is taken for the surface itself
FREE_FACE = "free face"

Surfaces = tuple[tuple[str, tuple[float, float]], ...]  # name and a point (r, z) of each, chuck frame, mm


def contact_setup(parts: Parts, index: int, zone: HeldZone, model: ContactModel) -> ContactSetup:
    """Return the contact of an operation closed by 1 N; whoever presses it puts the load in its place."""
    scenario = parts.scenario
    operation = scenario.operations[index]
    pocket, jaw, work = scenario.pocket_of(operation), scenario.soft_jaw, operation.workpiece
    outside = parts.direction == "outside"
    bored, inner = 0.5 * pocket.diameter, parts.place.bored
    half, full = parts.place.face_half_chord(bored), 0.5 * jaw.width - jaw.edge_chamfer
    width, back = jaw.width, None
    if parts.place.narrowed:
        # A face that ends on flanks is as wide as its chord there; one on the inner end has no chamfer.
        on_end = _on_inner_end(parts.place, bored, half)
        width = 2.0 * (half if on_end else half + jaw.edge_chamfer)
    elif half < full:
        back = inner - math.sqrt(bored**2 - half**2)
    part, across = scenario.metal(work.material), scenario.chuck.tangential_stiffness
    return ContactSetup(
        grip=GripGeometry(
            bore_radius_mm=bored,
            part_radius_mm=0.25 * (work.gripped_diameter_low + work.gripped_diameter_high),
            width_mm=width,
            z_low_mm=zone.low,
            z_high_mm=zone.high,
            edge_chamfer_mm=0.5 * width - half,
            edge_back_mm=back,
            inside=not outside,
            lobes=lobes_of(0.5 * work.out_of_round),
            jaw_offsets_mm=jaw_offsets(parts),
        ),
        part=TurnedPart(np.array([(r, z + zone.seat) for r, z in work.outline]), part.modulus, part.poisson),
        jaw=jaw_block(parts, index, zone),
        load=GripLoad(1.0),
        guide=JawGuide(
            scenario.chuck.radial_stiffness,
            scenario.chuck.tilt_stiffness,
            -scenario.chuck.guideway_depth,
            math.inf if across is None else across,
        ),
        hold_square=zone.stands,
        strips=GRID[model][0],
        bands=GRID[model][1],
        model=model,
    )


def lobes_of(amplitude: float) -> tuple[Lobe, ...]:
    """Return the lobes of a part that is out of round by an amplitude (mm), which is half of peak to valley."""
    return (Lobe(2, amplitude),) if amplitude > 0.0 else ()


def _on_inner_end(place: JawPlace, radius: float, half: float) -> bool:
    """Tell whether the arc of a bored face ends on the flat inner end of its jaw, so that no chamfer narrows it; mm."""
    return math.sqrt(radius**2 - half**2) <= place.bored * (1.0 + SAME)


def off_first_jaw(direction: Direction, force: float) -> tuple[float, float]:
    """Return a force (N) across the spindle, x and y, that takes the part off jaw 1, which stands on x."""
    return (-force if direction == "outside" else force, 0.0)


def jaw_offsets(parts: Parts) -> tuple[float, float, float]:
    """Return how far each jaw stands too far from the part, mm, by the serrations it is off."""
    away = parts.scenario.chuck.serration_pitch * (1.0 if parts.direction == "outside" else -1.0)
    first, second, third = parts.scenario.soft_jaw.serrations_off
    return (away * first, away * second, away * third)


def jaw_block(parts: Parts, index: int, zone: HeldZone) -> JawBlock:
    """Return the jaw as it stood when it was bored, with the ledge under its pocket and a pocket in front of it.

    Relief grooves are left out.
    """
    scenario = parts.scenario
    jaw, own = scenario.soft_jaw, scenario.pocket_of(scenario.operations[index])
    inner, outside = parts.place.bored, parts.place.outside
    outer = inner + jaw.length
    shallower = [p for p in scenario.pockets if p.depth < own.depth]
    front = max(shallower, key=lambda p: p.depth) if shallower else None
    return JawBlock(
        back_radius_mm=outer if outside else inner,
        height_mm=jaw.height,
        modulus_mpa=parts.jaw_material.modulus,
        poisson=parts.jaw_material.poisson,
        ledge_z_mm=zone.seat,
        ledge_radius_mm=_ledge_end(scenario, parts.place, own, inner if outside else outer),
        front_z_mm=None if front is None else jaw.height - front.depth,
        front_radius_mm=None if front is None else 0.5 * front.diameter,
        holes=_screw_holes(jaw, inner),
        sector=_sector_plan(parts, inner),
        point=_point_plan(parts.place),
        seat=_seat_area(parts),
    )


def _sector_plan(parts: Parts, inner: float) -> SectorPlan | None:
    """Return a sector jaw's plan, its inner end at the radius `inner`, mm; None for a block."""
    place = parts.place
    if place.round_end is None:
        return None
    return SectorPlan(inner + place.length - place.round_end, place.flank, place.round_end, inner)


def _point_plan(place: JawPlace) -> PointPlan | None:
    """Return a pointed jaw's plan while it is bored; None for any other, whose sides are parallel or a sector's."""
    if place.round_end is not None or not place.narrowed:
        return None
    return PointPlan(place.bored, place.tip, place.side, place.flank)


def _seat_area(parts: Parts) -> SeatArea | None:
    """Return what holds a jaw that is pointed or stands free beside its master jaw; None: all of its foot."""
    place, master = parts.place, parts.scenario.master_jaw
    if not (stands_free(parts.scenario) or _point_plan(place)):
        return None
    low = place.master_inner(place.boring_travel)
    return SeatArea(0.5 * master.width, low, low + master.length)


def _ledge_end(scenario: Scenario, place: JawPlace, own: Pocket, end: float) -> float:
    """Return where the ledge under a pocket ends, mm: its free edge, away from the pocket's wall.

    That is the jaw's `end`, mm, unless more is turned away.
    """
    ledge = end
    deeper = [p for p in scenario.pockets if p.depth > own.depth]
    if deeper:
        following = min(deeper, key=lambda p: p.depth)
        ledge = (
            max(ledge, 0.5 * following.diameter) if place.outside else min(ledge, 0.5 * following.diameter)
        )
    if place.outside:
        ledge = max(ledge, 0.5 * (scenario.boring.through_diameter or 0.0), pre_bored(scenario, place))
    return ledge


def _screw_holes(jaw: SoftJaw, inner: float) -> tuple[Hole, ...]:
    """Return counterbores and through holes of the jaw screws, the blank's inner end at the radius `inner`, mm."""
    seat = jaw.height - jaw.screws.counterbore_depth
    holes = []
    for position in jaw.screws.positions:
        holes.append(Hole(inner + position, jaw.screws.counterbore_diameter, seat, jaw.height))
        holes.append(Hole(inner + position, jaw.screws.hole_diameter, 0.0, seat))
    return tuple(holes)


def reported_surfaces(wall: PartWall, outline: tuple[tuple[float, float], ...], zone: HeldZone) -> Surfaces:
    """Return the surfaces whose shape is asked for, by name, with a point (r, z) of each, chuck frame.

    The first is the one whose roundness is judged: the bore of a hollow part gripped outside, else the outside. The
    free face is given by three points. The outline is the part's own, (r, z) in mm.
    """
    corners = np.array(outline)
    # The outline is drawn at one size, the gripped diameter may lie a little off it.
    radii = TurnedPart(corners, 1.0, 0.3).crossings(zone.middle - zone.seat)
    inner, outer = (_nearest(radii, radius) for radius in (wall.inner, wall.outer))
    named = [("outside at the gripped height", (outer, zone.middle))]
    if inner > 0.0:
        named.append(("bore at the gripped height", (inner, zone.middle)))
        if wall.direction == "outside":
            named.reverse()
    top = float(corners[:, 1].max())
    edge = np.sort(corners[np.abs(corners[:, 1] - top) < 1e-9, 0])
    if edge.size >= 2 and edge[-1] - edge[0] > WALL:
        for share in (0.0, 0.5, 1.0):
            radius = float(edge[0] + share * (edge[-1] - edge[0]))
            named.append((FREE_FACE, (radius, zone.seat + top)))
    return tuple(named)


def _nearest(radii: list[float], radius: float) -> float:
    """Return the one of an outline's radii (mm) that a size within the tolerance stands for; itself if none is near."""
    nearest = min(radii, key=lambda r: abs(r - radius), default=radius)
    return nearest if abs(nearest - radius) <= GRIPPED_WITHIN else radius
