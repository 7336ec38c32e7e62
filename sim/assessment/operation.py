"""One operation: where it grips, with what force at which speed, what the cuts need, how the contact carries."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from meshes.mass import mass_properties
from sim.assessment.bodies import ContactModel
from sim.assessment.clamping import Clamping, clamp
from sim.assessment.holding import hold_cuts
from sim.assessment.results import CutDemand, GripFigures, OperationFigures, SpeedCurve
from sim.assessment.side import worst_side_load
from sim.base import tables
from sim.base.floats import Number
from sim.contact import Prepared
from sim.mechanics import cutting, hold, spin
from sim.mechanics.cutting import CutForces, FeedTowards, Kind
from sim.mechanics.grip import ChuckDrive, GripCurve, Wedge, drawbar_pull, grip_at_rest
from sim.mechanics.stroke import TravelBand
from sim.scenario import Chuck, Cut, Operation, Scenario
from sim.setup.land import stands
from sim.setup.loading import band, require_cuts_on_part
from sim.setup.parts import HeldZone, Parts, fixture_height, held_zone, inner_end_radius, master_inner_radius
from sim.setup.seat import seat

# Handbook values of kc1.1 hold at a rake of 6 deg for steel, 2 deg for cast iron, 0 deg for the rest.
_LAST_STEEL, _LAST_IRON = 14, 20  # last VDI 3323 groups of steel and of cast iron
CURVE_POINTS = 61
DEFAULT_CUTTING_SPEED = 180.0  # m/min, of a cut that states no speed


def drive(chuck: Chuck) -> ChuckDrive:
    """Return what turns pressure into grip, from the chuck's table."""
    return drive_with(chuck, lambda name: getattr(chuck, name))


def drive_with(chuck: Chuck, value: Callable[[str], Number]) -> ChuckDrive[Number]:
    """Return what turns pressure into grip; `value` gives the friction, efficiency, piston area, pull and its pressure.

    They are asked by their names in the chuck's table, so that a batch can vary them.
    """
    friction = value("guideway_friction")
    wedge = Wedge(chuck.wedge_angle, chuck.wedge_depth, chuck.guideway_length, friction)
    if chuck.piston_area is not None:
        per_pressure = drawbar_pull(1.0, value("piston_area"), value("efficiency"))
    elif chuck.largest_pull is not None:
        per_pressure = value("largest_pull") / value("pressure_limit")
    else:
        raise ValueError("a chuck states its piston area or its largest pull")
    points = tuple((p.pressure, p.grip) for p in chuck.grip_points)
    curve = GripCurve(points, chuck.grip_points_height + chuck.guideway_depth) if points else None
    return ChuckDrive(wedge, per_pressure, curve)


def turning_masses(parts: Parts, travel: float) -> tuple[spin.TurningMass, ...]:
    """Return mass and centroid radius of everything that pulls one jaw outward, from the meshes as bored.

    What the three jaws weigh beyond the bored blank counts with a third of its sum, where the soft jaw has its centre
    of mass; how far each differs from that is `uncommon_masses`.
    """
    scenario = parts.scenario
    inner, master = inner_end_radius(scenario, travel), master_inner_radius(scenario, travel)
    top = mass_properties(parts.bored, parts.jaw_material.density)
    base = mass_properties(parts.master, tables.STEEL_DENSITY)
    nut = mass_properties(parts.nut, tables.STEEL_DENSITY)
    screw = mass_properties(parts.screw, tables.STEEL_DENSITY)
    masses = [
        spin.TurningMass(top.mass, inner + float(top.centroid[0])),
        spin.TurningMass(base.mass, master + float(base.centroid[0])),
    ]
    positions = scenario.soft_jaw.screws.positions
    if len(positions) < 2:
        # The lightness of a jaw that lacks a screw is no merit: it counts as far out as one can stand.
        positions = (*positions, seat(scenario).outer - 0.5 * scenario.master_jaw.t_nut.length)
    for position in positions:
        masses.append(spin.TurningMass(nut.mass, inner + position))
        masses.append(spin.TurningMass(screw.mass, inner + position))
    masses.append(spin.TurningMass(_common_mass(scenario), masses[0].radius))
    return tuple(masses)


def _common_mass(scenario: Scenario) -> float:
    return math.fsum(scenario.soft_jaw.mass_differences) / 3.0


def uncommon_masses(scenario: Scenario) -> tuple[float, float, float]:
    """Return what each soft jaw weighs beyond the mean of the three, kg."""
    first, second, third = (m - _common_mass(scenario) for m in scenario.soft_jaw.mass_differences)
    return (first, second, third)


def reference_rake(material: str) -> float:
    """Return the rake (rad) at which the handbook's kc1.1 of a material holds."""
    number = int(tables.material(material).kienzle)
    return math.radians(6.0 if number <= _LAST_STEEL else 2.0 if number <= _LAST_IRON else 0.0)


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
            cut.off_axis or 0.0,
        )
    if cut.kind == "drilling":
        # A rotating tool has its own cutting speed, whatever the spindle does.
        own = cut.cutting_speed if cut.rotating_tool else None
        return drill_forces(
            material,
            own or cutting.cutting_speed(cut.diameter, spindle_speed),
            feed=cut.feed,
            rake_angle=cut.rake_angle,
            wear_factor=cut.wear_factor,
            diameter=cut.diameter,
            height=cut.height,
            feed_towards=cut.feed_towards,
            off_axis=cut.off_axis or 0.0,
        )
    return kienzle_forces(
        material,
        spindle_speed,
        feed=cut.feed,
        depth_of_cut=cut.depth_of_cut,
        approach_angle=cut.approach_angle,
        rake_angle=cut.rake_angle,
        wear_factor=cut.wear_factor,
        diameter=cut.diameter,
        height=cut.height,
        feed_towards=cut.feed_towards,
        kind=cut.kind,
    )


def drill_forces(
    material: str,
    cutting_speed: float,
    *,
    feed: float,
    rake_angle: float,
    wear_factor: float,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    off_axis: float = 0.0,
) -> CutForces:
    """Return the forces of a drill at a cutting speed (m/min) by Kienzle with the less favourable printing."""
    kc11, mc = tables.kienzle(tables.material(material).kienzle).unfavourable(0.5 * feed)
    factor = cutting.correction(rake_angle, wear_factor, cutting_speed, "drilling", reference_rake(material))
    return cutting.drilling_forces(
        feed, diameter, kc11, mc, height, factor, feed_towards=feed_towards, off_axis=off_axis
    )


def kienzle_forces(
    material: str,
    spindle_speed: float,
    *,
    feed: float,
    depth_of_cut: float,
    approach_angle: float,
    rake_angle: float,
    wear_factor: float,
    diameter: float,
    height: float,
    feed_towards: FeedTowards,
    kind: Kind,
) -> CutForces:
    """Return the forces of turning, facing or boring by Kienzle with the less favourable printing; as for a `Cut`."""
    speed = cutting.cutting_speed(diameter, spindle_speed)
    factor = cutting.correction(rake_angle, wear_factor, speed, kind, reference_rake(material))
    thickness, _ = cutting.chip_section(feed, depth_of_cut, approach_angle)
    kc11, mc = tables.kienzle(tables.material(material).kienzle).unfavourable(thickness)
    return cutting.turning_forces(
        feed, depth_of_cut, approach_angle, kc11, mc, diameter, height, feed_towards, kind, factor
    )


def cut_speed(cut: Cut, operation: Operation) -> float:
    """Return the spindle speed of a cut, within the operation's speeds; 0 where only the tool turns."""
    grip = operation.gripping
    wanted = asked_speed(cut)
    return min(max(wanted, grip.speed_low), grip.speed_high) if wanted > 0.0 else 0.0


def asked_speed(cut: Cut) -> float:
    """Return the spindle speed that a cut states or its cutting speed asks for; 0 where only the tool turns."""
    if cut.rotating_tool:
        return 0.0
    return cut.speed or cutting.spindle_speed(cut.diameter, cut.cutting_speed or DEFAULT_CUTTING_SPEED)


def demand(cut: Cut, operation: Operation, zone: HeldZone, mu: float) -> CutDemand:
    """Return the grip that one cut needs, without safety."""
    speed = cut_speed(cut, operation)
    # A cut runs no slower than speed_low lets it, but that may not make its forces smaller.
    forces = cut_forces(cut, operation.workpiece.material, min(speed, asked_speed(cut)))
    return demand_of(forces, cut.name, speed, operation, zone, mu)


def demand_of(
    forces: CutForces, name: str, speed: float, operation: Operation, zone: HeldZone, mu: float
) -> CutDemand:
    """Return the grip that forces at a spindle speed (rev/min) need, without safety."""
    load = cutting.part_load(forces)
    along = forces.feed_towards in ("chuck", "tailstock")
    axial, radial = (forces.feed, forces.passive) if along else (forces.passive, forces.feed)
    grip_diameter = 0.5 * (
        operation.workpiece.gripped_diameter_low + operation.workpiece.gripped_diameter_high
    )
    needed = hold.needed_grip(
        forces.tangential,
        axial,
        radial,
        forces.diameter,
        grip_diameter,
        mu,
        abs(zone.seat + forces.height - zone.middle),
        zone.length,
        feed_on_back_face=zone.stands and load.away_from_chuck == 0.0,
        drill_off_axis=forces.off_axis if forces.kind == "drilling" else None,
    )
    return CutDemand(name, speed, forces, load.radial, needed.total, needed.governing)


@dataclass(frozen=True, slots=True, eq=False)
class Gripped:
    """Where and with what force an operation grips, and what its cuts ask of it: all but the contact."""

    zone: HeldZone
    travel: TravelBand
    grip_travel: float
    demands: tuple[CutDemand, ...]
    grip: GripFigures


def gripped(parts: Parts, index: int, *, on_land: bool | None = None) -> Gripped:
    """Return what is known of an operation before its contact is solved.

    `on_land` says whether the part stands on the jaws, where that is known: pressure and speed do not change it.

    Raises
    ------
    ScenarioError
        If the part has no gripped surface in its pocket, or a cut does not lie on the part.
    """
    scenario = parts.scenario
    operation = scenario.operations[index]
    on_land = stands(parts, index) if on_land is None else on_land
    zone = replace(held_zone(scenario, index), stands=on_land)
    require_cuts_on_part(scenario, index)
    travel = band(scenario, index)
    middle = 0.5 * (travel.first + travel.last)
    grip_travel = min(max(middle, 0.0), scenario.chuck.stroke)
    mu = operation.gripping.friction or tables.friction(operation.gripping.pairing).low
    demands = tuple(demand(cut, operation, zone, mu) for cut in operation.cuts)
    moment = spin.centrifugal_moment(turning_masses(parts, grip_travel))
    grip = _grip(parts, operation, zone, moment, mu, max(d.needed for d in demands))
    return Gripped(zone, travel, grip_travel, demands, grip)


def grip_part(
    parts: Parts,
    index: int,
    contact_model: ContactModel = "elastic",
    ready: Prepared | None = None,
) -> OperationFigures:
    """Return all figures of one operation; `ready` are its bodies from `prepared_contact`, if they are at hand.

    Raises
    ------
    ScenarioError
        If the part has no gripped surface in its pocket, or a cut does not lie on the part.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    operation = parts.scenario.operations[index]
    known = gripped(parts, index)
    zone, grip, demands = known.zone, known.grip, known.demands
    side = worst_side_load(parts, index, zone, (d.forces for d in demands))
    forces = Clamping(
        rest=grip.rest_total,
        fast=grip.largest_total if parts.direction == "inside" else grip.high_speed_total,
        counted=grip.counted_total,
        side=side,
        outward=grip.centrifugal_per_jaw,
        differences=_mass_pulls(parts, known.grip_travel, operation.gripping.speed_high),
        boring=boring_grip(parts, zone.middle),
    )
    clamping = clamp(parts, index, zone, forces, contact_model, ready)
    cuts = tuple((d, _left(grip, operation, d.speed)) for d in demands)
    holdings = hold_cuts(parts, index, zone, clamping.rest, grip.friction, cuts)
    needed = max(h.needed for h in holdings)
    if needed > grip.needed_total:  # everything at once asks for more than the closed forms say
        grip = _grip(parts, operation, zone, grip.centrifugal_moment, grip.friction, needed)
    part = tables.material(operation.workpiece.material)
    softer = min(part.yield_strength, parts.jaw_material.yield_strength)
    return OperationFigures(
        index=index,
        operation=operation,
        zone=zone,
        travel=known.travel,
        grip_travel=known.grip_travel,
        grip=grip,
        demands=demands,
        holdings=holdings,
        yield_strength=softer,
        clamping=clamping,
    )


def regripped(parts: Parts, figures: OperationFigures, needed: float) -> OperationFigures:
    """Return an operation's figures with the grip at the pressure and speeds that its scenario states now.

    `needed` (N, without safety) is what the cuts need there. Contact, demands and holding are still those of the
    figures given.
    """
    operation = parts.scenario.operations[figures.index]
    grip = _grip(
        parts, operation, figures.zone, figures.grip.centrifugal_moment, figures.grip.friction, needed
    )
    return replace(figures, operation=operation, grip=grip)


def _mass_pulls(parts: Parts, travel: float, speed: float) -> tuple[float, float, float]:
    """Return what each jaw pulls outward beyond the mean of the three, N, by the masses that they differ by."""
    top = mass_properties(parts.bored, parts.jaw_material.density)
    radius = inner_end_radius(parts.scenario, travel) + float(top.centroid[0])
    first, second, third = (
        spin.centrifugal_force(m * radius, speed) for m in uncommon_masses(parts.scenario)
    )
    return (first, second, third)


def boring_grip(parts: Parts, height: float) -> float:
    """Return the force per jaw while boring, N, as one at `height` mm would tilt the jaw alike; 0 without a fixture.

    The fixture carries the boring force at its own height, so the moments about the guideway's middle are compared.
    """
    scenario = parts.scenario
    chuck = scenario.chuck
    if scenario.boring.fixture.kind == "none":
        return 0.0
    lever = fixture_height(scenario) + chuck.guideway_depth
    force = grip_at_rest(scenario.boring.pressure, lever, drive(chuck)).total / 3.0
    return force * lever / (height + chuck.guideway_depth)


def _grip(
    parts: Parts, operation: Operation, zone: HeldZone, moment: float, mu: float, needed: float
) -> GripFigures:
    """Return the grip for a centrifugal moment of one jaw (kg mm) and what the cuts need (N, without safety)."""
    chuck, limits, stated = parts.scenario.chuck, parts.scenario.limits, operation.gripping
    rest = grip_at_rest(stated.pressure, zone.middle + chuck.guideway_depth, drive(chuck))

    def pull(speed: float) -> float:
        return 3.0 * spin.centrifugal_force(moment, speed)

    def counted(speed: float) -> float:
        return spin.grip_left(rest.total, pull(speed), stated.direction, stated.grip_loss_share)

    turning = spin.turning_grip(
        rest.total, pull(stated.speed_low), pull(stated.speed_high), stated.direction, stated.grip_loss_share
    )
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
        largest_total=turning.largest,
        largest_per_jaw=turning.largest / 3.0,
        counted_total=turning.counted,
        guide_moment=turning.largest / 3.0 * (zone.middle + chuck.guideway_depth),
        low_speed_total=turning.low_speed,
        high_speed_total=turning.high_speed,
        per_jaw_at_speed=turning.high_speed / 3.0,
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


def grip_left(figures: OperationFigures, speed: float) -> float:
    """Return the total grip left at a spindle speed (rev/min), N; the gain of inside gripping is not counted."""
    return _left(figures.grip, figures.operation, speed)


def _left(grip: GripFigures, operation: Operation, speed: float) -> float:
    stated = operation.gripping
    pull = 3.0 * spin.centrifugal_force(grip.centrifugal_moment, speed)
    return spin.grip_left(grip.rest_total, pull, stated.direction, stated.grip_loss_share)
