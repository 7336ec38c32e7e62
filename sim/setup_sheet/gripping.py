"""Holding the part: one section an operation."""

from __future__ import annotations

import math

from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.base.rounding import at_least_text, range_texts
from sim.scenario import Cut, Operation
from sim.setup_sheet.entries import Entry, Scale, Section, side_by_side
from sim.setup_sheet.figures import (
    bar,
    factor_text,
    fails,
    found,
    kilonewton,
    plain,
    small,
    speed,
    speed_found,
    speed_there,
    stated,
)
from sim.setup_sheet.form import Form
from sim.setup_sheet.gauge import JAWS, Gauge, GaugeBand, at_gauge, gauge_band, gauge_fits
from sim.setup_sheet.runs import strong

TOUCH = {"middle": "the middles of the jaws", "edges": "the edges of the jaws", "full": "the whole face"}

MOST_CUTS = 12  # of an operation on its step

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


def gripping(assessment: Assessment, index: int, form: Form, gauge: Gauge | None = None) -> Section:
    """Return how the part of an operation is held."""
    figures = assessment.operations[index]
    operation, scenario = figures.operation, assessment.scenario
    grip = operation.gripping
    entries = [
        Entry(
            form.say("part"),
            (
                _part(assessment, operation, form),
                form.say(
                    "pocket: {name}, Ø{diameter}",
                    name=operation.pocket,
                    diameter=strong(stated(scenario.pocket_of(operation).diameter, form)),
                ),
            ),
            blank=form.unit,
        ),
        *side_by_side(
            Entry(
                form.say("pressure"),
                (strong(bar(grip.pressure, form)) + fails(assessment, form, operation.name, *PRESSURE),),
                ticks=(form.say("set"),),
                large=True,
            ),
            Entry(
                form.say("speed limit"),
                (
                    strong(speed(grip.speed_high, form)) + fails(assessment, form, operation.name, *SPEED),
                    form.say(
                        "grip there {grip}, permits {speed}",
                        grip=kilonewton(figures.grip.high_speed_total, form),
                        speed=speed_found(figures.grip.permissible.least, form),
                    ),
                ),
                ticks=(form.say("limited"),),
                large=True,
            ),
        ),
        _load(figures, form),
        *_borne(operation, form),
        _gauge(assessment, index, form, gauge),
        *_cuts(assessment, figures, form),
        *_path(assessment, index, form),
        Entry(
            form.say("run-out"),
            (
                small(figures.running.run_out, 1000.0 * operation.runout_limit, form),
                form.say(
                    "out of square {figure}",
                    figure=small(figures.running.out_of_square, 1000.0 * operation.squareness_limit, form),
                ),
            ),
            blank=form.dial,
        ),
        Entry(
            form.say("roundness"),
            (small(figures.roundness, 1000.0 * operation.roundness_limit, form),),
            blank=form.dial,
        ),
    ]
    return Section(form.say("Hold the part: {name}", name=operation.name), tuple(entries), together=True)


def _part(assessment: Assessment, operation: Operation, form: Form) -> str:
    work = operation.workpiece
    low, high = (plain(v, form) for v in (work.gripped_diameter_low, work.gripped_diameter_high))
    diameter = (
        f"Ø{strong(low)} {form.unit}"
        if low == high
        else form.say("Ø{low} to Ø{high} {unit}", low=strong(low), high=strong(high), unit=form.unit)
    )
    outside = assessment.parts.place.outside
    phrase = "{material}, outside {diameter}" if outside else "{material}, inside {diameter}"
    return form.say(phrase, material=work.material, diameter=diameter)


def _load(figures: OperationFigures, form: Form) -> Entry:
    travel = figures.travel
    return Entry(
        form.say("load"),
        (
            form.say(
                "room to load {room}; grips at travel {first} to {last}",
                room=strong(found(travel.loading_clearance, form)),
                first=strong(found(travel.first, form)),
                last=strong(found(travel.last, form)),
            ),
            form.say(
                "first touch: {small} (smallest part), {large} (largest)",
                small=_touch(travel.low.touch.pattern, form),
                large=_touch(travel.high.touch.pattern, form),
            ),
        ),
        ticks=(form.say("clean"), form.say("on its face")),
    )


def _touch(pattern: str, form: Form) -> str:
    return form.say(TOUCH.get(pattern, pattern))


def _gauge(assessment: Assessment, index: int, form: Form, gauge: Gauge | None) -> Entry:
    figures = assessment.operations[index]
    band = gauge_band(assessment, figures)
    told, read = _own_gauge(assessment, index, band, form, gauge) if gauge is not None else ((), None)
    if read is None:
        height = form.say(
            "a gauge {height} above the serrated plane reads {total} in all, {each} a jaw; nearer to the chuck it "
            "reads more",
            height=strong(found(figures.grip.height, form)),
            total=strong(kilonewton(band.expected, form)),
            each=strong(kilonewton(figures.grip.rest_per_jaw, form)),
        )
        told, read = (height, *told), band
    lines = [*told, *_band(assessment, read, form)]
    return Entry(form.say("grip at rest"), tuple(lines), blank="kN", scale=_scale(read, form))


def _scale(band: GaugeBand, form: Form) -> Scale | None:
    """Return the band as it is drawn, where there is one."""
    if not (math.isfinite(band.low) and math.isfinite(band.stop)):
        return None
    low, high = range_texts(band.low / 1000.0, band.high / 1000.0, 1)
    words = (
        form.say("STOP"),
        form.say("go on"),
        form.number(low),
        f"{form.number(high)} kN",
        form.say("expected {force}", force=kilonewton(band.expected, form)),
    )
    return Scale(band.stop, band.low, band.high, band.expected, words)


def _own_gauge(
    assessment: Assessment, index: int, band: GaugeBand, form: Form, gauge: Gauge
) -> tuple[tuple[str, ...], GaugeBand | None]:
    """Return what a gauge at a place of its own reads, with its band; none where it tells nothing."""
    diameter, height = stated(gauge.diameter, form), stated(gauge.height, form)
    if not gauge_fits(assessment, index, gauge):
        phrase = (
            "the jaws do not meet the gauge of Ø{diameter} at {height} within their stroke: use another one"
        )
        return (form.say(phrase, diameter=diameter, height=height),), None
    read = at_gauge(assessment, index, band, gauge)
    if math.isnan(read.low) and math.isfinite(band.low):
        phrase = "at {height} the gauge does not tell it well enough: how much less the part gets hangs on the grease"
        return (form.say(phrase, height=height),), None
    reads = form.say(
        "the gauge of Ø{diameter} with its middle {height} above the serrated plane reads {total} in all, "
        "{each} a jaw, at rest; the part, {place} above that plane, is then gripped with {grip}",
        diameter=strong(diameter),
        height=strong(height),
        total=strong(kilonewton(read.expected, form)),
        each=strong(kilonewton(read.expected / JAWS, form)),
        place=found(assessment.operations[index].grip.height, form),
        grip=kilonewton(band.expected, form),
    )
    return (reads,), read


def _band(assessment: Assessment, band: GaugeBand, form: Form) -> list[str]:
    """Return within which readings to go on, and below which to stop."""
    told = [_no_band(assessment, band, form)]
    if math.isfinite(band.low):
        low, high = range_texts(band.low / 1000.0, band.high / 1000.0, 1)
        phrase = "go on: {low} to {high} kN, else do not run: find out why"
        told = [form.say(phrase, low=strong(form.number(low)), high=strong(form.number(high)))]
    if math.isfinite(band.stop):
        stop = form.number(at_least_text(band.stop / 1000.0, 1))
        told.append(form.say("STOP below {force} kN", force=strong(stop)))
    return told


def _borne(operation: Operation, form: Form) -> list[Entry]:
    """Return what stands behind the part, at its free end and along it."""
    stop, tail, steady = operation.back_stop, operation.tailstock, operation.steady_rest
    borne: list[Entry] = []
    if stop is not None:
        place = form.say(
            "lower face {height} above the serrated plane", height=strong(stated(stop.height, form))
        )
        thick = form.say("{thick} thick", thick=stated(stop.thickness, form))
        borne.append(Entry(form.say("back stop"), (place, thick), ticks=(form.say("seated"),)))
    if tail is not None:
        force = form.say(
            "force {low} to {high}",
            low=strong(kilonewton(tail.force_low, form)),
            high=strong(kilonewton(tail.force_high, form)),
        )
        hole = form.say(
            "hole Ø{diameter} in the face, z {height} of the part",
            diameter=stated(tail.hole_diameter, form),
            height=stated(tail.height, form),
        )
        borne.append(
            Entry(form.say("centre"), (force, hole), ticks=(form.say("set"), form.say("hole clean")))
        )
    if steady is not None:
        place = form.say("rollers at z {height} of the part", height=strong(stated(steady.height, form)))
        most = form.say("each bears at most {force}", force=kilonewton(steady.largest_force, form))
        borne.append(Entry(form.say("steady rest"), (place, most), ticks=(form.say("set"),)))
    return borne


def _no_band(assessment: Assessment, band: GaugeBand, form: Form) -> str:
    """Return why there is no band in which to go on."""
    if assessment.status == "fail":
        return form.say("DO NOT GO ON, whatever it reads: this setup fails")
    if math.isnan(band.stop):
        return form.say("NO BAND to go on is given: the grip at rest was not judged")
    return form.say("NO BAND to go on is given: it has no room for any scatter of the grip")


def _cuts(assessment: Assessment, figures: OperationFigures, form: Form) -> list[Entry]:
    """Return the cuts in the order of the work; of many those that are held least, and how many are not shown."""
    least = assessment.scenario.limits.holding_factor
    cuts = list(zip(figures.operation.cuts, figures.demands, figures.holdings, strict=True))
    # What is not known is held least: it comes first.
    worst = sorted(
        range(len(cuts)), key=lambda k: -1.0 if math.isnan(cuts[k][2].factor) else cuts[k][2].factor
    )
    shown = sorted(worst[:MOST_CUTS])
    rows = [cut_entry(*cuts[k], least, form) for k in shown]
    if len(cuts) > MOST_CUTS:
        phrase = "{count} more are held better than these: chuckscene sheet --appendix lists them"
        rows.append(Entry(form.say("more cuts"), (form.say(phrase, count=len(cuts) - MOST_CUTS),)))
    return rows


def cut_entry(cut: Cut, demand: CutDemand, holding: CutHolding, least: float, form: Form) -> Entry:
    """Return a cut with its speed, and how many times it is held."""
    diameter = f"Ø{strong(stated(cut.diameter, form))}"
    if cut.end_diameter is not None:
        diameter = form.say("{start} to Ø{end}", start=diameter, end=strong(stated(cut.end_diameter, form)))
    return Entry(
        form.say("cut: {name}", name=cut.name),
        (
            form.say(
                "{kind}, {diameter}, {depth} deep, {feed} a turn, {speed}",
                kind=form.say(cut.kind),
                diameter=diameter,
                depth=stated(cut.depth_of_cut, form),
                feed=stated(cut.feed, form),
                speed=strong(speed_there(demand.speed, form)),
            ),
            form.say(
                "grip there {grip}; held {times}",
                grip=kilonewton(holding.grip, form),
                times=factor_text(holding.factor, least, form),
            ),
        ),
        ticks=(form.say("set"),),
    )


def _path(assessment: Assessment, index: int, form: Form) -> list[Entry]:
    path = assessment.machining[index]
    if path is None:  # which stands before all steps, and the check list asks for the dry run
        return []
    result = path.clearance
    told = [form.say("program: {program}", program=path.file)]
    if result.least_move >= 0:
        told.append(
            form.say(
                "nearest {clearance}, wanted {wanted}",
                clearance=strong(found(result.least_clearance, form)),
                wanted=stated(result.required, form),
            )
        )
    if result.touches:
        touch = result.touches[0]
        told.append(
            form.say(
                "FIRST TOUCH: move {move}, {part} and {body}",
                move=touch.move + 1,
                part=form.say(touch.part),
                body=form.say(touch.body),
            )
        )
    return [Entry(form.say("path"), tuple(told), ticks=(form.say("dry run"),))]
