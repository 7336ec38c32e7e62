"""Machine and chuck, and the jaws on their serrations."""

from __future__ import annotations

import math

from sim.assessment.results import Assessment
from sim.drawing.numbers import length_text
from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.figures import bar, fails, found, found_plain, kilonewton, plain, speed, stated
from sim.setup_sheet.form import Form
from sim.setup_sheet.runs import strong

JAWS = ("1", "2", "3")
TORQUE = "screw_torque", "pressure_under_the_head"
HOW = {
    "torque wrench": "tightened with a torque wrench",
    "by feel": "tightened by feel",
    "impact driver": "tightened with an impact driver",
}


def machine(assessment: Assessment, form: Form) -> Section:
    """Return what to look at on machine and chuck."""
    scenario = assessment.scenario
    chuck, limits = scenario.chuck, scenario.machine
    most = form.say(
        "at most {pressure}, {speed}",
        pressure=strong(bar(chuck.pressure_limit, form)),
        speed=strong(speed(chuck.marked_speed, form)),
    )
    if chuck.largest_grip is not None:
        most += form.say(", {grip} of grip in all", grip=strong(kilonewton(chuck.largest_grip, form)))
    swing = max(path.swing for _, path in assessment.paths)
    entries = [
        Entry(
            form.say("chuck"),
            (
                form.say(
                    "{name}, Ø{body}, stroke {stroke}",
                    name=chuck.name,
                    body=strong(stated(chuck.body_diameter, form)),
                    stroke=strong(stated(chuck.stroke, form)),
                ),
                most,
            ),
            ticks=(form.say("is this one"),),
        ),
        Entry(
            form.say("machine"),
            (
                form.say(
                    "{least} to {pressure}, at most {speed}",
                    pressure=strong(bar(limits.pressure_limit, form)),
                    speed=strong(speed(limits.speed_limit, form)),
                    least=strong(bar(limits.lowest_pressure, form)),
                ),
                form.say(
                    "turns in Ø{swing} of Ø{most}",
                    swing=strong(found(swing, form)),
                    most=stated(limits.swing_diameter, form),
                ),
            ),
            ticks=(form.say("bed clear"),),
        ),
        Entry(
            form.say("guideways"),
            (
                form.say(
                    "friction counted: {friction}. Clean and grease them, then measure the grip.",
                    friction=strong(form.number(f"{chuck.guideway_friction:g}")),
                ),
            ),
            ticks=(form.say("greased"),),
        ),
    ]
    return Section(form.say("Machine and chuck"), tuple(entries))


def jaws(assessment: Assessment, form: Form) -> Section:
    """Return how the jaws are mounted."""
    scenario, place = assessment.scenario, assessment.parts.place
    jaw, pitch = scenario.soft_jaw, scenario.chuck.serration_pitch
    first = form.say("new blanks")
    if jaw.bored_before:
        first = form.say("bored {count} times before, which is not drawn", count=len(jaw.bored_before))
    shape: tuple[str, ...] = (
        ()
        if jaw.model is None
        else (form.say("shape of {file}, drawn as the block of its dimensions", file=jaw.model.file),)
    )
    width = plain(jaw.width, form)
    if jaw.sector_angle is not None:
        width = found_plain(jaw.width, form)
        angle = form.number(f"{math.degrees(jaw.sector_angle):.6g}")
        shape += (form.say("sector of {angle}, width over its outer corners", angle=strong(f"{angle}°")),)
    size = " × ".join((plain(jaw.length, form), width, plain(jaw.height, form)))
    entries = [
        Entry(
            form.say("jaws"),
            (
                form.say(
                    "{material}, {size} {unit} (length, width, height), {first}",
                    material=jaw.material,
                    size=strong(size),
                    unit=form.unit,
                    first=first,
                ),
                *shape,
            ),
            ticks=JAWS,
        ),
        Entry(
            form.say("clean"),
            (
                form.say("serrations, T-nuts, screw seats: no chip"),
                form.say("jaw 1, 2, 3 on master jaw 1, 2, 3"),
            ),
            ticks=JAWS,
        ),
        Entry(
            form.say("serration"),
            (
                form.say(
                    "number {number}, counted outward from the one at which the inner ends stand {radius} from the "
                    "axis, chuck fully open; pitch {pitch}",
                    number=strong(f"{jaw.serration_index}"),
                    radius=stated(jaw.mounting_radius, form),
                    pitch=stated(pitch, form),
                ),
            ),
            ticks=JAWS,
        ),
        Entry(
            form.say("chuck fully open"),
            (
                form.say("inner end {radius} from the axis", radius=strong(found(place.opened, form))),
                form.say("outer end {place}", place=edge(assessment, place.opened, form)),
            ),
            blank=form.unit,
        ),
        *_off(assessment, form),
        *_screws(assessment, form),
    ]
    return Section(form.say("Jaws on the serrations"), tuple(entries))


def edge(assessment: Assessment, inner: float, form: Form) -> str:
    """Return how far a jaw's outer end stands from the body's edge where its inner end has a radius, mm."""
    past = inner + assessment.parts.place.length - 0.5 * assessment.parts.sizes.body.diameter
    if abs(past) < 1e-9:
        return form.say("flush with the body's edge")
    off = strong(found(abs(past), form))
    if past > 0.0:
        return form.say("{off} out of the body's edge", off=off)
    return form.say("{off} inside the body's edge", off=off)


def _off(assessment: Assessment, form: Form) -> list[Entry]:
    off = assessment.scenario.soft_jaw.serrations_off
    if not any(off):
        return []
    told = form.say(
        "jaws 1, 2, 3 go {off} serrations outward of where they were bored",
        off=strong(", ".join(f"{n:+d}" for n in off)),
    )
    return [Entry(form.say("for gripping"), (told,), ticks=JAWS)]


def _screws(assessment: Assessment, form: Form) -> list[Entry]:
    jaw = assessment.scenario.soft_jaw
    screws, screw = jaw.screws, assessment.parts.sizes.screw
    washer = (
        form.say("no washer")
        if screws.washer_diameter is None
        else form.say("washer of Ø{diameter}", diameter=stated(screws.washer_diameter, form))
    )
    torque = form.say("{torque} N m each", torque=form.number(f"{screws.torque / 1000.0:.9g}"))
    torque = strong(torque)
    return [
        Entry(
            form.say("screws"),
            (
                form.say(
                    "{screws} mm, class {grade}, a jaw, at {places} from the inner end; {washer}",
                    screws=strong(
                        f"{len(screws.positions)} × {screws.thread} × {form.number(length_text(screw.length, 'mm'))}"
                    ),
                    grade=strong(screws.property_class),
                    places=strong(form.say(" and ").join(stated(v, form) for v in screws.positions)),
                    washer=washer,
                ),
                form.say(
                    "clean; oil thread and head: friction counted {thread} and {head}",
                    thread=form.number(f"{screws.thread_friction:g}"),
                    head=form.number(f"{screws.head_friction:g}"),
                ),
            ),
            ticks=JAWS,
        ),
        Entry(
            form.say("torque"),
            (torque + fails(assessment, form, "jaws", *TORQUE), form.say(HOW[screws.tightening])),
            ticks=JAWS,
            large=True,
        ),
    ]
