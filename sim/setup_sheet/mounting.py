"""Machine and chuck, and the jaws on their serrations."""

from __future__ import annotations

from sim.assessment.results import Assessment
from sim.drawing.numbers import length_text
from sim.drawing.primitives import Units
from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.figures import bar, fails, found, kilonewton, speed, stated

JAWS = ("1", "2", "3")
TORQUE = "screw_torque", "pressure_under_the_head"
HOW = {
    "torque wrench": "with a torque wrench",
    "by feel": "by feel",
    "impact driver": "with an impact driver",
}


def machine(assessment: Assessment, units: Units) -> Section:
    """Return what to look at on machine and chuck."""
    scenario = assessment.scenario
    chuck, limits = scenario.chuck, scenario.machine
    most = "" if chuck.largest_grip is None else f", {kilonewton(chuck.largest_grip)} of grip in all"
    swing = max(path.swing for _, path in assessment.paths)
    entries = [
        Entry(
            "chuck",
            (
                f"{chuck.name}, Ø{stated(chuck.body_diameter, units)}, stroke {stated(chuck.stroke, units)}",
                f"at most {bar(chuck.pressure_limit)}, {speed(chuck.marked_speed)}{most}",
            ),
            ticks=("is this one", "greased"),
        ),
        Entry(
            "machine",
            (
                f"at most {bar(limits.pressure_limit)}, {speed(limits.speed_limit)}; "
                f"holds no less than {bar(limits.lowest_pressure)} steadily",
            ),
            ticks=("checked",),
        ),
        Entry(
            "swing",
            (f"turns in Ø{found(swing, units)} of Ø{stated(limits.swing_diameter, units)}",),
            ticks=("bed clear",),
        ),
        Entry(
            "guideways",
            (
                f"friction counted: {chuck.guideway_friction:g}. Clean and grease them, then measure the grip.",
            ),
        ),
    ]
    return Section("Machine and chuck", tuple(entries))


def jaws(assessment: Assessment, units: Units) -> Section:
    """Return how the jaws are mounted."""
    scenario, place = assessment.scenario, assessment.parts.place
    jaw, pitch = scenario.soft_jaw, scenario.chuck.serration_pitch
    first = "new blanks"
    if jaw.bored_before:
        first = f"bored {len(jaw.bored_before)} times before, which is not drawn"
    shape = () if jaw.model is None else (f"shape of {jaw.model.file}, drawn as the block of its dimensions",)
    size = " × ".join(length_text(v, units) for v in (jaw.length, jaw.width, jaw.height))
    entries = [
        Entry(
            "jaws",
            (
                f"{jaw.material}, {size} {'mm' if units == 'mm' else 'in'} (length, width, height), {first}",
                "jaw 1, 2, 3 on master jaw 1, 2, 3",
                *shape,
            ),
            ticks=JAWS,
        ),
        Entry("clean", ("serrations of jaws and master jaws, T-nuts, screw seats: no chip",), ticks=JAWS),
        Entry(
            "serration",
            (
                f"number {jaw.serration_index}, counted outward from the one at which the inner ends stand "
                f"{stated(jaw.mounting_radius, units)} from the axis, chuck fully open; pitch {stated(pitch, units)}",
            ),
            ticks=JAWS,
        ),
        Entry(
            "measured, fully open",
            (
                f"inner end {found(place.opened, units)} from the axis",
                f"outer end {edge(assessment, place.opened, units)}",
            ),
            blank="mm" if units == "mm" else "in",
        ),
        *_off(assessment),
        *_screws(assessment, units),
    ]
    return Section("Jaws on the serrations", tuple(entries))


def edge(assessment: Assessment, inner: float, units: Units) -> str:
    """Return how far a jaw's outer end stands from the body's edge where its inner end has a radius, mm."""
    past = inner + assessment.parts.place.length - 0.5 * assessment.parts.sizes.body.diameter
    if abs(past) < 1e-9:
        return "flush with the body's edge"
    return f"{found(abs(past), units)} {'out of' if past > 0.0 else 'inside'} the body's edge"


def _off(assessment: Assessment) -> list[Entry]:
    off = assessment.scenario.soft_jaw.serrations_off
    if not any(off):
        return []
    told = ", ".join(f"{n:+d}" for n in off)
    return [
        Entry(
            "for gripping",
            (f"jaws 1, 2, 3 go {told} serrations outward of where they were bored",),
            ticks=JAWS,
        )
    ]


def _screws(assessment: Assessment, units: Units) -> list[Entry]:
    jaw = assessment.scenario.soft_jaw
    screws, screw = jaw.screws, assessment.parts.sizes.screw
    at = " and ".join(stated(v, units) for v in screws.positions)
    washer = (
        "no washer"
        if screws.washer_diameter is None
        else f"washer of Ø{stated(screws.washer_diameter, units)}"
    )
    return [
        Entry(
            "screws",
            (
                f"{len(screws.positions)} × {screws.thread} × {length_text(screw.length, 'mm')} mm, class "
                f"{screws.property_class}, a jaw, at {at} from the inner end; {washer}",
                f"clean; oil thread and head: friction counted {screws.thread_friction:g} and {screws.head_friction:g}",
            ),
            ticks=JAWS,
        ),
        Entry(
            "torque",
            (
                f"{screws.torque / 1000.0:.9g} N m each{fails(assessment, 'jaws', *TORQUE)}",
                f"tightened {HOW[screws.tightening]}",
            ),
            ticks=JAWS,
            large=True,
        ),
    ]
