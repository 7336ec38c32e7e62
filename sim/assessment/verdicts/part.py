"""Verdicts on the part in its pocket: does it load, where in the stroke, how far is it held, is it squeezed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import reduce
from typing import Literal

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from meshes.workpiece import reached
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.figures.operation import OperationFigures, half_section
from sim.assessment.stress import LEAST_OF_WALL, UNDER_PRESSURE
from sim.assessment.supports import bear
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number, larger
from sim.base.rounding import near
from sim.base.unit_words import percent
from sim.contact.shape import lobes
from sim.mechanics import hold
from sim.mechanics.stroke import stroke_spare
from sim.setup.parts import Parts

PRACTICE = "common practice"
MODELS = {"foundation": "elastic foundation, order of magnitude", "elastic": "finite elements"}
_COLUMNS_LEAN = (
    " Columns tell it far too small (2 to 33 times less than finite elements): ask without --quick."
)
_CARRYING = {"middle": "middles carry", "edges": "edges carry", "full": "middles and edges carry"}
WIDE = math.radians(75.0)  # of a jaw's arc: three hold most of the part, and wider ones hold little more
_WIDER = "wrap-around jaws, as sector jaws of up to 119 deg each, "
OVERLAP = 0.01  # mm2 in the half-plane that is none
FOUL = 0.3  # mm; the gripped surfaces overlap by less than this in the half-plane

LOADING_CLEARANCE = Rule(
    key="loading_clearance",
    name="loading clearance",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: wanted clearance of the scenario",
    depends=frozenset({"size", "geometry"}),
    view="loading",
    asks="does the part go in with the jaws open?",
)
GRIP_TRAVEL = Rule(
    key="grip_travel",
    name="grip travel",
    unit="mm",
    at_least=True,
    basis="common practice: a reserve of the stroke at both ends",
    depends=frozenset({"size", "geometry"}),
    view="gripped",
    asks="is the part gripped away from both ends of the stroke, at both limits of its size?",
)
HELD_LENGTH = Rule(
    key="held_length",
    name="held length",
    unit="of the length",
    at_least=True,
    basis=f"{PRACTICE}: hold at least a third of the length",
    depends=frozenset({"geometry"}),
    view="held",
    asks="is a third of the part's length held?",
)
PART_CLEAR_OF_THE_JAWS = Rule(
    key="part_clear_of_the_jaws",
    name="part clear of the jaws",
    unit="mm2",
    at_least=False,
    basis="geometry: the part may meet only its own pocket",
    depends=frozenset({"size", "geometry"}),
    view="held",
    asks="does the part meet the jaws only in its own pocket?",
)
MARKING = Rule(
    key="marking",
    name="marking",
    unit="MPa",
    at_least=False,
    basis="band-mean pressure against the yield strength of the softer side, of a bar or casting so thick",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="marking",
    asks="does the band-mean pressure stay below yield?",
)
MOSTLY = 0.6  # share of the squared deviation from which on one order of lobes is named alone
STRESS_AGAINST_YIELD = Rule(
    key="stress_against_yield",
    name="stress against yield",
    unit="of yield",
    at_least=False,
    basis=(
        "finite elements, means over bands of the outline: equivalent stress (von Mises), of grey iron the largest "
        "tension, against the part's yield strength (of a bar or casting so thick); 0.6 of the band pressure (line "
        "contact, Johnson) against that of the softer side; the grip alone, without cut and spin"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="pressure",
    asks="does the part bear the grip: do part and jaw stay elastic, and does grey iron not crack?",
)
DISPLACEMENT_AGAINST_WALL = Rule(
    key="displacement_against_wall",
    name="displacement against wall",
    unit="mm",
    at_least=False,
    basis=f"{PRACTICE}: a tenth of the wall at the gripped height (of a solid part its radius)",
    background="strain around the wall (finite elements); Johnson's line contact; common practice",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="pressure",
    asks="may the figures be taken for true: does the part move by less than a tenth of its wall?",
)
ROUNDNESS_AFTER_RELEASE = Rule(
    key="roundness_after_release",
    name="roundness after release",
    unit="um",
    at_least=False,
    basis="contact model, finite elements",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="shape",
    asks="how far from round is the surface that is turned, after release?",
)
JAW_TAPER_UNDER_GRIP = Rule(
    key="jaw_taper_under_grip",
    name="jaw taper under grip",
    unit="um",
    at_least=False,
    basis="limits.jaw_taper of the scenario (common practice); tilt in the guideway and bending of the jaw",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="held",
    asks="do the jaws stand parallel under the grip, bored as they were?",
)
SWING = Rule(
    key="swing",
    name="swing",
    unit="mm",
    at_least=False,
    basis="machine.swing_diameter of the scenario",
    depends=frozenset({"size", "geometry"}),
    view="gripped",
    asks="do chuck, jaws and part swing clear in the machine?",
)


def part_verdicts(parts: Parts, boring: BoringFigures, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on loading, travel, held length, fit, marking, roundness and swing."""
    yield from _stroke(parts, figures)
    yield _held(parts, figures)
    yield _fits(parts, boring, figures)
    yield _marking(figures)
    if math.isfinite(figures.roundness):
        yield _roundness(figures)
    yield from _beyond_elastic(figures)
    yield _taper(parts, figures)
    yield _swing(parts, figures)


def loading_clearance_and_limit(clearance: Number, wanted: Number) -> tuple[Number, Number]:
    """Return with how much to spare a part goes in and with how much it must, mm of radius."""
    return clearance, wanted


def grip_travel_and_limit(first: Number, last: Number, stroke: float, share: Number) -> tuple[Number, Number]:
    """Return what is left to the nearer end of the stroke beyond two travels, and the reserve wanted there, mm."""
    return stroke_spare(first, last, stroke), share * stroke


def held_length_and_limit(held: float, length: float, share: float) -> tuple[float, float]:
    """Return which share of a part's length (mm) is held and which must be."""
    return hold.held_share(held, length), share


def part_clear_of_the_jaws_and_limit(overlap: Number) -> tuple[Number, float]:
    """Return the overlap of part and jaws in the half-plane and what is none, mm2."""
    return overlap, OVERLAP


def marking_and_limit(peak: Number, yield_strength: float) -> tuple[Number, float]:
    """Return the largest band-mean pressure and the yield strength of the softer side, MPa."""
    return peak, yield_strength


def stress_against_yield_and_limit(share: Number) -> tuple[Number, float]:
    """Return the largest share of a yield strength and 1."""
    return share, 1.0


def swing_and_limit(swing: Number, machine: Number) -> tuple[Number, Number]:
    """Return in which diameter chuck, jaws and part turn and which one clears the machine, mm."""
    return swing, machine


def roundness_after_release_and_limit(out_of_round: Number, limit: Number) -> tuple[Number, Number]:
    """Return out-of-round (um) and its limit (mm) in um."""
    return out_of_round, 1000.0 * limit


def displacement_against_wall_and_limit(moved: Number, wall: Number) -> tuple[Number, Number]:
    """Return how far the part moves and how far it may at a wall, mm."""
    return moved, LEAST_OF_WALL * wall


def jaw_taper_under_grip_and_limit(tapers: Iterable[Number], limit: Number) -> tuple[Number, Number]:
    """Return the largest amount of differences of diameter (um), one a state, and its limit (mm) in um."""
    return reduce(larger, (larger(taper, -taper) for taper in tapers)), 1000.0 * limit


def _stroke(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    limits, stroke, travel = parts.scenario.limits, parts.scenario.chuck.stroke, figures.travel
    stage = figures.operation.name
    clearance, wanted = loading_clearance_and_limit(travel.loading_clearance, limits.loading_clearance)
    yield LOADING_CLEARANCE.verdict(
        stage,
        clearance,
        wanted,
        message=f"the part goes in with {near(clearance, wanted, 2)} mm at its limit of size.",
        advice="Turn the pocket larger.",
    )
    yield GRIP_TRAVEL.verdict(
        stage,
        *grip_travel_and_limit(travel.first, travel.last, stroke, limits.stroke_reserve),
        basis=f"{PRACTICE}: reserve of {percent(limits.stroke_reserve)} of the stroke at both ends",
        message=(
            f"grips at {travel.first:.2f} to {travel.last:.2f} mm of {stroke:.2f} mm; first touch "
            f"{travel.low.touch.pattern} (smallest part), {travel.high.touch.pattern} (largest)."
        ),
        advice="Turn the pocket nearer to the part's size.",
    )


def _held(parts: Parts, figures: OperationFigures) -> Verdict:
    zone, limits = figures.zone, parts.scenario.limits
    share, wanted = held_length_and_limit(zone.length, zone.part_length, limits.held_share)
    bearing = bear(figures.operation)
    return HELD_LENGTH.verdict(
        figures.operation.name,
        share,
        wanted,
        message=f"{zone.length:.1f} mm of {zone.part_length:.1f} mm are held"
        + (f"; {bearing} the rest." if bearing else "."),
        advice="Turn the pocket deeper, or shorten the relief groove."
        if bearing
        else "Turn the pocket deeper, shorten the relief groove, or support the free end.",
        # Half the common practice is no matter of taste: a part with a free end leans out of the jaws.
        otherwise="warn" if share >= 0.5 * wanted or bearing else "fail",
    )


def _fits(parts: Parts, boring: BoringFigures, figures: OperationFigures) -> Verdict:
    """Judge in the half-plane, at the grip travel, whether the part meets a jaw off its pocket."""
    overlap = jaw_overlap(parts, boring, figures)
    area, none = part_clear_of_the_jaws_and_limit(float(overlap.area))
    return PART_CLEAR_OF_THE_JAWS.verdict(
        figures.operation.name,
        area,
        none,
        message=(
            "the part meets the jaws only in its pocket."
            if area <= none
            else f"the part overlaps the jaws by {near(area, none, 1)} mm2 in section near radius "
            f"{overlap.centroid.x:.1f} mm, z {overlap.centroid.y:.1f} mm."
        ),
        advice="Turn a clearance there, or change the pockets' depths.",
    )


def jaw_overlap(parts: Parts, boring: BoringFigures, figures: OperationFigures) -> BaseGeometry:
    """Return where part and jaws overlap in the half-plane (mm) at the grip travel, but for the gripped surfaces."""
    moved = figures.grip_travel - parts.scenario.boring.travel
    shift = -moved if parts.direction == "outside" else moved
    part = shapely.buffer(half_section(figures, parts), -FOUL)
    return shapely.intersection(part, affinity.translate(boring.wanted, xoff=shift))


def _marking(figures: OperationFigures) -> Verdict:
    peak, limit = marking_and_limit(figures.clamping.band_peak, figures.yield_strength)
    per_um = figures.clamping.band_peak_per_um
    changed = f", {per_um:.2g} MPa more or less for 1 µm of bore radius" if math.isfinite(per_um) else ""
    return MARKING.verdict(
        figures.operation.name,
        peak,
        limit,
        message=(
            f"largest band-mean pressure {near(peak, limit, 0)} MPa "
            f"({MODELS[figures.clamping.model]}){changed}; {figures.clamping.state}, on "
            f"a part of middle size, {_CARRYING[figures.contact.pattern]}, "
            f"{percent(figures.contact.closed_fraction)} of the faces closed."
        ),
        advice="Turn the pocket to the part's size, or use wider jaws that wrap around more of the part.",
        otherwise="warn" if figures.operation.marking_allowed else "fail",
    )


def _narrow(figures: OperationFigures) -> bool:
    """Tell whether the jaws hold so little of the part that wider ones would hold much more."""
    return 2.0 * float(figures.contact.grid.angle_edges_rad[-1]) < WIDE


def _roundness(figures: OperationFigures) -> Verdict:
    found, limit = roundness_after_release_and_limit(figures.roundness, figures.operation.roundness_limit)
    return ROUNDNESS_AFTER_RELEASE.verdict(
        figures.operation.name,
        found,
        limit,
        basis=figures.clamping.roundness_basis,
        message=f"about {near(found, limit, 1)} µm out of round after release{_of_lobes(figures.clamping)} (estimate).",
        advice=f"Grip more of the part's circumference ({_WIDER if _narrow(figures) else ''}a ring with pads, a bore "
        "turned to its size), hold a stiffer section, or put a plug into a thin part.",
    )


def _of_lobes(clamping: ClampingFigures) -> str:
    """Say which lobes the surface that is turned has, by its harmonics; nothing where its shape is not known."""
    if clamping.shape is None or " at " not in clamping.surfaces[0]:
        return ""
    found = lobes(clamping.shape.moved_mm[0, 0])
    if not found:
        return ""
    (first, share), *others = found
    if share >= MOSTLY or not others:
        return f", mostly of {first} lobes"
    return f", of {first} and {others[0][0]} lobes"


def _in_the_part(clamping: ClampingFigures) -> str:
    """Say which stress of the part counts, how large it is and where, for a sentence that goes on."""
    if clamping.decisive_stress <= 0.0:
        return ""
    words = {
        "equivalent": "equivalent stress in the part",
        "tension": "tension in the part (grey iron cracks)",
        "around the wall": "around the part's wall",
    }[clamping.decisive_kind]
    at = ""
    if clamping.decisive_place is not None:
        r, z = clamping.decisive_place
        at = f" at diameter {2.0 * r:.0f} mm, z {z:.0f} mm"
    return f"{clamping.decisive_stress:.0f} MPa {words}{at}, "


def _beyond_elastic(figures: OperationFigures) -> Iterator[Verdict]:
    """Yield whether part and jaws stay within what the model describes: elastic, and moved little."""
    clamping, stage = figures.clamping, figures.operation.name
    untrue = "the figures beyond small elastic displacement are not true"
    share, whole = stress_against_yield_and_limit(clamping.stress_share)
    met = share <= whole
    yield STRESS_AGAINST_YIELD.verdict(
        stage,
        share,
        whole,
        message=(
            f"{_in_the_part(clamping)}{UNDER_PRESSURE * clamping.band_peak:.0f} MPa under the jaws, "
            f"{percent(share)} of yield{'' if met else '; ' + untrue}."
        ),
        advice="Hold a stiffer section of the part, or use wider jaws or a fuller bore.",
    )
    moved, most = displacement_against_wall_and_limit(clamping.displacement, clamping.wall)
    met = moved <= most
    yield DISPLACEMENT_AGAINST_WALL.verdict(
        stage,
        moved,
        most,
        message=(
            f"the part moves by {moved:.3f} mm at most, its wall is {clamping.wall:.1f} mm"
            f"{'' if met else '; ' + untrue}."
        ),
        advice="Hold a stiffer section of the part, or use wider jaws or a fuller bore.",
    )


def taper_side(parts: Parts, taper: float) -> Literal["smaller", "larger"]:
    """Return whether a pocket is to be smaller or larger at its mouth than at its root, by the taper to turn, um."""
    return "smaller" if (taper < 0.0) == (parts.direction == "outside") else "larger"


def _taper(parts: Parts, figures: OperationFigures) -> Verdict:
    taper, opening = figures.clamping.taper, figures.clamping.opening
    found, limit = jaw_taper_under_grip_and_limit([taper.diameter_um], parts.scenario.limits.jaw_taper)
    side = taper_side(parts, taper.diameter_um)
    matters = (
        f"turn the pocket {near(found, limit, 0)} µm {side} in diameter at its mouth than at its root"
        if taper.matters
        else "too small to turn in"
    )
    return JAW_TAPER_UNDER_GRIP.verdict(
        figures.operation.name,
        found,
        limit,
        message=(
            f"gripping opens the jaws by {opening.over_height_um:.1f} µm in radius over the gripped height, "
            f"boring did part of it; {matters}.{_COLUMNS_LEAN if figures.clamping.model == 'foundation' else ''}"
        ),
        advice="Bore with the force that grips, turn the taper into the pocket, or use lower jaws.",
        otherwise="warn",
    )


def _swing(parts: Parts, figures: OperationFigures) -> Verdict:
    turning = swing_diameter(parts, figures.index, figures.grip_travel)
    swing, most = swing_and_limit(turning, parts.scenario.machine.swing_diameter)
    return SWING.verdict(
        figures.operation.name,
        swing,
        most,
        message=f"chuck, jaws and part turn in {near(swing, most, 0)} mm.",
        advice="Use shorter jaws, mount them further in, or choose a larger machine.",
    )


def swing_diameter(parts: Parts, index: int, travel: Number) -> Number:
    """Return the diameter (mm) in which chuck, jaws and part of an operation turn at a travel (mm)."""
    corner = parts.place.corner(parts.place.inner(travel))
    widest = max(0.5 * parts.scenario.chuck.body_diameter, reached(parts.workpieces[index]).bounds[2])
    return 2.0 * larger(corner, widest)
