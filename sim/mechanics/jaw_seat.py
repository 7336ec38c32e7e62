"""A jaw's seat on its master jaw: when it gapes and lifts under grip and spin, and what its serrations bear.

Lengths in mm, forces in N, stresses in MPa, moments in N mm, angles in rad. Forces, moments and frictions may be floats
or arrays of one shape; dimensions are floats.

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

from sim.base.floats import Number, choose, larger, smaller

Lean = Literal["outward", "inward"]


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
