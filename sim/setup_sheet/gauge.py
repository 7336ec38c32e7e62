"""What a grip gauge should read, within which band to go on, and below what to stop.

The band is a tenth to each side (common practice, no source), and ends sooner where a verdict would fail: what a grip
holds falls with what the speed and the part's weight leave of it, and what it loads rises no faster than in proportion.

A gauge that stands elsewhere reads another force than the part is gripped with, by the model of `sim.readings.gauged`.
Which other depends on the friction of the guideways, which nobody knows until it is measured: the band holds for any
from that of the best grease to that of none, so that no reading in it leaves the part with less than its band allows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdicts.rules import rule_of
from sim.mechanics import stroke
from sim.readings.csv_file import Readings
from sim.readings.findings import DRY, SLIPPERY
from sim.readings.gauged import gauged
from sim.setup.grip_travel import bored_face
from sim.setup_sheet.figures import verdict_of

SHARE = 0.1
JAWS = 3
TRIED = 26  # frictions
HOLDS = (
    "holding_factor",
    "holding_factor_each_move",
    "least_grip_of_a_jaw",
    "jaw_pushed_across",
    "weight_held_by_the_jaws",
)


@dataclass(frozen=True, slots=True)
class GaugeBand:
    """Totals of three jaws at rest, N.

    Attributes
    ----------
    expected : float
    stop : float
        Below it the setup does not hold what is asked of it at rest; nan where that was not judged.
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
    low, high = max((1.0 - SHARE) * rest, nothing.stop), (1.0 + SHARE) * rest
    # What is lost at speed is lost from any grip: the rest of it is what holds.
    lost = min(max(rest - figures.grip.counted_total, 0.0) + figures.carried, rest)
    for verdict in assessment.verdicts:
        if verdict.stage not in (name, "jaws") or "pressure" not in rule_of(verdict.key).depends:
            continue
        if verdict.missed or not verdict.margin < math.inf:
            continue
        margin = max(verdict.margin, 1.0)
        if verdict.key in HOLDS:
            low = max(low, lost + (rest - lost) / margin)
        elif verdict.key != "grip_at_rest":
            high = min(high, rest * margin)
    if not low <= rest <= high:
        return nothing
    return GaugeBand(rest, nothing.stop, low, high)


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
