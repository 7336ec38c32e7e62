"""Verdicts on the jaws and their screws: torque, head pressure, seat, serrations, thread, wall, overhang."""

from __future__ import annotations

from collections.abc import Iterator
from typing import overload

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import (
    CLOSED,
    LIFTED,
    SERRATION_FACTOR,
    Seated,
    own_pulls,
    rotor_mass,
    screwed_as_stated,
    seated,
    top_jaw,
    unbalance,
    unlike,
)
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import RELATIVE, Rule
from sim.base import tables
from sim.base.arrays import Flags, Floats
from sim.base.floats import Number
from sim.base.rounding import at_most_text, near
from sim.base.unit_words import percent
from sim.mechanics import balance, screws
from sim.setup import seat
from sim.setup.jaw_screws import head_underside, nut_top
from sim.setup.metal import walls
from sim.setup.parts import Parts

STAGE = "jaws"
NUT_TENSILE = 800.0  # MPa, quenched and tempered T-nut (common practice, no source)
LEAST_SCREWS = 2  # of a jaw (common practice, no source)

UNBALANCE = Rule(
    key="unbalance",
    name="unbalance",
    unit="g mm",
    at_least=False,
    basis="ISO 21940-11, G 6.3, for chuck and jaws without the part",
    depends=frozenset({"speed", "geometry"}),
    view="overhang",
    asks="with a jaw off its serration or of another mass: how far out of balance?",
)
SCREW_TORQUE = Rule(
    key="screw_torque",
    name="screw torque",
    unit="N m",
    at_least=False,
    basis="VDI 2230: 90\u00a0% of the yield strength (ISO 898-1)",
    depends=frozenset({"friction"}),
    view="screw",
    asks="do the screws bear their torque?",
)
PRESSURE_UNDER_THE_HEAD = Rule(
    key="pressure_under_the_head",
    name="pressure under the head",
    unit="MPa",
    at_least=False,
    basis="VDI 2230, limiting surface pressure of the jaw",
    depends=frozenset({"friction"}),
    view="screw",
    asks="does the jaw bear the screws' heads?",
)
THREAD_IN_THE_T_NUT = Rule(
    key="thread_in_the_t_nut",
    name="thread in the T-nut",
    unit="mm",
    at_least=True,
    basis="VDI 2230: the screw breaks before the nut strips",
    depends=frozenset({"geometry"}),
    view="screw",
    asks="does the screw break before the T-nut strips?",
)
JAW_SEAT_STAYS_CLOSED = Rule(
    key="jaw_seat_stays_closed",
    name="jaw seat stays closed",
    unit="",
    at_least=True,
    basis=(
        "rigid jaw on its seat under the least preload (VDI 2230 scatter), a model of this project: grip moment, the "
        "jaw's own pull and the wedging of the serrations' flanks in one balance; gaping warns, lifting at less than "
        "1.5 times fails"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="seat",
    asks="does the jaw stay on its seat, as far as master jaw and soft jaw overlap?",
)
SERRATIONS = Rule(
    key="serrations",
    name="serrations",
    unit="",
    at_least=True,
    basis="shear of half the teeth at half their width (assumption, no source)",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="seat",
    asks="do the serrations bear the grip?",
)
JAW_PAST_THE_MASTER_JAW = Rule(
    key="jaw_past_the_master_jaw",
    name="jaw past the master jaw",
    unit="mm",
    at_least=False,
    basis="limits.master_overhang of the scenario (common practice, no source)",
    depends=frozenset({"geometry"}),
    view="overhang",
    asks="does the master jaw bear the whole blank?",
)
SCREWS_OF_A_JAW = Rule(
    key="screws_of_a_jaw",
    name="screws of a jaw",
    unit="",
    at_least=True,
    basis="common practice, no source: two, so that a jaw stays on when one screw is lost",
    depends=frozenset({"geometry"}),
    view="screw",
    asks="do two screws hold a jaw?",
)
WALL_TO_THE_COUNTERBORE = Rule(
    key="wall_to_the_counterbore",
    name="wall to the counterbore",
    unit="mm",
    at_least=True,
    basis="limits.wall of the scenario (common practice)",
    depends=frozenset({"geometry"}),
    view="screw",
    asks="does metal stand between pockets and counterbores?",
)
JAW_OVERHANG = Rule(
    key="jaw_overhang",
    name="jaw overhang",
    unit="mm",
    at_least=False,
    basis="limits.body_overhang of the scenario (common practice)",
    depends=frozenset({"geometry"}),
    view="overhang",
    asks="do the open jaws stand out of the chuck body no further than they may?",
)


def jaw_verdicts(parts: Parts) -> Iterator[Verdict]:
    """Yield the verdicts on the jaws as they are bolted, which hold for every operation."""
    yield from _screws(parts)
    wall = _wall(parts)
    if wall is not None:
        yield wall
    yield _overhang(parts)
    yield _past_master(parts)
    if len(parts.scenario.soft_jaw.screws.positions) < LEAST_SCREWS:
        yield _few_screws(parts)
    if unlike(parts.scenario):
        yield _unbalance(parts)


def seat_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on the jaw's seat under the grip of one operation."""
    yield from _seat(parts, figures)


@overload
def lifts(factor: float) -> bool: ...
@overload
def lifts(factor: Floats) -> Flags: ...
def lifts(factor: Floats | float) -> Flags | bool:
    """Tell whether a jaw that lifts at so many times its load is too near to that: it then fails, and does not warn."""
    return factor < LIFTED * (1.0 - RELATIVE)


def _other_seat(parts: Parts) -> str:
    """Say what else would keep the seat closed: where the screws stand, and which way they should."""
    place, outside = seat.seat(parts.scenario), parts.direction == "outside"
    stand = " and ".join(f"{position:g}" for position in place.screws)
    return (
        f"Use lower jaws, larger screws, or blanks whose screws stand farther {'in' if outside else 'out'}: under the "
        f"blank they stand {stand} mm from its inner end, on a seat from {place.inner:.1f} to {place.outer:.1f} mm, "
        f"which tips about its {'outer' if outside else 'inner'} end."
    )


def screw_torque_and_limit(torque: Number, allowed: Number) -> tuple[Number, Number]:
    """Return a torque and the largest allowed (N mm) in N m."""
    return torque / 1000.0, allowed / 1000.0


def pressure_under_the_head_and_limit(pressure: Number, borne: float) -> tuple[Number, float]:
    """Return the pressure of a screw's head on the jaw and what the jaw bears, MPa."""
    return pressure, borne


def thread_in_the_t_nut_and_limit(
    engaged: float, thread: tables.Thread, strength: tables.PropertyClass
) -> tuple[float, float]:
    """Return how much thread is engaged, and how much lets a screw break before its T-nut strips, mm."""
    found = screws.engagement(engaged, thread, strength, NUT_TENSILE)
    return found.engaged, found.needed


def jaw_seat_stays_closed_and_limit(found: Seated[Number]) -> tuple[Number, float]:
    """Return how many times its load a jaw's seat stays closed, and how many times it must."""
    return found.seat_factor, CLOSED


def serrations_and_limit(found: Seated[Number]) -> tuple[Number, float]:
    """Return how many times the serrations bear their load, and how many times they must."""
    return found.teeth_factor, SERRATION_FACTOR


def jaw_past_the_master_jaw_and_limit(inner: float, outer: float, limit: float) -> tuple[float, float]:
    """Return how far a jaw stands free at its inner or its outer end, whichever is more, and how far it may, mm."""
    return max(inner, outer), limit


def screws_of_a_jaw_and_limit(count: int) -> tuple[float, float]:
    """Return how many screws hold a jaw and how many must."""
    return float(count), float(LEAST_SCREWS)


def wall_to_the_counterbore_and_limit(wall: float, limit: float) -> tuple[float, float]:
    """Return the metal between what is turned into a jaw and a counterbore, and what must stand there, mm."""
    return wall, limit


def unbalance_and_limit(found: float, rotor: float, speed: Number) -> tuple[float, Number]:
    """Return an unbalance and what is permissible (g mm) of chuck and jaws (kg) at a speed, rev/min."""
    return found, balance.permissible_unbalance(rotor, speed)


def jaw_overhang_and_limit(corner: float, body_diameter: float, limit: float) -> tuple[float, float]:
    """Return how far jaws whose corner turns at a radius stand out of the chuck body, and how far they may, mm."""
    return max(0.0, corner - 0.5 * body_diameter), limit


def _screws(parts: Parts) -> Iterator[Verdict]:
    stated = parts.scenario.soft_jaw.screws
    thread = tables.thread(stated.thread)
    strength = tables.property_class(stated.property_class, thread.diameter)
    found = screwed_as_stated(parts.scenario)
    force, size = found.preload, f"{stated.thread} {stated.property_class}"
    torque, most = screw_torque_and_limit(stated.torque, found.allowed_torque)
    yield SCREW_TORQUE.verdict(
        STAGE,
        torque,
        most,
        message=f"{size}: preload {force.least / 1000:.1f} to {force.largest / 1000:.1f} kN a screw.",
        advice=f"Tighten to {at_most_text(most, 0)} N m or less, or use a higher property class.",
    )
    pressure, borne = pressure_under_the_head_and_limit(
        found.head_pressure, parts.jaw_material.surface_pressure
    )
    yield PRESSURE_UNDER_THE_HEAD.verdict(
        STAGE,
        pressure,
        borne,
        basis=f"VDI 2230, limiting surface pressure of {parts.jaw_material.name}",
        message=f"{near(pressure, borne, 0)} MPa under a "
        f"{'washer' if stated.washer_diameter else 'bare head'}.",
        advice="Use a hard washer, less torque, or a harder jaw.",
    )
    below = parts.sizes.screw.length - (head_underside(parts.scenario) - nut_top(parts.scenario))
    engaged, needed = thread_in_the_t_nut_and_limit(below, thread, strength)
    yield THREAD_IN_THE_T_NUT.verdict(
        STAGE,
        engaged,
        needed,
        message=f"{near(below, needed, 1)} mm of thread are engaged.",
        advice="Use a longer screw or a deeper T-nut.",
        otherwise="warn",
    )


def seated_under(parts: Parts, figures: OperationFigures) -> Seated:
    """Return how the jaws sit under the grip of an operation, screwed as stated."""
    scenario, grip, top = parts.scenario, figures.grip, top_jaw(parts)
    return seated(
        parts,
        top,
        figures.zone.middle,
        grip.rest_per_jaw,
        grip.largest_per_jaw,
        own_pulls(parts, top, figures.grip_travel, figures.operation.gripping.speed_high),
        screwed_as_stated(scenario).preload.least,
    )


def _seat(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    stage, found = figures.operation.name, seated_under(parts, figures)
    factor, closed = jaw_seat_stays_closed_and_limit(found)
    gaping, lifting = found.gaping_factor, found.lifting_factor
    yield JAW_SEAT_STAYS_CLOSED.verdict(
        stage,
        factor,
        closed,
        message=f"under the least preload the seat gapes at {near(gaping, closed, 1)} times, the jaw lifts at "
        f"{near(lifting, LIFTED, 1)} times the load by grip, the jaw's own pull and the serrations' wedging.",
        advice=_other_seat(parts),
        otherwise="fail" if lifts(lifting) else "warn",
    )
    bearing, teeth = min(place.length for place in seat.seats(parts.scenario)), found.teeth
    yield SERRATIONS.verdict(
        stage,
        *serrations_and_limit(found),
        message=f"{bearing:.0f} mm of the jaw rest on the master jaw: shear {teeth.shear_stress:.0f} MPa; friction "
        f"would carry {percent(teeth.friction_share)}.",
        advice="Raise the screw torque within its limit or seat the jaw on more serrations.",
    )


def _wall(parts: Parts) -> Verdict | None:
    """Return the least wall between what is turned into the jaws and a screw's counterbore or hole; None without one.

    A counterbore that opens into a pocket's back face has no wall to be judged; one that the pocket's side cuts
    has none left, and takes its width out of the gripping face.
    """
    scenario = parts.scenario
    found = walls(scenario)
    if not found:
        return None
    thinnest, what, pocket = min(found)
    least, limit = wall_to_the_counterbore_and_limit(thinnest, scenario.limits.wall)
    return WALL_TO_THE_COUNTERBORE.verdict(
        STAGE,
        least,
        limit,
        message=(
            f"{near(least, limit, 1)} mm stand between {'pocket' if pocket else what} and "
            f"{'counterbore' if pocket else 'a screw'}."
            if least > 0.0
            else "a counterbore breaks through the gripping face of a pocket."
            if pocket
            else f"{what} breaks into a screw's counterbore or hole."
        ),
        advice="Move the jaws by some serrations, change the pocket, or choose a blank with other screw positions.",
    )


def _overhang(parts: Parts) -> Verdict:
    scenario = parts.scenario
    corner = parts.place.corner(parts.place.opened)
    over, most = jaw_overhang_and_limit(corner, scenario.chuck.body_diameter, scenario.limits.body_overhang)
    return JAW_OVERHANG.verdict(
        STAGE,
        over,
        most,
        message=f"the open jaws stand {near(over, most, 1)} mm out of the chuck body.",
        advice="Use shorter jaws or mount them further in.",
        otherwise="warn",
    )


def _past_master(parts: Parts) -> Verdict:
    places = seat.seats(parts.scenario)
    inner, outer = max(p.free_inner for p in places), max(p.free_outer for p in places)
    bearing = min(p.length for p in places)
    free, limit = jaw_past_the_master_jaw_and_limit(inner, outer, parts.scenario.limits.master_overhang)
    return JAW_PAST_THE_MASTER_JAW.verdict(
        STAGE,
        free,
        limit,
        message=f"{bearing:.1f} mm of the jaw rest on the master jaw, {near(inner, limit, 1)} mm stand free at its "
        f"inner and {near(outer, limit, 1)} mm at its outer end.",
        advice="Mount the jaws on other serrations, or use blanks as long as the master jaws.",
    )


def _few_screws(parts: Parts) -> Verdict:
    stated = parts.scenario.soft_jaw.screws
    return SCREWS_OF_A_JAW.verdict(
        STAGE,
        *screws_of_a_jaw_and_limit(len(stated.positions)),
        message=f"one screw holds each jaw; stated reason: {stated.single_screw_reason}",
        advice="Bolt each jaw with two screws.",
        otherwise="warn",
    )


def _unbalance(parts: Parts) -> Verdict:
    """Judge the unbalance of jaws that differ in mass or place, at the highest speed of all operations."""
    scenario = parts.scenario
    top = top_jaw(parts)
    speed = max(o.gripping.speed_high for o in scenario.operations)
    found, permissible = unbalance_and_limit(unbalance(parts, top), rotor_mass(parts, top), speed)
    return UNBALANCE.verdict(
        STAGE,
        found,
        permissible,
        basis=f"ISO 21940-11, G 6.3 at {speed:.0f} rev/min for chuck and jaws without the part",
        message=f"the jaws are {near(found, permissible, 0)} g mm out of balance "
        f"({balance.unbalance_force(found, speed):.0f} N).",
        advice="Bring the three jaws to the same mass and serration.",
        otherwise="warn",
    )
