"""Holding the part: one section an operation."""

from __future__ import annotations

import math

from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.base.rounding import at_least_text, range_texts
from sim.drawing.numbers import length_text
from sim.drawing.primitives import Units
from sim.scenario import Cut, Operation
from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.figures import (
    DIAL,
    bar,
    factor_text,
    fails,
    found,
    kilonewton,
    small,
    speed,
    speed_found,
    speed_there,
    stated,
)
from sim.setup_sheet.gauge import GaugeBand, gauge_band

TOUCH = {"middle": "the middles of the jaws", "edges": "the edges of the jaws", "full": "the whole face"}

# Verdicts that forbid what is set.
PRESSURE = (
    "steady_pressure",
    "grip_at_rest",
    "largest_grip",
    "guideway_moment",
    "marking",
    "stress_against_yield",
    "displacement_against_wall",
    "jaw_seat_stays_closed",
    "roundness_after_release",
)
SPEED = "spindle_speed", "grip_at_rest", "program_speed"


def gripping(assessment: Assessment, index: int, units: Units) -> Section:
    """Return how the part of an operation is held."""
    figures = assessment.operations[index]
    operation, scenario = figures.operation, assessment.scenario
    work, grip = operation.workpiece, operation.gripping
    unit = "mm" if units == "mm" else "in"
    clamped = "jaws close on it" if assessment.parts.place.outside else "jaws open into it"
    sizes = [length_text(v, units) for v in (work.gripped_diameter_low, work.gripped_diameter_high)]
    diameter = f"Ø{sizes[0]} {unit}" if sizes[0] == sizes[1] else f"Ø{sizes[0]} to Ø{sizes[1]} {unit}"
    travel = figures.travel
    entries = [
        Entry("part", (f"{work.material}, gripped at {diameter}; {clamped}",), blank=unit),
        Entry(
            "pocket",
            (f"{operation.pocket}, Ø{stated(scenario.pocket_of(operation).diameter, units)}",),
            ticks=("clean",),
        ),
        Entry(
            "pressure",
            (bar(grip.pressure) + fails(assessment, operation.name, *PRESSURE),),
            ticks=("set",),
            large=True,
        ),
        Entry(
            "load",
            (
                f"room to load {found(travel.loading_clearance, units)}; grips at travel "
                f"{found(travel.first, units)} to {found(travel.last, units)} of "
                f"{stated(scenario.chuck.stroke, units)}",
                f"first touch: {_touch(travel.low.touch.pattern)} at the smallest part, "
                f"{_touch(travel.high.touch.pattern)} at the largest",
            ),
            ticks=("on its face",),
        ),
        *_borne(operation, units),
        _gauge(assessment, figures, units),
        Entry(
            "speed limit",
            (
                speed(grip.speed_high) + fails(assessment, operation.name, *SPEED),
                f"grip there {kilonewton(figures.grip.high_speed_total)}; the grip permits "
                f"{speed_found(figures.grip.permissible.least)}",
            ),
            ticks=("limited",),
            large=True,
        ),
        *(
            _cut(cut, demand, holding, scenario.limits.holding_factor, units)
            for cut, demand, holding in zip(operation.cuts, figures.demands, figures.holdings, strict=True)
        ),
        *_path(assessment, index, units),
        Entry(
            "run-out",
            (
                small(figures.running.run_out, 1000.0 * operation.runout_limit, units),
                f"out of square {small(figures.running.out_of_square, 1000.0 * operation.squareness_limit, units)}",
            ),
            blank=DIAL[units],
        ),
        Entry(
            "roundness",
            (small(figures.roundness, 1000.0 * operation.roundness_limit, units),),
            blank=DIAL[units],
        ),
    ]
    return Section(f"Hold the part: {operation.name}", tuple(entries), together=True)


def _touch(pattern: str) -> str:
    return TOUCH.get(pattern, pattern)


def _gauge(assessment: Assessment, figures: OperationFigures, units: Units) -> Entry:
    band = gauge_band(assessment, figures)
    told = [
        f"a gauge {found(figures.grip.height, units)} above the serrated plane reads "
        f"{kilonewton(band.expected)} in all, {kilonewton(figures.grip.rest_per_jaw)} a jaw, at rest: measure there, "
        "nearer to the chuck it reads more"
    ]
    if math.isfinite(band.low):
        low, high = range_texts(band.low / 1000.0, band.high / 1000.0, 1)
        told.append(f"go on: {low} to {high} kN. Outside of it do not run: find out why")
    else:
        told.append(_no_band(assessment, band))
    if math.isfinite(band.stop):
        told.append(f"STOP below {at_least_text(band.stop / 1000.0, 1)} kN: it does not hold")
    return Entry("grip at rest", tuple(told), blank="kN")


def _borne(operation: Operation, units: Units) -> list[Entry]:
    """Return what stands behind the part, at its free end and along it."""
    stop, tail, steady = operation.back_stop, operation.tailstock, operation.steady_rest
    borne: list[Entry] = []
    if stop is not None:
        place = f"lower face {stated(stop.height, units)} above the serrated plane"
        borne.append(Entry("back stop", (place, f"{stated(stop.thickness, units)} thick"), ticks=("seated",)))
    if tail is not None:
        force = f"force {kilonewton(tail.force_low)} to {kilonewton(tail.force_high)}"
        hole = f"hole Ø{stated(tail.hole_diameter, units)} in the face, z {stated(tail.height, units)} of the part"
        borne.append(Entry("centre", (force, hole), ticks=("set", "hole clean")))
    if steady is not None:
        place = f"rollers at z {stated(steady.height, units)} of the part"
        most = f"each bears at most {kilonewton(steady.largest_force)}"
        borne.append(Entry("steady rest", (place, most), ticks=("set",)))
    return borne


def _no_band(assessment: Assessment, band: GaugeBand) -> str:
    """Return why there is no band in which to go on."""
    if assessment.status == "fail":
        return "DO NOT GO ON, whatever it reads: this setup fails"
    if math.isnan(band.stop):
        return "NO BAND to go on is given: the grip at rest was not judged"
    return "NO BAND to go on is given: it has no room for any scatter of the grip"


def _cut(cut: Cut, demand: CutDemand, holding: CutHolding, least: float, units: Units) -> Entry:
    to = "" if cut.end_diameter is None else f" to Ø{stated(cut.end_diameter, units)}"
    return Entry(
        f"cut: {cut.name}",
        (
            f"{cut.kind}, Ø{stated(cut.diameter, units)}{to}, {stated(cut.depth_of_cut, units)} deep, "
            f"{stated(cut.feed, units)} a turn, {speed_there(demand.speed)}",
            f"grip there {kilonewton(holding.grip)}; held {factor_text(holding.factor, least)}",
        ),
        ticks=("set",),
    )


def _path(assessment: Assessment, index: int, units: Units) -> list[Entry]:
    path = assessment.machining[index]
    if path is None:
        return [
            Entry("path", ("no program is stated: where its tools go is not judged",), ticks=("dry run",))
        ]
    result = path.clearance
    told = [f"program: {path.file}"]
    if result.least_move >= 0:
        told.append(
            f"nearest {found(result.least_clearance, units)}, wanted {stated(result.required, units)}"
        )
    if result.touches:
        told.append(
            f"FIRST TOUCH: move {result.touches[0].move + 1}, {result.touches[0].part} and {result.touches[0].body}"
        )
    return [Entry("path", tuple(told), ticks=("dry run",))]
