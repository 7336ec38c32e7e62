"""One operation: where it grips, with what force at which speed, what the cuts need, how the contact carries."""

from __future__ import annotations

import math

import numpy as np

from meshes.mass import mass_properties
from sim import cutting, distortion, hold, spin, tables
from sim.assessment import CutDemand, GripFigures, OperationFigures, SpeedCurve
from sim.contact import (
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    Lobe,
    TurnedPart,
    band_means,
    press,
)
from sim.cutting import CutForces
from sim.grip import ChuckDrive, GripCurve, Wedge, drawbar_pull, grip_at_rest
from sim.loading import band
from sim.parts import HeldZone, Parts, held_zone, inner_end_radius, master_inner_radius
from sim.scenario import Chuck, Cut, Operation

STEEL_DENSITY = 7.85e-6  # kg/mm3, of master jaws, T-nuts and screws (handbook value of steel)
# Rake to which handbook values of kc1.1 hold, by the leading letter of ISO 513: P, M 6 deg, K 2 deg, N and S 0.
_LAST_STEEL, _LAST_IRON = 14, 20  # last VDI 3323 groups of steel and of cast iron
CURVE_POINTS = 61
SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore


def drive(chuck: Chuck) -> ChuckDrive:
    """Return what turns pressure into grip, from the chuck's table."""
    wedge = Wedge(chuck.wedge_angle, chuck.wedge_depth, chuck.guideway_length, chuck.guideway_friction)
    if chuck.piston_area is not None:
        per_pressure = drawbar_pull(1.0, chuck.piston_area, chuck.efficiency)
    elif chuck.largest_pull is not None:
        per_pressure = chuck.largest_pull / chuck.pressure_limit
    else:
        raise ValueError("a chuck states its piston area or its largest pull")
    points = tuple((p.pressure, p.grip) for p in chuck.grip_points)
    curve = GripCurve(points, chuck.grip_points_height + chuck.guideway_depth) if points else None
    return ChuckDrive(wedge, per_pressure, curve)


def turning_masses(parts: Parts, travel: float) -> tuple[spin.TurningMass, ...]:
    """Return mass and centroid radius of everything that pulls one jaw outward, from the meshes as bored."""
    scenario = parts.scenario
    inner, master = inner_end_radius(scenario, travel), master_inner_radius(scenario, travel)
    top = mass_properties(parts.bored, parts.jaw_material.density)
    base = mass_properties(parts.master, STEEL_DENSITY)
    nut = mass_properties(parts.nut, STEEL_DENSITY)
    screw = mass_properties(parts.screw, STEEL_DENSITY)
    masses = [
        spin.TurningMass(top.mass, inner + float(top.centroid[0])),
        spin.TurningMass(base.mass, master + float(base.centroid[0])),
    ]
    for position in scenario.soft_jaw.screws.positions:
        masses.append(spin.TurningMass(nut.mass, inner + position))
        masses.append(spin.TurningMass(screw.mass, inner + position))
    return tuple(masses)


def cut_forces(cut: Cut, material: str, spindle_speed: float) -> CutForces:
    """Return the forces of a cut: as measured, or by Kienzle with the less favourable printing."""
    if cut.forces is not None:
        stated = cut.forces
        return CutForces(
            stated.tangential,
            stated.feed,
            stated.passive,
            cut.diameter,
            cut.height,
            cut.feed_towards,
            cut.kind,
        )
    group = tables.material(material).kienzle
    number = int(group)
    reference = 6.0 if number <= _LAST_STEEL else 2.0 if number <= _LAST_IRON else 0.0
    speed = cutting.cutting_speed(cut.diameter, spindle_speed)
    factor = cutting.correction(cut.rake_angle, cut.wear_factor, speed, cut.kind, math.radians(reference))
    if cut.kind == "drilling":
        kc11, mc = tables.kienzle(group).unfavourable(0.5 * cut.feed)
        return cutting.drilling_forces(cut.feed, cut.diameter, kc11, mc, cut.height, factor)
    thickness, _ = cutting.chip_section(cut.feed, cut.depth_of_cut, cut.approach_angle)
    kc11, mc = tables.kienzle(group).unfavourable(thickness)
    return cutting.turning_forces(
        cut.feed,
        cut.depth_of_cut,
        cut.approach_angle,
        kc11,
        mc,
        cut.diameter,
        cut.height,
        cut.feed_towards,
        cut.kind,
        factor,
    )


def cut_speed(cut: Cut, operation: Operation) -> float:
    """Return the spindle speed of a cut, within the operation's speeds; 0 where only the tool turns."""
    if cut.rotating_tool:
        return 0.0
    grip = operation.gripping
    wanted = cut.speed or cutting.spindle_speed(cut.diameter, cut.cutting_speed or 180.0)
    return min(max(wanted, grip.speed_low), grip.speed_high)


def demand(cut: Cut, operation: Operation, zone: HeldZone, mu: float) -> CutDemand:
    """Return the grip that one cut needs, without safety."""
    speed = cut_speed(cut, operation)
    forces = cut_forces(cut, operation.workpiece.material, speed)
    load = cutting.part_load(forces)
    along = cut.feed_towards in ("chuck", "tailstock")
    axial, radial = (forces.feed, forces.passive) if along else (forces.passive, forces.feed)
    grip_diameter = 0.5 * (
        operation.workpiece.gripped_diameter_low + operation.workpiece.gripped_diameter_high
    )
    needed = hold.needed_grip(
        forces.tangential,
        axial,
        radial,
        cut.diameter,
        grip_diameter,
        mu,
        abs(zone.seat + cut.height - zone.middle),
        zone.length,
        feed_on_back_face=load.away_from_chuck == 0.0,
    )
    return CutDemand(cut.name, speed, forces, load.radial, needed.total, needed.superposed, needed.governing)


def grip_part(parts: Parts, index: int) -> OperationFigures:
    """Return all figures of one operation.

    Raises
    ------
    ScenarioError
        If the part has no gripped surface in its pocket.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    scenario = parts.scenario
    operation = scenario.operations[index]
    zone = held_zone(scenario, index)
    travel = band(scenario, index)
    middle = 0.5 * (travel.first + travel.last)
    grip_travel = min(max(middle, 0.0), scenario.chuck.stroke)
    mu = operation.gripping.friction or tables.friction(operation.gripping.pairing).low
    demands = tuple(demand(cut, operation, zone, mu) for cut in operation.cuts)
    grip = _grip(parts, operation, zone, grip_travel, mu, demands)
    worst_side = max(d.side_force for d in demands)
    contact = press(_setup(parts, index, zone, grip_travel, grip.low_speed_total, 0.0))
    loaded = _loaded(parts, index, zone, grip_travel, grip.high_speed_total, worst_side)
    part = tables.material(operation.workpiece.material)
    softer = min(part.yield_strength, parts.jaw_material.yield_strength)
    roundness, basis = _roundness(parts, index, zone, grip.low_speed_total / 3.0)
    return OperationFigures(
        index=index,
        operation=operation,
        zone=zone,
        travel=travel,
        grip_travel=grip_travel,
        grip=grip,
        demands=demands,
        contact=contact,
        contact_at_speed=loaded,
        side_force=worst_side,
        band_peak=float(band_means(contact).max()),
        yield_strength=softer,
        roundness=roundness,
        roundness_basis=basis,
    )


def _grip(
    parts: Parts,
    operation: Operation,
    zone: HeldZone,
    travel: float,
    mu: float,
    demands: tuple[CutDemand, ...],
) -> GripFigures:
    chuck, limits, stated = parts.scenario.chuck, parts.scenario.limits, operation.gripping
    rest = grip_at_rest(stated.pressure, zone.middle + chuck.guideway_depth, drive(chuck))
    moment = spin.centrifugal_moment(turning_masses(parts, travel))
    needed = max(d.needed for d in demands)

    def at(speed: float) -> float:
        pull = 3.0 * spin.centrifugal_force(moment, speed)
        return spin.grip_at_speed(rest.total, pull, stated.direction, stated.grip_loss_share)

    def counted(speed: float) -> float:
        return min(rest.total, at(speed))  # the gain of inside gripping is not counted

    permissible = spin.permissible_speed(
        rest.total,
        needed,
        3.0 * moment,
        chuck.marked_speed,
        stated.direction,
        limits.holding_factor,
        limits.grip_factor,
    )
    speeds = np.linspace(0.0, 1.05 * max(chuck.marked_speed, stated.speed_high), CURVE_POINTS)
    return GripFigures(
        rest_total=rest.total,
        rest_per_jaw=rest.per_jaw,
        guide_moment=rest.guide_moment,
        low_speed_total=at(stated.speed_low),
        high_speed_total=at(stated.speed_high),
        per_jaw_at_speed=at(stated.speed_high) / 3.0,
        basis=rest.basis,
        height=zone.middle,
        needed_total=needed,
        friction=mu,
        centrifugal_moment=moment,
        centrifugal_per_jaw=spin.centrifugal_force(moment, stated.speed_high),
        permissible=permissible,
        curve=SpeedCurve(
            speeds, np.array([counted(float(n)) for n in speeds]), np.full(CURVE_POINTS, needed)
        ),
    )


def grip_in_cut(figures: OperationFigures, cut: CutDemand) -> float:
    """Return the total grip left at the speed of a cut, N; the gain of inside gripping is not counted."""
    grip, stated = figures.grip, figures.operation.gripping
    pull = 3.0 * spin.centrifugal_force(grip.centrifugal_moment, cut.speed)
    if stated.direction == "inside":
        return grip.rest_total
    return max(0.0, spin.grip_at_speed(grip.rest_total, pull, stated.direction, stated.grip_loss_share))


def _setup(
    parts: Parts, index: int, zone: HeldZone, travel: float, closing: float, side: float
) -> ContactSetup:
    scenario = parts.scenario
    operation = scenario.operations[index]
    pocket, jaw, work = scenario.pocket_of(operation), scenario.soft_jaw, operation.workpiece
    inner = inner_end_radius(scenario, travel)
    outside = parts.direction == "outside"
    part = tables.material(work.material)
    lobes = (Lobe(2, 0.5 * work.out_of_round),) if work.out_of_round > 0.0 else ()
    return ContactSetup(
        grip=GripGeometry(
            bore_radius_mm=0.5 * pocket.diameter,
            part_radius_mm=0.25 * (work.gripped_diameter_low + work.gripped_diameter_high),
            width_mm=jaw.width,
            z_low_mm=zone.low,
            z_high_mm=zone.high,
            edge_chamfer_mm=jaw.edge_chamfer,
            inside=not outside,
            lobes=lobes,
        ),
        part=TurnedPart(np.array([(r, z + zone.seat) for r, z in work.outline]), part.modulus, part.poisson),
        jaw=JawBlock(
            back_radius_mm=inner + jaw.length if outside else inner,
            height_mm=jaw.height,
            modulus_mpa=parts.jaw_material.modulus,
            poisson=parts.jaw_material.poisson,
        ),
        load=GripLoad(closing_force_n=closing, side_load_n=(-side, 0.0)),
        guide=JawGuide(
            scenario.chuck.radial_stiffness,
            scenario.chuck.tilt_stiffness,
            -scenario.chuck.guideway_depth,
        ),
        hold_square=True,
    )


def _loaded(
    parts: Parts, index: int, zone: HeldZone, travel: float, closing: float, side: float
) -> ContactResult | None:
    """Return the contact under the worst side force, pushing the part off jaw 1; None if it is not held."""
    if closing <= 0.0:
        return None
    try:
        return press(_setup(parts, index, zone, travel, closing, side))
    except ContactNotConverged:
        return None


def _roundness(parts: Parts, index: int, zone: HeldZone, per_jaw: float) -> tuple[float, str]:
    """Return the three-lobe out-of-roundness (um) after release, of the wall at the gripped height."""
    scenario = parts.scenario
    work = scenario.operations[index].workpiece
    material = tables.material(work.material)
    gripped = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    outline = TurnedPart(np.array(work.outline), material.modulus, material.poisson)
    radii = outline.crossings(zone.middle - zone.seat)
    if parts.direction == "outside":
        inner, outer = max((r for r in radii if r < gripped - 1.0), default=0.0), gripped
    else:
        inner, outer = gripped, min((r for r in radii if r > gripped + 1.0), default=2.0 * gripped)
    half_angle = math.asin(
        min(0.99, (0.5 * scenario.soft_jaw.width - scenario.soft_jaw.edge_chamfer) / gripped)
    )
    shape = distortion.annulus(
        per_jaw,
        max(inner, SOLID_BORE * outer),
        outer,
        zone.length,
        material.modulus,
        material.poisson,
        direction=parts.direction,
        half_angle=half_angle,
    )
    bore_is_turned = parts.direction == "outside" and inner > 0.0
    value = shape.bore_roundness if bore_is_turned else shape.outside_roundness
    return (
        value,
        "annulus series (Michell; Barber, Elasticity) on the wall at grip height over the held length",
    )
