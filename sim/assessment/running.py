"""Whether the part runs true: every share of its run-out and squareness, their worst sum and the root of squares.

What all jaws have alike (yield, travel, taper, size, speed, temperature) shifts no part in three jaws; it moves size,
taper and roundness. What breaks the symmetry is added up here: `sim.mechanics.run_out` has the closed forms,
`sim.assessment.run_out` what the contact model says of lobes, of jaws that stand off and of unlike masses. Each share
counts with the larger of rho by the contact model and rho = 1. A load across the spindle and the weight stand still in
space: they move the size that is turned, not the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Generic

import numpy as np

from sim.assessment.figures.clamping import ClampingFigures, RunOut
from sim.assessment.figures.running import RunningFigures, Share
from sim.base.arrays import Floats
from sim.base.floats import Number, larger, root, smaller
from sim.mechanics import run_out
from sim.mechanics.grip import Wedge, jaw_force
from sim.mechanics.run_out import Scatter
from sim.mechanics.stroke import TravelBand
from sim.scenario import Running, Scenario
from sim.setup.held import HeldZone
from sim.setup.jaw_place import JawPlace

UNLIKE, RUBBING, REPEATED, TRAVELLED, REBOLTED = (
    "unlike stiffness of the jaws",
    "unlike friction of wedge and guideway",
    "clamping anew",
    "travel since boring",
    "jaws bolted on again",
)
LOBES, STATED, LEFT_LOBES, JAWS = (
    "lobes of unknown number",
    "lobes as stated",
    "lobes left by the earlier side",
    "jaws off, unlike masses",
)
SPINDLE, MOVED, DATUM, LEANING = (
    "spindle",
    "chuck moved since boring",
    "gripped surface to its datum",
    "out of square, at the part's far end",
)
DERIVED = "derived"
LEAST_FORCE = 1e-12  # of an axial force of 1: a wedge that passes on less is locked


@dataclass(frozen=True, slots=True)
class Springs:
    """How a jaw yields and where it stands.

    Attributes
    ----------
    radial, tilting : float
        Stiffness along the jaw, N/mm, and against tilting, N mm/rad.
    lever : float
        Of the grip above the guideway's middle, mm.
    guide_radius : float
        Of the guideway's middle, mm.
    seat_radius : float
        Least radius on which the part stands on the jaws, mm; 0 where it does not.
    """

    radial: float
    tilting: float
    lever: float
    guide_radius: float
    seat_radius: float


@dataclass(frozen=True, slots=True)
class JawLoads(Generic[Number]):
    """What one jaw bears and how far it goes.

    Attributes
    ----------
    now, rest : float or array
        Grip in the state and at rest, N.
    boring, boring_here : float or array
        While boring, and as a force at the gripped height that tilts the jaw alike, N; 0 without a fixture.
    travel : float or array
        Between where it was bored and where it grips, the largest within the part's tolerance, mm.
    friction : float or array
        Share of its force that unlike friction of the guideways moves; no unit.
    rho : float or array
        Of the contact; no unit.
    """

    now: Number
    rest: Number
    boring: Number
    boring_here: Number
    travel: Number
    friction: Number
    rho: Number

    def beyond(self, boring: Number) -> Number:
        """Return by how much the drive's force differs from a boring force, N.

        It is that at rest: what a jaw loses as grip by its own pull at speed, its drive and guideway still carry.
        """
        return _size(self.rest - boring)

    @property
    def most(self) -> Number:
        """Larger grip of the two, N."""
        return larger(self.now, self.rest)


def springs(scenario: Scenario, place: JawPlace, zone: HeldZone, seat_radius: float) -> Springs:
    """Return how the jaws of a scenario yield at a held zone whose land has a least radius (mm) under the part."""
    chuck = scenario.chuck
    return Springs(
        radial=chuck.radial_stiffness,
        tilting=chuck.tilt_stiffness,
        lever=zone.middle + chuck.guideway_depth,
        guide_radius=place.master_inner(scenario.boring.travel) + 0.5 * scenario.master_jaw.length,
        seat_radius=seat_radius,
    )


def friction_share(wedge: Wedge[Number], height: float, scatter: float) -> Number:
    """Return the share of its force that a jaw gains or loses where its friction is by `scatter` off the others'.

    `height` is that of the grip above the guideway's middle, mm.
    """
    pull = 1.0 + 0.0 * wedge.friction
    own = jaw_force(pull, height, wedge)
    more = jaw_force(pull, height, replace(wedge, friction=wedge.friction + scatter))
    less = jaw_force(pull, height, replace(wedge, friction=larger(0.0, wedge.friction - scatter)))
    return smaller(1.0, larger(own - more, less - own) / larger(own, LEAST_FORCE))


def jaw_scatters(running: Running, of: Springs, loads: JawLoads[Number]) -> dict[str, Scatter[Number]]:
    """Return the shift (mm) by what scatters from jaw to jaw, by its name in `Share`."""
    unlike = loads.beyond(loads.boring) / of.radial
    unlike = unlike + loads.beyond(loads.boring_here) * of.lever**2 / of.tilting
    again = (loads.most + loads.boring) * running.repeat_scatter / of.radial
    both = root(loads.most * loads.most + loads.boring * loads.boring) * running.repeat_scatter / of.radial
    twice = _either(again, loads.rho)
    by_chance = _either(both, loads.rho)
    off = (running.rebolted_along, running.rebolted_across) if running.rebolted else (0.0, 0.0)
    none = 0.0 * loads.rho
    return {
        UNLIKE: _either(running.stiffness_scatter * unlike, loads.rho),
        RUBBING: _either(loads.beyond(loads.boring) * loads.friction / of.radial, loads.rho),
        REPEATED: Scatter(twice.worst, by_chance.root),
        TRAVELLED: _either(running.travel_error * loads.travel, loads.rho),
        REBOLTED: _either(none + off[0], loads.rho, none + off[1]),
    }


def tilts(running: Running, of: Springs, loads: JawLoads[Number]) -> tuple[Scatter[Number], Scatter[Number]]:
    """Return how jaws that tilt unlike each other tilt the part (rad): by their back faces, and by their walls.

    The back faces count where the part stands on them. Which of both rules, the friction along the spindle decides:
    the larger counts.
    """
    leaning = running.stiffness_scatter * loads.beyond(loads.boring_here) * of.lever / of.tilting
    walls = _larger_of(run_out.by_walls(leaning, loads.rho), run_out.by_walls(leaning, 1.0))
    if of.seat_radius <= 0.0:
        none = 0.0 * leaning
        return Scatter(none, none), walls
    lifted = leaning * abs(of.guide_radius - of.seat_radius)
    return run_out.by_seats(
        lifted + (running.rebolted_up if running.rebolted else 0.0), of.seat_radius
    ), walls


def fixed_shares(running: Running, datum_offset: float) -> dict[str, Scatter[float]]:
    """Return the shift (mm) by what neither force nor size changes, by its name in `Share`."""
    return {
        SPINDLE: Scatter(2.0 * running.spindle, math.sqrt(2.0) * running.spindle),
        MOVED: Scatter(running.chuck_moved, running.chuck_moved),
        DATUM: Scatter(datum_offset, datum_offset),
    }


def left_shift(left: Floats, per_left: Floats) -> Scatter[Any]:
    """Return the shift (mm) by lobes that an earlier operation leaves, all counted as the order that shifts most.

    Of how many lobes its own raw part was, which squeezes through, is not known from an amount alone.

    Parameters
    ----------
    left : (..., m) array
        Amplitudes, mm.
    per_left : (..., m) array
        Shift over the amplitude of each order.
    """
    most = per_left.max(axis=-1)
    return Scatter(most * left.sum(axis=-1), most * np.sqrt((left**2).sum(axis=-1)))


def far_end(outline: tuple[tuple[float, float], ...], zone: HeldZone) -> float:
    """Return how far the part's farther end lies from the middle of the held height, mm."""
    return max(abs(zone.seat + z - zone.middle) for _, z in outline)


def largest_diameter(outline: tuple[tuple[float, float], ...]) -> float:
    """Return the part's largest diameter, mm, over which its faces are judged."""
    return 2.0 * max(r for r, _ in outline)


def largest_travel(first: Number, last: Number, boring: float) -> Number:
    """Return the largest travel (mm) between the boring travel and where parts within their tolerance are gripped."""
    return larger(_size(first - boring), _size(last - boring))


@dataclass(frozen=True, slots=True)
class Bored:
    """How the jaws were loaded while they were bored, a jaw, N, and what unlike friction does; see `JawLoads`."""

    force: float
    force_here: float
    friction: float


def running_true(
    scenario: Scenario,
    index: int,
    zone: HeldZone,
    travel: TravelBand,
    clamping: ClampingFigures,
    bored: Bored,
    of: Springs,
    left: Floats | None = None,
) -> RunningFigures:
    """Return the budget of an operation in the worst of its states.

    Parameters
    ----------
    left : (m,) array, optional
        Amplitudes (mm) of the lobes that the operation which turned the gripped surface leaves.
    """
    rest = clamping.openings[0][0]
    found = []
    for state, (force, _) in zip(clamping.run_outs, clamping.openings, strict=True):
        loads = JawLoads(
            now=force,
            rest=rest,
            boring=bored.force,
            boring_here=bored.force_here,
            travel=largest_travel(travel.first, travel.last, scenario.boring.travel),
            friction=bored.friction,
            rho=state.rho,
        )
        found.append(_in_state(scenario, index, zone, clamping, state, of, loads, left))
    worst, leaning = max(found, key=lambda one: one.worst), max(found, key=lambda one: one.tilt_worst)
    return replace(
        worst, tilt_worst=leaning.tilt_worst, tilt_root=leaning.tilt_root, by_seats=leaning.by_seats
    )


def _in_state(
    scenario: Scenario,
    index: int,
    zone: HeldZone,
    clamping: ClampingFigures,
    state: RunOut,
    of: Springs,
    loads: JawLoads[float],
    left: Floats | None,
) -> RunningFigures:
    running, work = scenario.running, scenario.operations[index].workpiece
    seats, walls = tilts(running, of, loads)
    tilt = _larger_of(seats, walls)
    lever = far_end(work.outline, zone)
    scattered = jaw_scatters(running, of, loads) | fixed_shares(running, work.datum_offset)
    scattered[LEANING] = Scatter(lever * tilt.worst, lever * tilt.root)
    came_through = Scatter(0.0, 0.0)
    if left is not None:
        shift = left_shift(left, state.per_left)
        came_through = Scatter(float(shift.worst), float(shift.root))
    from_contact = {
        LOBES: Scatter(state.lobes, state.lobes),
        STATED: _summed([*state.by_stated_lobes]),
        LEFT_LOBES: came_through,
        JAWS: Scatter(state.jaws, state.jaws),
    }
    basis = _bases(scenario, index, of, loads)
    return RunningFigures(
        state=state.state,
        rho=state.rho,
        shares=tuple(
            Share(name, share.worst, share.root, basis[name])
            for name, share in (from_contact | scattered).items()
        ),
        tilt_worst=tilt.worst,
        tilt_root=tilt.root,
        by_seats=seats.worst > walls.worst,
        face=largest_diameter(work.outline),
        roundness=clamping.roundness if math.isfinite(clamping.roundness) else 0.0,
        chip=running.chip,
        chip_shift=run_out.of_one_jaw(running.chip, 1.0),
        # Without a land a chip at an end of the wall leans it over half the held length.
        chip_tilt=run_out.chip_tilt(running.chip, of.seat_radius)
        if of.seat_radius > 0.0
        else run_out.of_one_jaw(running.chip, 1.0) / (0.5 * zone.length),
    )


def _bases(scenario: Scenario, index: int, of: Springs, loads: JawLoads[float]) -> dict[str, str]:
    """Say of each share where it comes from."""
    running, work = scenario.running, scenario.operations[index].workpiece

    def um(length: float) -> str:
        return f"{1000.0 * length:.4g} µm"

    kn = f"{loads.rest / 1000.0:.1f} kN a jaw, bored with {loads.boring / 1000.0:.1f} kN"
    stated = ", ".join(f"{um(lobe.peak_to_peak)} of {lobe.order}" for lobe in work.lobes)
    return {
        LOBES: f"contact model: {um(work.lobes_of_unknown_order)} from peak to peak, the worst of 2, 4, 5 and 7 lobes",
        STATED: f"contact model: {stated or 'none stated'}",
        LEFT_LOBES: f"{DERIVED}: released shape of '{work.turned_in}', as the worst of its lobes"
        if work.turned_in is not None
        else f"{DERIVED}: none, the gripped surface is turned in no earlier operation here",
        JAWS: "contact model: serrations and masses as stated",
        UNLIKE: f"{DERIVED}: {kn}, stiffness {100.0 * running.stiffness_scatter:.3g}\u00a0% unlike",
        RUBBING: f"{DERIVED}: {kn}, {100.0 * loads.friction:.2g}\u00a0% by friction {running.friction_scatter:.3g} off",
        REPEATED: f"{DERIVED}: {100.0 * running.repeat_scatter:.3g}\u00a0% of the force, boring and gripping",
        TRAVELLED: f"{DERIVED}: {loads.travel:.2f} mm from where they were bored, {um(running.travel_error)} a mm",
        REBOLTED: f"{DERIVED}: {um(running.rebolted_along)} along, {um(running.rebolted_across)} across"
        if running.rebolted
        else "bored as they are bolted",
        SPINDLE: f"{um(running.spindle)} while boring and while turning",
        MOVED: "as stated" if running.chuck_moved > 0.0 else "same spindle, chuck not taken off",
        DATUM: "as stated" if work.datum_offset > 0.0 else "turned in one clamping",
        LEANING: f"{DERIVED}: jaws that tilt unlike each other, "
        + (f"seats at radius {of.seat_radius:.1f} mm and walls" if of.seat_radius > 0.0 else "walls alone"),
    }


def _either(along: Number, rho: Number, across: Number | float = 0.0) -> Scatter[Number]:
    """Return the shift by errors of each jaw (mm), the larger of rho and 1."""
    return _larger_of(run_out.of_each_jaw(along, rho, across), run_out.of_each_jaw(along, 1.0, across))


def _larger_of(one: Scatter[Number], other: Scatter[Number]) -> Scatter[Number]:
    return Scatter(larger(one.worst, other.worst), larger(one.root, other.root))


def _summed(shares: list[float]) -> Scatter[float]:
    return Scatter(math.fsum(shares), math.sqrt(math.fsum(share**2 for share in shares)))


def _size(value: Number) -> Number:
    return larger(value, -value)
