"""One operation: where it grips, with what force at which speed, what the cuts need, how the contact carries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.bend import gives_under_cuts, whips_at
from sim.assessment.bodies import ContactModel
from sim.assessment.clamping import Clamping, clamp
from sim.assessment.demand import demand, friction_of
from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.grip import GripFigures, SpeedCurve
from sim.assessment.figures.machining import AskedByMoves, HeldMove, HeldMoves
from sim.assessment.figures.operation import OperationFigures, asked_of_grip
from sim.assessment.figures.running import RunningFigures
from sim.assessment.figures.supports import HeldAlone
from sim.assessment.holding import back_face, hangs, hold_cuts, hold_weight
from sim.assessment.part_wall import part_wall
from sim.assessment.running import Bored, Springs, friction_share, running_true, springs
from sim.assessment.side import weight_load, worst_side_load
from sim.assessment.supports import bearers, outermost, prop_cases
from sim.assessment.turning_masses import turning_masses, uncommon_masses
from sim.base.tables import Material
from sim.contact import Prepared
from sim.holding import pressed
from sim.mechanics import spin
from sim.mechanics.grip import force_alike, grip_at_rest
from sim.mechanics.stroke import TravelBand, middle_travel
from sim.scenario import Operation, Scenario
from sim.setup.drive import drive
from sim.setup.fixture import fixture_lever
from sim.setup.grip_travel import band
from sim.setup.held import HeldZone, held_zone
from sim.setup.land import overlap, stands
from sim.setup.on_part import require_cuts_on_part
from sim.setup.parts import Parts

CURVE_POINTS = 61


@dataclass(frozen=True, slots=True, eq=False)
class Gripped:
    """Where and with what force an operation grips, and what its cuts ask of it: all but the contact; travels in mm.

    Without the contact it is not known how the pressure lies: the cuts' need is that of the closed forms here.
    `metal` is the part's material, `jaw_radius` is where a soft jaw has its centre of mass when the part is gripped, mm
    from the axis.
    """

    index: int
    operation: Operation
    metal: Material
    zone: HeldZone
    travel: TravelBand
    grip_travel: float
    jaw_radius: float
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
    travel = band(scenario, parts.place, index)
    grip_travel = middle_travel(travel.first, travel.last, scenario.chuck.stroke)
    measured, metal = operation.gripping.friction, scenario.metal(operation.workpiece.material)
    mu = friction_of(scenario, index) if measured is None else measured
    demands = tuple(demand(cut, operation, metal, zone, mu) for cut in operation.cuts)
    soft_jaw, *others = turning_masses(parts, grip_travel)
    moment = spin.centrifugal_moment((soft_jaw, *others))
    grip = _grip(parts, operation, zone, moment, mu, max(d.needed for d in demands))
    return Gripped(index, operation, metal, zone, travel, grip_travel, soft_jaw.radius, demands, grip)


def grip_part(
    parts: Parts,
    index: int,
    contact_model: ContactModel = "elastic",
    ready: Prepared | None = None,
    earlier: Sequence[OperationFigures] = (),
    *,
    known: Gripped | None = None,
    moves: Sequence[AskedByMoves] = (),
) -> OperationFigures:
    """Return all figures of one operation.

    Parameters
    ----------
    parts : Parts
    index : int
        Of the operation.
    contact_model : {'elastic', 'foundation'}
    ready : Prepared, optional
        Its bodies from `prepared_contact`, if they are at hand.
    earlier : sequence of OperationFigures
        Of the operations before it, one of which may have turned what is gripped.
    known : Gripped, optional
        Of this operation, if it is at hand.
    moves : sequence of AskedByMoves
        What its program asks of the grip, for each way in which it may run; may not be left out where it has one.

    Raises
    ------
    ScenarioError
        If the part has no gripped surface in its pocket, or a cut does not lie on the part.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    operation = parts.scenario.operations[index]
    if operation.program is not None and not moves:
        message = f"operations[{index}] has a program: what its moves ask of the grip must be given"
        raise ValueError(message)
    known = gripped(parts, index) if known is None else known
    zone, grip, demands = known.zone, known.grip, known.demands
    weight, speed = weight_load(parts, index, zone), operation.gripping.speed_high
    pushing = [way.pushing.demand for way in moves if way.pushing is not None]
    props = prop_cases(operation, zone.seat)
    first, second, third = spin.mass_pulls(uncommon_masses(parts.scenario), known.jaw_radius, speed)
    forces = Clamping(
        rest=grip.rest_total,
        fast=spin.pressed_at_speed(grip.largest_total, grip.high_speed_total, parts.direction),
        counted=grip.counted_total,
        side=worst_side_load(weight, zone, (d.forces for d in (*demands, *pushing)), outermost(props)),
        outward=grip.centrifugal_per_jaw,
        differences=(first, second, third),
        boring=boring_grip(parts, zone.middle),
    )
    clamping = clamp(parts, index, zone, forces, contact_model, ready)
    cuts = tuple((d, _left(grip, operation, d.speed)) for d in demands)
    back = back_face(parts, index, zone)
    times = parts.scenario.limits.holding_factor
    holdings = hold_cuts(clamping.rest, back, weight, zone, grip.friction, cuts, props, times)
    held = []
    for way in moves:
        asked = tuple((one.demand, one.left) for one in way.worst)
        found = hold_cuts(clamping.rest, back, weight, zone, grip.friction, asked, props, times)
        each = zip(way.worst, found, strict=True)
        held.append(HeldMoves(way, tuple(HeldMove(one.move, one.demand, how) for one, how in each)))
    # What everything at once asks for rules; the closed forms, a guess until then, are told beside it.
    needed = max(asked for _, asked in asked_of_grip(demands, holdings, held))
    grip = needing(parts, known, index, needed)
    alone = None
    if hangs(weight, back) or bearers(operation):
        turn = hold_weight(pressed(clamping.rest), back, weight, grip.counted_total, grip.friction)
        alone = HeldAlone(weight.amount, grip.counted_total, turn)
    return OperationFigures(
        index=index,
        operation=operation,
        zone=zone,
        travel=known.travel,
        grip_travel=known.grip_travel,
        grip=grip,
        demands=demands,
        holdings=holdings,
        yield_strength=part_wall(parts, index, zone).softer,
        clamping=clamping,
        running=_running(parts, index, zone, known.travel, clamping, earlier),
        moves=tuple(held),
        alone=alone,
        gives=gives_under_cuts(parts.scenario, index, zone),
        whips_at=whips_at(parts.scenario, index, zone),
    )


def needing(parts: Parts, known: Gripped, index: int, needed: float) -> GripFigures:
    """Return the grip of an operation where it is known what its cuts need (N, without safety)."""
    grip = known.grip
    operation = parts.scenario.operations[index]
    return _grip(parts, operation, known.zone, grip.centrifugal_moment, grip.friction, needed)


def after(parts: Parts, figures: OperationFigures, earlier: Sequence[OperationFigures]) -> OperationFigures:
    """Return an operation's figures with how true it runs after other figures of the operations before it."""
    found = _running(parts, figures.index, figures.zone, figures.travel, figures.clamping, earlier)
    return replace(figures, running=found)


def bored_with(
    parts: Parts, figures: OperationFigures, pressures: Sequence[float], earlier: Sequence[OperationFigures]
) -> list[RunningFigures]:
    """Return how true an operation runs in jaws that are bored at other pressures (MPa)."""
    of = springs_of(parts, figures.index, figures.zone)
    known = figures.index, figures.zone, figures.travel, figures.clamping, earlier, of
    boring = parts.scenario.boring
    found = []
    for pressure in pressures:
        bored = boring.model_copy(update={"pressure": pressure})
        scenario: Scenario = parts.scenario.model_copy(update={"boring": bored})
        found.append(_running(replace(parts, scenario=scenario), *known))
    return found


def _running(
    parts: Parts,
    index: int,
    zone: HeldZone,
    travel: TravelBand,
    clamping: ClampingFigures,
    earlier: Sequence[OperationFigures],
    of: Springs | None = None,
) -> RunningFigures:
    scenario = parts.scenario
    chuck = scenario.chuck
    made = scenario.operations[index].workpiece.turned_in
    left = next((f.clamping.left_lobes for f in earlier if f.operation.name == made), None)
    lever = zone.middle + chuck.guideway_depth
    bored = Bored(
        _boring_force(parts)[0],
        boring_grip(parts, zone.middle),
        friction_share(drive(chuck).wedge, lever, scenario.running.friction_scatter),
    )
    of = springs_of(parts, index, zone) if of is None else of
    return running_true(scenario, index, zone, travel, clamping, bored, of, left)


def springs_of(parts: Parts, index: int, zone: HeldZone) -> Springs:
    """Return how the jaws of an operation yield, and the least radius at which its part stands on them."""
    seat_radius = overlap(parts, index, parts.scenario.boring.travel).inner if zone.stands else 0.0
    return springs(parts.scenario, parts.place, zone, seat_radius)


def boring_grip(parts: Parts, height: float) -> float:
    """Return the force per jaw while boring, N, as one at `height` mm would tilt the jaw alike; 0 without a fixture.

    The fixture carries the boring force at its own height, so the moments about the guideway's middle are compared.
    """
    force, lever = _boring_force(parts)
    return force_alike(force, lever, height + parts.scenario.chuck.guideway_depth)


def _boring_force(parts: Parts) -> tuple[float, float]:
    """Return the force per jaw while boring (N) and its height above the guideway's middle (mm)."""
    scenario = parts.scenario
    lever = fixture_lever(scenario)
    if scenario.boring.fixture.kind == "none":
        return 0.0, lever
    return grip_at_rest(scenario.boring.pressure, lever, drive(scenario.chuck)).total / 3.0, lever


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
        guide_moment=turning.guide_moment(zone.middle + chuck.guideway_depth),
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


def grip_left(figures: Gripped | OperationFigures, speed: float) -> float:
    """Return the total grip left at a spindle speed (rev/min), N; the gain of inside gripping is not counted."""
    return _left(figures.grip, figures.operation, speed)


def _left(grip: GripFigures, operation: Operation, speed: float) -> float:
    stated = operation.gripping
    pull = 3.0 * spin.centrifugal_force(grip.centrifugal_moment, speed)
    return spin.grip_left(grip.rest_total, pull, stated.direction, stated.grip_loss_share)
