"""What cuts ask of the grip by closed forms: at which speed they run, with what forces, and what grip these need.

What of a cut may vary is a `CutState`, of floats or of arrays; the geometry is that of the scenario's `Cut`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic

from sim.assessment.figures.cut import CutDemand
from sim.base.floats import Number, larger, smaller
from sim.base.tables import Material
from sim.mechanics import cutting, drilling, hold, kienzle
from sim.mechanics.cutting import CutForces
from sim.mechanics.kienzle import CutMetal
from sim.mechanics.threading import thread_forces
from sim.scenario import Cut, Operation, Scenario
from sim.setup.held import HeldZone
from sim.setup.pairing import pairing_of

ON_THE_AXIS = 0.1  # mm of diameter, below which no spindle follows a constant cutting speed


@dataclass(frozen=True, slots=True)
class CutState(Generic[Number]):
    """What of a cut may vary.

    Attributes
    ----------
    feed, depth_of_cut, wear_factor : float or array
        mm/rev, mm, 1.
    speed : float, array or None
        Spindle speed, rev/min; None where none is stated.
    cutting_speed : float, array or None
        m/min; None where none is stated.
    measured : tuple of 3 floats or arrays, or None
        Cutting, feed and passive force as measured, N.
    """

    feed: Number
    depth_of_cut: Number
    wear_factor: Number
    speed: Number | None = None
    cutting_speed: Number | None = None
    measured: tuple[Number, Number, Number] | None = None


@dataclass(frozen=True, slots=True)
class GripAsked(Generic[Number]):
    """What forces ask of the grip: side force on the part, and grip by closed forms."""

    side: Number
    needed: hold.NeededGrip[Number]


@dataclass(frozen=True, slots=True)
class CutAsked(Generic[Number]):
    """A cut at the speed at which it runs (rev/min): its forces, and what they ask of the grip."""

    speed: Number
    forces: CutForces[Number]
    grip: GripAsked[Number]


def friction_of(scenario: Scenario, index: int) -> float:
    """Return the friction of an operation's part in the jaws where none is measured: the low value of its pairing."""
    return pairing_of(scenario, index).low


def as_stated(cut: Cut) -> CutState:
    """Return a cut as the scenario states it."""
    found = cut.forces
    measured = None if found is None else (found.tangential, found.feed, found.passive)
    return CutState(
        cut.feed, cut.depth_of_cut, cut.wear_factor, cut.speed or None, cut.cutting_speed or None, measured
    )


def asked_speed(cut: Cut) -> float:
    """Return the spindle speed that a cut states or its cutting speed asks for; 0 where only the tool turns."""
    return speed_asked(cut, as_stated(cut))


def ends(cut: Cut) -> tuple[float, float]:
    """Return the smallest and the largest diameter at which a cut cuts, mm."""
    end = cut.diameter if cut.end_diameter is None else cut.end_diameter
    return min(cut.diameter, end), max(cut.diameter, end)


def speed_asked(cut: Cut, state: CutState[Number]) -> Number:
    """Return the spindle speed that a cut asks for in a state; 0 where only the tool turns."""
    if cut.rotating_tool:
        return 0.0 * state.feed
    if state.speed is not None:
        return state.speed
    # A constant cutting speed turns a groove fastest at its smaller end.
    smallest = max(ends(cut)[0], ON_THE_AXIS)
    if state.cutting_speed is not None:
        return cutting.spindle_speed(smallest, state.cutting_speed)
    return cutting.spindle_speed(smallest, kienzle.DEFAULT_SPEED) + 0.0 * state.feed


def metal_of(cut: Cut, material: Material | str) -> CutMetal:
    """Return what cutting the part's material takes: as the cut states it, or the material, or by the table."""
    if cut.specific_force is None or cut.chip_exponent is None:
        return kienzle.cut_metal(material, cut.rake_angle)
    rake = cut.rake_angle if cut.reference_rake is None else cut.reference_rake
    return kienzle.own_metal(cut.specific_force, cut.chip_exponent, rake)


def impact_of(cut: Cut) -> float:
    """Return by how many times a cut's forces load the grip when its edge enters the metal again, else 1."""
    if not cut.interrupted:
        return 1.0
    return cutting.SUDDEN_LOAD if cut.impact_factor is None else cut.impact_factor


def cut_speed(cut: Cut, operation: Operation) -> float:
    """Return the spindle speed of a cut, within the operation's speeds; 0 where only the tool turns."""
    grip = operation.gripping
    return speed_within(cut, asked_speed(cut), grip.speed_low, grip.speed_high)


def speed_within(cut: Cut, asked: Number, low: Number, high: Number) -> Number:
    """Return the spindle speed that a cut gets for the one it asks for; 0 where only the tool turns."""
    return asked if cut.rotating_tool else smaller(larger(asked, low), high)


def cut_forces(cut: Cut, material: Material | str, spindle_speed: float) -> CutForces:
    """Return the forces of a cut: as measured, or by Kienzle with the less favourable printing."""
    return forces_in(cut, as_stated(cut), material, spindle_speed)


def forces_in(
    cut: Cut, state: CutState[Number], material: Material | str, spindle_speed: Number
) -> CutForces[Number]:
    """Return the forces of a cut in a state: as measured, or by Kienzle with the less favourable printing.

    Of a drill that breaks through those are told that pull the part out: jaws alone, never the back face, bear them.
    """
    found = _steady_forces(cut, state, material, spindle_speed)
    return drilling.breaking_through(found) if breaks_through(cut) or cut.kind == "tapping" else found


def mills(cut: Cut) -> bool:
    """Tell whether a cut is that of a cutter that turns, other than a drill or a tap."""
    return cut.rotating_tool and cut.kind not in cutting.ALONG_AN_AXIS


def breaks_through(cut: Cut) -> bool:
    """Tell whether a cut is a drill's that may break through, where it is not said that it does not."""
    return cut.kind == "drilling" and cut.through is not False


def _steady_forces(
    cut: Cut, state: CutState[Number], material: Material | str, spindle_speed: Number
) -> CutForces[Number]:
    if state.measured is not None:
        main, feed, passive = state.measured
        kind: kienzle.Kind = "boring" if inside_thread(cut) else cut.kind
        towards: cutting.FeedTowards = "tailstock" if cut.kind == "threading" else cut.feed_towards
        found = CutForces(main, feed, passive, ends(cut)[1], cut.height, towards, kind, cut.off_axis or 0.0)
        return cutting.tooth_forces(found) if mills(cut) else found
    metal = metal_of(cut, material)
    if cut.kind == "drilling":
        # A rotating tool has its own cutting speed, whatever the spindle does.
        own = state.cutting_speed if cut.rotating_tool else None
        return drilling.drill_forces(
            metal,
            cutting.cutting_speed(cut.diameter, spindle_speed) if own is None else own,
            feed=state.feed,
            rake_angle=cut.rake_angle,
            wear_factor=state.wear_factor,
            diameter=cut.diameter,
            height=cut.height,
            feed_towards=cut.feed_towards,
            off_axis=cut.off_axis or 0.0,
        )
    if cut.kind == "tapping":
        return drilling.tap_forces(
            metal,
            pitch=state.feed,
            rake_angle=cut.rake_angle,
            wear_factor=state.wear_factor,
            diameter=cut.diameter,
            height=cut.height,
            off_axis=cut.off_axis or 0.0,
        )
    if cut.kind == "threading":
        return _thread_forces(cut, state, metal, spindle_speed)
    if cut.kind in ("grooving", "parting"):
        return _groove_forces(cut, state, metal, spindle_speed)
    return cutting.kienzle_forces(
        metal,
        spindle_speed,
        feed=state.feed,
        depth_of_cut=state.depth_of_cut,
        approach_angle=cut.approach_angle,
        rake_angle=cut.rake_angle,
        wear_factor=state.wear_factor,
        diameter=cut.diameter,
        height=cut.height,
        feed_towards=cut.feed_towards,
        kind=cut.kind,
    )


def _groove_forces(
    cut: Cut, state: CutState[Number], metal: CutMetal, spindle_speed: Number
) -> CutForces[Number]:
    """Return the forces of a groove at its worst: the speed of its smaller end, the lever of its larger one.

    Where a cutting speed is stated, the spindle may hold it or turn as it did where the groove began: the slower.
    """
    smallest, largest = ends(cut)
    if state.speed is None:
        constant = 0.0 * state.feed + (
            kienzle.DEFAULT_SPEED if state.cutting_speed is None else state.cutting_speed
        )
        spindle_speed = smaller(spindle_speed, cutting.spindle_speed(largest, constant))
    return cutting.groove_forces(
        metal,
        cutting.cutting_speed(smallest, spindle_speed),
        feed=state.feed,
        width=state.depth_of_cut,
        rake_angle=cut.rake_angle,
        wear_factor=state.wear_factor,
        diameter=largest,
        height=cut.height,
        feed_towards=cut.feed_towards,
        kind=cut.kind,
    )


def _thread_forces(
    cut: Cut, state: CutState[Number], metal: CutMetal, spindle_speed: Number
) -> CutForces[Number]:
    """Return the forces of a thread's deepest pass as if it came where the groove is as wide as the lead."""
    smallest, largest = ends(cut)
    return thread_forces(
        metal,
        cutting.cutting_speed(smallest, spindle_speed),
        pitch=state.feed,
        infeed=state.depth_of_cut,
        width=state.feed,
        rake_angle=cut.rake_angle,
        wear_factor=state.wear_factor,
        diameter=largest,
        height=cut.height,
        feed_towards=cut.feed_towards,
        inside=inside_thread(cut),
    )


def inside_thread(cut: Cut) -> bool:
    """Tell whether a cut is an internal thread: its root lies farther out than its crests."""
    return cut.kind == "threading" and cut.end_diameter is not None and cut.end_diameter > cut.diameter


def cut_asked(
    cut: Cut,
    state: CutState[Number],
    material: Material | str,
    speeds: tuple[Number, Number],
    zone: HeldZone,
    grip_diameter: Number,
    mu: Number,
    share: Number | float = 1.0,
) -> CutAsked[Number]:
    """Return what a cut in a state asks of the grip, without safety.

    Parameters
    ----------
    cut : Cut
    state : CutState
    material : Material or str
        Of the part; one of the table may go by its name.
    speeds : tuple
        Lowest and highest of the operation, rev/min.
    zone : HeldZone
    grip_diameter, mu : float or array
        Gripped diameter (mm) and friction.
    share : float or array
        Of the computed or measured forces.
    """
    asked = speed_asked(cut, state)
    speed = speed_within(cut, asked, *speeds)
    # A cut runs no slower than speed_low lets it, but that may not make its forces smaller.
    forces = forces_in(cut, state, material, smaller(speed, asked)).times(share).struck(impact_of(cut))
    return CutAsked(speed, forces, grip_asked(forces, zone, grip_diameter, mu))


def demand(cut: Cut, operation: Operation, metal: Material, zone: HeldZone, mu: float) -> CutDemand:
    """Return the grip that one cut of a part of a metal needs, without safety."""
    stated = operation.gripping
    speeds = stated.speed_low, stated.speed_high
    asked = cut_asked(cut, as_stated(cut), metal, speeds, zone, _grip_diameter(operation), mu)
    return _as_figures(cut.name, asked)


def demand_of(
    forces: CutForces, name: str, speed: float, operation: Operation, zone: HeldZone, mu: float
) -> CutDemand:
    """Return the grip that forces at a spindle speed (rev/min) need, without safety."""
    asked = grip_asked(forces, zone, _grip_diameter(operation), mu)
    return _as_figures(name, CutAsked(speed, forces, asked))


def _grip_diameter(operation: Operation) -> float:
    work = operation.workpiece
    return 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)


def _as_figures(name: str, asked: CutAsked) -> CutDemand:
    grip = asked.grip
    return CutDemand(name, asked.speed, asked.forces, grip.side, grip.needed.total, grip.needed.governing)


def grip_asked(
    forces: CutForces[Number], zone: HeldZone, grip_diameter: Number, mu: Number
) -> GripAsked[Number]:
    """Return what forces ask of the grip in a held zone, at a gripped diameter (mm) and a friction."""
    along = forces.feed_towards in ("chuck", "tailstock")
    axial, radial = (forces.feed, forces.passive) if along else (forces.passive, forces.feed)
    needed = hold.needed_grip(
        forces.tangential,
        axial,
        radial,
        forces.diameter,
        grip_diameter,
        mu,
        abs(zone.seat + forces.height - zone.middle),
        zone.length,
        feed_on_back_face=zone.stands and forces.feed_towards != "tailstock",
        drill_off_axis=forces.off_axis if forces.kind in cutting.ALONG_AN_AXIS else None,
    )
    return GripAsked(cutting.part_load(forces).radial, needed)
