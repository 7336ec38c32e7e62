"""Jaw screws and the jaw's seat: preload, torque, head pressure, gaping, serrations, thread in the T-nut.

Lengths in mm, forces in N, stresses in MPa, torques and moments in N mm, angles in rad.

Preload and torque follow VDI 2230-1 (the formulas as they are printed in textbooks; the guideline itself was
not at hand; what stands below with an equation's number is as open programs after it print it, and that the least C3
is that of equal strength is worked out in `tests/reference/test_worked_out.py`). `scatter`: the stated friction is
taken as the lowest that may occur, so that a torque gives at most the preload computed with it and at least that
divided by the tightening factor alpha_A. Settling of the seat and the screw's share of a working load are left out:
both are small beside the scatter.

Seat, a model of this project: the jaw is a rigid body on the flat, `seat_length` long rectangular image of
its serrations. The screws press it down with the sum F of their preloads, whose line of action lies at the
distance a from the edge about which it tips (the outer edge if the load leans it outward). A tipping moment M
shifts the resultant of the seat's pressure by M / F towards that edge. The pressure, linear along the seat,
vanishes at the other edge when the resultant comes to within a third of the length of the tipping edge:

    seat gapes at  M = F (a - seat_length / 3),   jaw lifts off about the edge at  M = F a.

A force R along the jaw is carried by the flanks of the serrations, which lift it at the middle of what is pressed by
W = R tan(flank angle / 2 - friction angle): W takes of the same preload, with a moment about the same edge and the
same third, and never helps. Its middle is that of the length up to the blank's end, as the third is. The jaw also lifts
as a whole where W = F.

Forces, torques, moments and frictions may be floats or arrays of one shape; dimensions are floats.

The seat is only as long as soft jaw and master jaw overlap. What stands free past the far end gives no credit: the
third is still taken of the length up to the blank's end. The tipping edge lies no farther beyond the outermost screw
than its head's pressure spreads in the metal under it, at 45 deg (Roetscher's cone, as textbooks of machine elements
give it; VDI 2230-1 has narrower ones). A screw between others that stands in the third at the tipping edge, where it
would pry a rigid jaw open, counts as nothing. So a screw that is lost does not leave the jaw the better for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import Generic, Literal

import numpy as np

from sim.base.floats import Number, choose, larger, root, smaller
from sim.base.tables import PropertyClass, Thread, Tightening

YIELD_UTILISATION = 0.9  # VDI 2230: share of Rp0.2 used in assembly
_SHEAR_TO_YIELD = 1.0 / math.sqrt(3.0)  # von Mises
_SHEAR_TO_TENSILE = 0.6  # tau_B / R_m of steel, VDI 2230, so one open program
_NUT_DILATION = 0.897  # C3 of VDI 2230 (5.5/44b) at equal strength, its least value
_TENSILE_SPREAD = 1.2  # largest over least tensile strength of a screw, VDI 2230, so one open program
_LOST_THREAD = 0.8  # of a pitch lost at chamfer and point, VDI 2230 (5.5/48)
_WASHER_SPREAD = 1.6  # d_Wa = d_w + 1.6 h_S, VDI 2230, so one open program

Lean = Literal["outward", "inward"]


@dataclass(frozen=True, slots=True)
class Preload(Generic[Number]):
    """Preload of one screw from a torque, N.

    Attributes
    ----------
    largest, least : float or array
        With the stated friction, and that divided by the tightening factor.
    allowed : float or array
        At 90 % of the yield strength, tension and torsion together.
    utilisation : float or array
        Equivalent stress at the largest preload over the yield strength; 0.9 is the guideline's limit.
    """

    largest: Number
    least: Number
    allowed: Number
    utilisation: Number


@dataclass(frozen=True, slots=True)
class Joint(Generic[Number]):
    """State of one jaw's seat under the moments of grip and centrifugal force.

    Attributes
    ----------
    clamping : float or array
        Sum of the preloads that were given, N.
    moment : float or array
        Tipping moment, N mm; positive leans the jaw outward.
    gaping_factor, lifting_factor : float or array
        Multiple of the moment at which the seat begins to gape, and at which the jaw lifts off; infinite
        without load, 0 if the preload alone leaves the seat gaping.
    """

    clamping: Number
    moment: Number
    gaping_factor: Number
    lifting_factor: Number


@dataclass(frozen=True, slots=True)
class Serrations(Generic[Number]):
    """Serrations of one jaw under its radial force.

    Attributes
    ----------
    shear_stress : float or array
        Mean over the teeth that carry, MPa.
    shear_factor : float or array
        Shear yield strength of the jaw over that.
    climbing_factor : float or array
        Clamping force over the force that keeps the flanks from climbing; infinite on self-locking flanks.
    friction_share : float or array
        Share of the radial force that friction on a flat seat would carry; never more than 1. For
        information: the teeth are counted on for all of it.
    """

    shear_stress: Number
    shear_factor: Number
    climbing_factor: Number
    friction_share: Number


@dataclass(frozen=True, slots=True)
class Engagement:
    """Length of thread in the T-nut, mm: needed for the screw to break before the nut strips, and there."""

    needed: float
    engaged: float
    factor: float


def torque_per_preload(thread: Thread, hole_diameter: float, mu_thread: Number, mu_head: Number) -> Number:
    """Return MA / FM = 0.159 P + 0.577 d2 mu_thread + 0.5 Dkm mu_head, mm; Dkm = (d_w + d_h) / 2."""
    friction_diameter = 0.5 * (thread.bearing_diameter + hole_diameter)
    in_thread = 0.159 * thread.pitch + 0.577 * thread.pitch_diameter * mu_thread
    return in_thread + 0.5 * friction_diameter * mu_head


def equivalent_stress(preload: Number | float, thread: Thread, mu_thread: Number) -> Number:
    """Return the von Mises stress (MPa) while tightening.

    Tension FM / A_s; torsion MG / W_p with MG = FM d2/2 (P / (pi d2) + 1.155 mu) and W_p = pi d0^3 / 12, the
    whole section at its shear yield (VDI 2230 since 2001), d0 the diameter of the stress area.
    """
    diameter = 0.5 * (thread.pitch_diameter + thread.root_diameter)
    lead = thread.pitch / (math.pi * thread.pitch_diameter) + 1.155 * mu_thread
    torsion_over_tension = 1.5 * thread.pitch_diameter / diameter * lead
    return preload / thread.stress_area * root(1.0 + 3.0 * (torsion_over_tension * torsion_over_tension))


def allowed_preload(thread: Thread, strength: PropertyClass, mu_thread: Number) -> Number:
    """Return the assembly preload (N) at 90 % of the yield strength, tension and torsion together."""
    return YIELD_UTILISATION * strength.yield_strength / equivalent_stress(1.0, thread, mu_thread)


def allowed_torque(
    thread: Thread, strength: PropertyClass, hole_diameter: float, mu_thread: Number, mu_head: Number
) -> Number:
    """Return the tightening torque (N mm) that gives the allowed preload."""
    per_preload = torque_per_preload(thread, hole_diameter, mu_thread, mu_head)
    return allowed_preload(thread, strength, mu_thread) * per_preload


def preload(
    torque: Number,
    thread: Thread,
    strength: PropertyClass,
    hole_diameter: float,
    mu_thread: Number,
    mu_head: Number,
    tightening: Tightening,
) -> Preload[Number]:
    """Return what a tightening torque (N mm) gives; the larger tightening factor is taken.

    Raises
    ------
    ValueError
        If the torque or the friction is negative.
    """
    given = (torque, mu_thread, mu_head)
    if not all(np.all(value >= 0.0) for value in given):
        found, in_thread, under_head = (float(np.min(value)) for value in given)
        raise ValueError(
            "torque and friction of a screw must be 0 or more, "
            f"found {found:g} N mm, {in_thread:g} and {under_head:g}"
        )
    largest = torque / torque_per_preload(thread, hole_diameter, mu_thread, mu_head)
    return Preload(
        largest,
        largest / tightening.factor_high,
        allowed_preload(thread, strength, mu_thread),
        equivalent_stress(largest, thread, mu_thread) / strength.yield_strength,
    )


def bearing_diameter(thread: Thread, washer_diameter: float | None = None) -> float:
    """Return the diameter (mm) on which a screw head presses the jaw, or a hard washer below it.

    A washer of the thread's listed thickness h_S spreads the load to d_w + 1.6 h_S, at most to its own
    diameter.
    """
    if washer_diameter is None:
        return thread.bearing_diameter
    return min(washer_diameter, thread.bearing_diameter + _WASHER_SPREAD * thread.washer_thickness)


def head_pressure(
    force: Number, thread: Thread, hole_diameter: float, washer_diameter: float | None = None
) -> Number:
    """Return the pressure (MPa) on the jaw under a screw head, or under a hard washer below it.

    Raises
    ------
    ValueError
        If the hole is as wide as what rests on it.
    """
    outer = bearing_diameter(thread, washer_diameter)
    if not outer > hole_diameter:
        raise ValueError(
            f"the screw's hole must be smaller than the {outer:g} mm that rest on it, "
            f"found {hole_diameter:g} mm"
        )
    return force / (0.25 * math.pi * (outer**2 - hole_diameter**2))


def tipping_moment(
    radial_force: Number, grip_height: float, centrifugal: Number | float = 0.0, centroid_height: float = 0.0
) -> Number:
    """Return the moment (N mm) about the seat: positive leans the jaw outward.

    Parameters
    ----------
    radial_force : float or array
        The part's force on the jaw, N: positive outward (outside gripping), negative for inside gripping.
    grip_height, centroid_height : float
        Of the grip and of the soft jaw's centre of mass above the seat, mm.
    centrifugal : float or array
        Centrifugal force of what stands above the seat, N.
    """
    return radial_force * grip_height + centrifugal * centroid_height


def seat_reach(bearing_diameter: float, under_head: float) -> float:
    """Return how far beyond a screw's axis its preload still presses the seat, mm: d_w / 2 + h (Roetscher's cone).

    Parameters
    ----------
    bearing_diameter, under_head : float
        Diameter of what presses on the jaw, and height of the metal under it, mm.
    """
    return 0.5 * bearing_diameter + under_head


@dataclass(frozen=True, slots=True)
class SeatLevers:
    """Levers on a seat, mm: the moment at which it lifts, and gapes, over the preload of each screw.

    Attributes
    ----------
    lifting, gaping : tuple of float
        Of each screw's preload.
    wedge_lifting, wedge_gaping : float
        Of what the serrations' flanks lift with, which takes from these.
    """

    lifting: tuple[float, ...]
    gaping: tuple[float, ...]
    wedge_lifting: float
    wedge_gaping: float


def seat_levers(
    lean: Lean,
    positions: Sequence[float],
    seat_length: float,
    reach: float = math.inf,
    free_ends: tuple[float, float] = (0.0, 0.0),
) -> SeatLevers:
    """Return at which moments over its preload each screw lets the seat lift and gape.

    Parameters
    ----------
    lean : {'outward', 'inward'}
    positions, seat_length, reach, free_ends
        As for `joint`.
    """
    if lean == "inward":
        positions = [seat_length - position for position in positions]
        free_ends = (free_ends[1], free_ends[0])
    edge = min(seat_length, max(positions) + reach)
    levers = tuple(edge - position for position in positions)
    third = (edge + free_ends[0]) / 3.0
    return SeatLevers(
        levers,
        tuple(a - third if a == min(levers) else max(0.0, a - third) for a in levers),
        1.5 * third,
        0.5 * third,
    )


def joint(
    moment: Number,
    preloads: Sequence[Number],
    positions: Sequence[float],
    seat_length: float,
    reach: float = math.inf,
    free_ends: tuple[float, float] = (0.0, 0.0),
    wedging: Number | float = 0.0,
) -> Joint[Number]:
    """Return the state of the seat under a tipping moment (N mm, positive leans outward).

    Parameters
    ----------
    preloads : sequence of floats or arrays
        Least preload of each screw, N.
    positions : sequence of float
        Of the screws along the jaw, from the seat's inner end, mm.
    seat_length : float
        mm; from the inner end to the outer end of what rests on the master jaw.
    reach : float
        How far beyond the outermost screw the seat is pressed at all, mm; see `seat_reach`.
    free_ends : (float, float)
        How far the jaw stands past the seat's inner and outer end, mm.
    wedging : float or array
        Force by which the serrations' flanks lift the jaw, N; see `flank_lift`.

    Raises
    ------
    ValueError
        If there is no screw, their numbers differ, or a screw stands outside the seat.
    """
    if not positions or len(positions) != len(preloads):
        raise ValueError(
            "each screw must have a preload and a position, "
            f"found {len(preloads)} preloads and {len(positions)} positions"
        )
    if not all(0.0 < position < seat_length for position in positions):
        raise ValueError(
            f"screws must stand within the seat, 0 mm to {seat_length:g} mm, found "
            + ", ".join(f"{position:g} mm" for position in positions)
        )
    outward = seat_levers("outward", positions, seat_length, reach, free_ends)
    inward = seat_levers("inward", positions, seat_length, reach, free_ends)

    clamping = reduce(add, preloads)

    def factor(held: Number, load: Number) -> Number:
        # A seat that its preload alone leaves gaping bears nothing: no larger load makes that less bad.
        borne, idle = larger(0.0 * load, held), load == 0.0
        unloaded = choose(held > 0.0, 0.0 * load + math.inf, 0.0)
        return choose(idle, unloaded, borne / choose(idle, 1.0, load))

    def of(levers: SeatLevers) -> tuple[Number, Number]:
        gaping = factor(_moment(preloads, levers.gaping), abs(moment) + wedging * levers.wedge_gaping)
        lifting = factor(_moment(preloads, levers.lifting), abs(moment) + wedging * levers.wedge_lifting)
        return gaping, smaller(lifting, factor(clamping, 0.0 * abs(moment) + wedging))

    (out_gaping, out_lifting), (in_gaping, in_lifting) = of(outward), of(inward)
    return Joint(
        clamping,
        moment,
        choose(moment > 0.0, out_gaping, in_gaping),
        choose(moment > 0.0, out_lifting, in_lifting),
    )


def _moment(forces: Sequence[Number], levers: tuple[float, ...]) -> Number:
    return reduce(add, (f * a for f, a in zip(forces, levers, strict=True)))


def flank_lift(mu: float, flank_angle: float = math.radians(60.0)) -> float:
    """Return which share of a force along the jaw lifts it on its serrations: tan(flank angle / 2 - friction angle).

    The flank angle (rad) is the included one of a tooth, usually 60 deg (common practice, no source); 0 where flanks
    lock by themselves.
    """
    return math.tan(max(0.0, 0.5 * flank_angle - math.atan(mu)))


def serrations(
    radial_force: Number,
    clamping: Number,
    seat_length: float,
    seat_width: float,
    shear_yield: float,
    mu: float,
    flank_angle: float = math.radians(60.0),
    root_share: float = 0.5,
    carrying_share: float = 0.5,
) -> Serrations[Number]:
    """Return how the serrations carry the radial force between jaw and master jaw.

    Parameters
    ----------
    radial_force : float or array
        Net radial force on one soft jaw, N; its sign does not matter.
    clamping : float or array
        Sum of the least preloads, N.
    seat_length, seat_width : float
        Length and bearing width (less the T-slot) of the serrated seat, mm.
    shear_yield : float
        Shear yield strength of the softer partner, MPa; see `shear_yield`.
    mu : float
        Friction of the seat.
    flank_angle : float
        Included angle of a tooth, rad; 60 deg is usual (common practice, no source).
    root_share, carrying_share : float
        Width of a tooth where it shears, over the pitch (half: at mid height), and share of the teeth that
        carry, since pitch errors leave some idle (assumption, no source).
    """
    idle = radial_force == 0.0
    force = choose(idle, 1.0, abs(radial_force))
    stress = force / (seat_length * seat_width * root_share * carrying_share)
    climb = flank_lift(mu, flank_angle)
    locking = idle | (force * climb == 0.0)
    return Serrations(
        choose(idle, 0.0, stress),
        choose(idle, math.inf, shear_yield / stress),
        choose(locking, math.inf, clamping / (force * (climb or 1.0))),
        choose(idle, 1.0, smaller(1.0, mu * clamping / force)),
    )


def shear_yield(yield_strength: float) -> float:
    """Return the shear yield strength (MPa) of a yield strength: 1 / sqrt(3) of it (von Mises)."""
    return _SHEAR_TO_YIELD * yield_strength


def engagement(engaged: float, thread: Thread, strength: PropertyClass, nut_tensile: float) -> Engagement:
    """Return the thread length in the T-nut that lets the screw break before the nut's thread strips.

    VDI 2230 / E. M. Alexander: the nut's thread shears on A = pi d (m / P) (P / 2 + (d - D2) tan 30 deg) at
    0.6 R_m of the nut, less a tenth for bending of its flanks; 0.8 P of the length does not carry. The
    screw breaks at 1.2 times its least tensile strength. Basic profile, no clearance.

    Parameters
    ----------
    engaged : float
        Length of screw thread in the nut, mm.
    nut_tensile : float
        Tensile strength of the T-nut, MPa.
    """
    breaking = _TENSILE_SPREAD * strength.tensile * thread.stress_area
    depth = 0.5 * thread.pitch + (thread.diameter - thread.pitch_diameter) * math.tan(math.pi / 6.0)
    area_per_length = math.pi * thread.diameter / thread.pitch * depth
    strip_per_length = _NUT_DILATION * _SHEAR_TO_TENSILE * nut_tensile * area_per_length
    needed = breaking / strip_per_length + _LOST_THREAD * thread.pitch
    return Engagement(needed, engaged, engaged / needed)
