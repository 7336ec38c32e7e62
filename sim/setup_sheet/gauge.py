"""What a grip gauge should read, within which band to go on, and below what to stop.

The band is a tenth to each side (common practice, no source), and ends sooner where a verdict would fail: below what
cuts, weight and side force ask for at their speeds, above what a grip loads, which rises no faster than in proportion,
and to both sides where it is too unlike what the jaws were bored with.

A gauge that stands elsewhere reads another force than the part is gripped with, by the model of `sim.readings.gauged`.
Which other depends on the friction of the guideways, which nobody knows until it is measured: the band holds for any
from that of the best grease to that of none, so that no reading in it leaves the part with less than its band allows.
"""

from __future__ import annotations

import math
from collections.abc import Set
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from sim.assessment.figures.clamping import RunOut
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.grip_wanted import (
    grip_asked,
    grip_to_close,
    rest_by_vdi,
    rest_for_weight,
    rest_to_close,
    rest_to_hold,
    rest_to_turn,
)
from sim.assessment.holding import grip_to_hold
from sim.assessment.operation import after, boring_grip
from sim.assessment.results import Assessment
from sim.assessment.verdicts.part import JAW_TAPER_UNDER_GRIP, jaw_taper_under_grip_and_limit
from sim.assessment.verdicts.rules import rule_of
from sim.assessment.verdicts.running import running_verdicts
from sim.contact import taper_um
from sim.mechanics import stroke
from sim.readings.csv_file import Readings
from sim.readings.findings import DRY, SLIPPERY
from sim.readings.gauged import gauged
from sim.setup.grip_travel import bored_face
from sim.setup_sheet.figures import verdict_of

SHARE = 0.1
JAWS = 3
TRIED = 26  # frictions
HALVINGS = 20
# Verdicts that less grip misses,
CUTS, MOVES, CLOSED, WEIGHT = (
    "holding_factor",
    "holding_factor_each_move",
    "least_grip_of_a_jaw",
    "weight_held_by_the_jaws",
)
HOLDS = {"grip_at_rest", "spindle_speed", "program_speed", CUTS, MOVES, CLOSED, WEIGHT}
# those that grip misses which is unlike what the jaws were bored with, more or less,
TAPER = "jaw_taper_under_grip"
TRUE = {"runout_in_the_jaws", "squareness_in_the_jaws", TAPER}
# and those that ask for the pressure as it is set, whatever grip comes of it.
SET = {"steady_pressure"}


@dataclass(frozen=True, slots=True)
class GaugeBand:
    """Totals of three jaws at rest, N.

    Attributes
    ----------
    expected : float
    stop : float
        Below it the setup does not hold what is asked of it; nan where the grip at rest was not judged.
    low, high : float
        Ends of the band in which to go on; nan where there is none.
    """

    expected: float
    stop: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Gauge:
    """A grip gauge as it stands between the jaws, mm.

    Attributes
    ----------
    height : float
        Of its middle above the serrated plane.
    diameter : float
        That the jaws grip.
    """

    height: float
    diameter: float


def gauge_band(assessment: Assessment, figures: OperationFigures) -> GaugeBand:
    """Return the band of an operation; none where something fails or the grip at rest was not judged."""
    rest, name = figures.grip.rest_total, figures.operation.name
    asked = verdict_of(assessment, "grip_at_rest", name)
    nothing = GaugeBand(rest, math.nan if asked is None else 1000.0 * asked.limit, math.nan, math.nan)
    if asked is None or assessment.status == "fail":
        return nothing
    judged = {
        verdict.key: verdict.margin
        for verdict in assessment.verdicts
        if verdict.stage in (name, "jaws")
        and "pressure" in rule_of(verdict.key).depends
        and not verdict.missed
    }
    ends = (1.0 - SHARE, 1.0 + SHARE)
    low, high = (rest * _true_to(assessment, figures, end, judged.keys()) for end in ends)
    pressed = [margin for key, margin in judged.items() if key not in HOLDS | TRUE | SET]
    high = min(high, *(rest * max(margin, 1.0) for margin in pressed), math.inf)
    # Less grip lies otherwise along the jaws: what it must be is asked for once more as it does there.
    stop = max(nothing.stop, _least(assessment, figures, judged.keys(), rest))
    stop = max(stop, _least(assessment, figures, judged.keys(), max(low, stop)))
    low = max(low, stop)
    if not low <= rest <= high:
        return nothing
    return GaugeBand(rest, stop, low, high)


def _least(assessment: Assessment, figures: OperationFigures, met: Set[str], rest: float) -> float:
    """Return the total at rest (N) below which a verdict that is met would be missed.

    `rest` is the one under which it is asked how the pressure lies along the jaws, N.
    """
    parts, times = assessment.parts, assessment.scenario.limits.holding_factor
    asked = cache(grip_to_hold(parts, figures, rest))
    speed = figures.operation.gripping.speed_high
    cuts = (*(figures.demands if CUTS in met else ()), *(figures.demands_of_moves if MOVES in met else ()))
    found = [rest_to_hold(figures, asked, cuts, times)]
    if "spindle_speed" in met:
        found.append(rest_to_turn(figures, speed))
    if "grip_at_rest" in met:
        needed = grip_asked(asked, figures.all_demands, times)
        found.append(rest_by_vdi(assessment.scenario.limits, figures, needed, speed))
    if CLOSED in met:
        found.append(rest_to_close(figures, grip_to_close(parts, figures)))
    if WEIGHT in met:
        found.append(rest_for_weight(figures, times))
    return max(found)


def _true_to(assessment: Assessment, figures: OperationFigures, end: float, met: Set[str]) -> float:
    """Return the share of the grip, from 1 to `end`, up to which the part runs true and stands square enough.

    What jaws are bored with and what they grip with move apart or together: not in proportion to the grip.
    """

    def keeps(share: float) -> bool:
        clamping = figures.clamping
        scaled = replace(
            clamping,
            openings=tuple((share * force, opening) for force, opening in clamping.openings),
            run_outs=tuple(_shifted(state, max(1.0 / share, 1.0)) for state in clamping.run_outs),
            roundness=max(share, 1.0) * clamping.roundness,
        )
        earlier = assessment.operations[: figures.index]
        then = after(assessment.parts, replace(figures, clamping=scaled), earlier)
        found = running_verdicts(assessment.parts, then)
        lean = TAPER in met and tapered(share)
        return not (lean or any(one.missed for one in found if one.key in met))

    def tapered(share: float) -> bool:
        bored = boring_grip(assessment.parts, figures.zone.middle)
        value, limit = jaw_taper_under_grip_and_limit(
            (
                taper_um(share * opening.slope_rad, share * force, bored, figures.zone.length)
                for force, opening in figures.clamping.openings
            ),
            assessment.scenario.limits.jaw_taper,
        )
        return not JAW_TAPER_UNDER_GRIP.met(value, limit)

    if keeps(end):
        return end
    near, far = 1.0, end
    for _ in range(HALVINGS):
        middle = 0.5 * (near + far)
        near, far = (middle, far) if keeps(middle) else (near, middle)
    return near


def _shifted(state: RunOut, times: float) -> RunOut:
    """Return a state whose lobes and jaws shift the part so many times as far: less grip presses fewer flat.

    No more than in proportion: half of the grip lets them shift at most twice as far.
    """
    return replace(
        state,
        by_lobes=times * state.by_lobes,
        by_stated_lobes=tuple(times * shift for shift in state.by_stated_lobes),
        by_jaws=times * state.by_jaws,
        free_lobes=times * state.free_lobes,
        free_jaws=times * state.free_jaws,
    )


def at_gauge(assessment: Assessment, index: int, band: GaugeBand, gauge: Gauge) -> GaugeBand:
    """Return what a gauge reads for a band of the grip at the part of an operation; no band where none is left."""
    expected, least, most = _reads(assessment, index, gauge)
    reading = expected * band.expected
    stop, low, high = most * band.stop, most * band.low, least * band.high
    if not low <= reading <= high:
        low = high = math.nan
    return GaugeBand(reading, stop, low, high)


def _reads(assessment: Assessment, index: int, gauge: Gauge) -> tuple[float, float, float]:
    """Return what a gauge reads over the grip at the part: by the stated friction, and the least and most by any."""
    figures = assessment.operations[index]
    pressure, heights = figures.operation.gripping.pressure, (figures.grip.height, gauge.height)
    ones = np.ones(2)
    model = gauged(
        assessment.parts,
        Readings(pressure * ones, 0.0 * ones, np.array(heights), ones, np.zeros(2, dtype=np.intp)),
        index,
    )

    def share(friction: float) -> float:
        at_part, at_the_gauge = model.unit_force(friction)
        return float(at_the_gauge / at_part)

    # Where friction locks the jaws there is no grip to tell of.
    top = min(max(DRY, model.stated_friction), 0.99 * model.largest_friction)
    stated = share(model.stated_friction)
    bottom = min(SLIPPERY, model.stated_friction)
    shares = [stated, *(share(float(friction)) for friction in np.linspace(bottom, top, TRIED))]
    return stated, min(shares), max(shares)


def gauge_fits(assessment: Assessment, index: int, gauge: Gauge) -> bool:
    """Tell whether the jaws of an operation meet a gauge within their stroke, and reach up to it."""
    scenario, place = assessment.scenario, assessment.parts.place
    face = bored_face(place, scenario.pocket_of(scenario.operations[index]))
    offset = stroke.touch_offset(0.5 * gauge.diameter, face.radius, face.width, face.direction)
    travel = face.travel - offset if place.outside else face.travel + offset
    return 0.0 <= travel <= place.stroke and 0.0 < gauge.height <= scenario.soft_jaw.height
