"""The jaws as they are bolted: what their screws press with, how they sit, how far they are out of balance.

Torque, frictions, grip, travel and speed may be floats or arrays of one shape; the rest is the setup's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import reduce
from typing import Generic

from meshes.mass import mass_properties
from sim.base import tables
from sim.base.floats import Number, larger, smaller
from sim.contact.face import JAW_ANGLES_RAD
from sim.mechanics import balance, jaw_seat, screws, spin
from sim.scenario import Scenario
from sim.setup import seat
from sim.setup.jaw_screws import head_seat
from sim.setup.parts import Parts

SEAT_FRICTION = 0.12  # low value of steel on steel, clean (common practice, no source)
MASTER_YIELD = (
    400.0  # MPa, of the master jaws' teeth, whose strength no scenario states (assumption, no source)
)
SERRATION_FACTOR = 1.5  # that shear is kept off by (assumption, no source)
CLOSED = 1.0  # times the load under which a seat gapes
LIFTED = 1.5  # times the load that would lift a jaw off, which it is kept away from (assumption, no source)
SHOWN = 99.0  # factors beyond are shown as this


@dataclass(frozen=True, slots=True)
class TopJaw:
    """A soft jaw as bored: mass (kg), its centroid's place beyond the inner end and height on the serrations (mm)."""

    mass: float
    out: float
    height: float


@dataclass(frozen=True, slots=True)
class Screwed(Generic[Number]):
    """The screws of a jaw.

    Attributes
    ----------
    preload : Preload
        Of one screw.
    allowed_torque : float or array
        N mm.
    head_pressure : float or array
        On the jaw under the head, MPa.
    head_shear : float or array
        In the metal under the head, along the rim that it presses, MPa.
    """

    preload: screws.Preload[Number]
    allowed_torque: Number
    head_pressure: Number
    head_shear: Number


@dataclass(frozen=True, slots=True)
class Seated(Generic[Number]):
    """The jaws on their seats: each one's joint at rest and at speed, and the serrations under the largest force.

    Gaping and lifting are multiples of all that loads the seat: grip moment, the jaw's own pull, and the wedging of the
    serrations' flanks, which take of one preload.
    """

    joints: tuple[jaw_seat.Joint[Number], ...]
    teeth: jaw_seat.Serrations[Number]

    @property
    def gaping_factor(self) -> Number:
        """Least multiple of the load at which a seat gapes, as it is shown."""
        return smaller(reduce(smaller, (joint.gaping_factor for joint in self.joints)), SHOWN)

    @property
    def lifting_factor(self) -> Number:
        """Least multiple of the load at which a jaw lifts off, as it is shown."""
        return smaller(reduce(smaller, (joint.lifting_factor for joint in self.joints)), SHOWN)

    @property
    def seat_factor(self) -> Number:
        """Multiple of the load that is judged against `CLOSED`: to gape, or to lift with `LIFTED` to spare."""
        return smaller(self.gaping_factor, CLOSED * self.lifting_factor / LIFTED)

    @property
    def teeth_factor(self) -> Number:
        """Factor of shear, as it is shown; that flanks climb is in the seat's balance."""
        return smaller(self.teeth.shear_factor, SHOWN)


def top_jaw(parts: Parts) -> TopJaw:
    """Return mass and centroid of a soft jaw as bored."""
    top = mass_properties(parts.bored, parts.jaw_material.density)
    return TopJaw(top.mass, float(top.centroid[0]), float(top.centroid[2]))


def screwed(scenario: Scenario, torque: Number, in_thread: Number, under_head: Number) -> Screwed[Number]:
    """Return what the jaws' screws do at a torque (N mm) and with the friction in the thread and under the head."""
    stated = scenario.soft_jaw.screws
    thread = tables.thread(stated.thread)
    strength = tables.property_class(stated.property_class, thread.diameter)
    wrench, hole = tables.tightening(stated.tightening), stated.hole_diameter
    preload = screws.preload(torque, thread, strength, hole, in_thread, under_head, wrench)
    rim = math.pi * screws.bearing_diameter(thread, stated.washer_diameter)
    return Screwed(
        preload,
        screws.allowed_torque(thread, strength, hole, in_thread, under_head),
        screws.head_pressure(preload.largest, thread, hole, stated.washer_diameter),
        preload.largest / (rim * head_seat(scenario)),
    )


def screwed_as_stated(scenario: Scenario) -> Screwed:
    """Return what the jaws' screws do as the scenario tightens them."""
    stated = scenario.soft_jaw.screws
    return screwed(scenario, stated.torque, stated.thread_friction, stated.head_friction)


def own_pulls(parts: Parts, top: TopJaw, travel: Number, speed: Number) -> tuple[Number, ...]:
    """Return the centrifugal force (N) of each soft jaw alone at a travel (mm) and a speed (rev/min)."""
    radius = parts.place.inner(travel) + top.out
    return tuple(
        spin.centrifugal_force((top.mass + more) * radius, speed)
        for more in parts.scenario.soft_jaw.mass_differences
    )


def seated(
    parts: Parts,
    top: TopJaw,
    middle: float,
    rest: Number,
    fastest: Number,
    pulls: tuple[Number, ...],
    least: Number,
) -> Seated[Number]:
    """Return how the jaws sit under the grip of one operation.

    The worst of standstill and speed. Inside all that is gained counts. Outside speed takes grip away, but a yielding
    part keeps nearly all of it, so its loss is no relief here: the jaw's own pull comes on top of the grip at rest.

    Parameters
    ----------
    middle : float
        Height of the held zone's middle above the serrated plane, mm.
    rest, fastest : float or array
        Grip of a jaw at rest and the largest in any state, N.
    pulls : tuple
        Centrifugal force of each jaw alone, N.
    least : float or array
        Preload of one screw, N.
    """
    scenario, outside = parts.scenario, parts.direction == "outside"
    sign, reach = 1.0 if outside else -1.0, seat_reach(scenario)
    places, joints, along = seat.seats(scenario), [], fastest
    for place, pull in zip(places, pulls, strict=True):
        # Along the serrations a jaw that is pushed outward at rest is pulled outward by its own mass, too.
        turning = fastest + pull if outside else fastest
        along = larger(along, turning)
        for moment, radial in (
            (jaw_seat.tipping_moment(sign * rest, middle), rest),
            (jaw_seat.tipping_moment(sign * fastest, middle, pull, top.height), turning),
        ):
            wedging = radial * jaw_seat.flank_lift(SEAT_FRICTION)
            for way in place.ways:
                positions = [position - way.inner for position in way.screws]
                preloads, ends = [least] * len(positions), (way.far_inner, way.free_outer)
                joints.append(jaw_seat.joint(moment, preloads, positions, way.length, reach, ends, wedging))
    teeth = jaw_seat.serrations(
        along,
        joints[0].clamping,
        min(place.length for place in places),
        seat_width(scenario),
        screws.shear_yield(min(parts.jaw_material.yield_strength, MASTER_YIELD)),
        SEAT_FRICTION,
    )
    return Seated(tuple(joints), teeth)


def seat_reach(scenario: Scenario) -> float:
    """Return how far beyond a screw's axis its preload presses the seat, mm."""
    stated = scenario.soft_jaw.screws
    bearing = screws.bearing_diameter(tables.thread(stated.thread), stated.washer_diameter)
    return jaw_seat.seat_reach(bearing, head_seat(scenario))


def wedging_arm(parts: Parts) -> float:
    """Return the lever (mm) over which what goes along a jaw outward loads its seat to gape, by the flanks' wedging."""
    reach, arms = seat_reach(parts.scenario), []
    lean: jaw_seat.Lean = "outward" if parts.direction == "outside" else "inward"
    for way in (way for place in seat.seats(parts.scenario) for way in place.ways):
        positions = [position - way.inner for position in way.screws]
        ends = (way.far_inner, way.free_outer)
        arms.append(jaw_seat.seat_levers(lean, positions, way.length, reach, ends).wedge_gaping)
    return jaw_seat.flank_lift(SEAT_FRICTION) * max(arms)


def seat_width(scenario: Scenario) -> float:
    """Return the width over which the serrations bear, less the T-slot, mm."""
    master = scenario.master_jaw
    return min(scenario.soft_jaw.width, master.width) - master.slot_neck_width


def unlike(scenario: Scenario) -> bool:
    """Tell whether the jaws differ in place or mass, so that they are out of balance."""
    return any(scenario.soft_jaw.serrations_off) or any(scenario.soft_jaw.mass_differences)


def unbalance(parts: Parts, top: TopJaw) -> float:
    """Return the unbalance of jaws that differ in mass or place, at the boring travel, g mm."""
    jaw, pitch = parts.scenario.soft_jaw, parts.scenario.chuck.serration_pitch
    radius = parts.place.bored + top.out
    offsets = []
    for angle, off, more in zip(JAW_ANGLES_RAD, jaw.serrations_off, jaw.mass_differences, strict=True):
        moment = (top.mass + more) * (radius + off * pitch)
        offsets.append(balance.OffsetMass(1.0, moment * math.cos(angle), moment * math.sin(angle)))
    return balance.unbalance(offsets).amount


def rotor_mass(parts: Parts, top: TopJaw) -> float:
    """Return the mass of chuck and jaws without the part, kg."""
    steel, more = tables.STEEL_DENSITY, parts.scenario.soft_jaw.mass_differences
    rotor = mass_properties(parts.body, steel).mass
    return rotor + (3.0 * (top.mass + mass_properties(parts.master, steel).mass) + sum(more))
