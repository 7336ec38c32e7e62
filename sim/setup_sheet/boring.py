"""Boring the jaws: fixture, travel, pressure, speed, tool, what to turn and what to measure."""

from __future__ import annotations

from sim.assessment.results import Assessment
from sim.drawing.numbers import length_text
from sim.drawing.primitives import Units
from sim.scenario import OuterRing, Plug, Ring
from sim.setup.fixture import fixture_seat
from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.figures import bar, fails, found, kilonewton, speed, stated, verdict_of
from sim.setup_sheet.mounting import edge

# Verdicts that forbid what is set.
TRAVEL = "boring_travel", "one_boring_travel_for_all"
PRESSURE = (
    "boring_ring_pressure",
    "steady_pressure",
    "largest_grip_while_boring",
    "guideway_moment_while_boring",
    "fixture_strength",
    "fixture_seat",
    "load_on_the_fixture",
)
SPEED = "boring_ring_speed", "boring_speed", "load_on_the_fixture"


def boring(assessment: Assessment, units: Units) -> Section:
    """Return how the jaws are bored."""
    scenario, place, path = assessment.scenario, assessment.parts.place, assessment.boring
    stated_as = scenario.boring
    unit, start = _unit(units), "open" if place.outside else "closed"
    entries = [
        *_fixture(assessment, units),
        Entry(
            "travel",
            (
                f"{stated(stated_as.travel, units)} of {stated(place.stroke, units)} from fully {start}"
                + fails(assessment, "boring", *TRAVEL),
                f"seen at the machine: outer end {edge(assessment, place.bored, units)} "
                f"(fully open: {edge(assessment, place.opened, units)})",
                f"inner end {found(place.bored, units)} from the axis",
            ),
            blank=unit,
            large=True,
        ),
        Entry(
            "pressure",
            (bar(stated_as.pressure) + fails(assessment, "boring", *PRESSURE),),
            ticks=("set",),
            large=True,
        ),
        Entry(
            "speed",
            (f"at most {speed(path.highest_speed)}{fails(assessment, 'boring', *SPEED)}",),
            ticks=("limited",),
            large=True,
        ),
        *_tools(assessment, units),
        *_clear(assessment, units),
        *_measured(assessment, units),
    ]
    return Section("Bore the jaws", tuple(entries), drawn="jaws")


def _fixture(assessment: Assessment, units: Units) -> list[Entry]:
    scenario, bearing = assessment.scenario, assessment.boring.bearing
    fixture, limits = scenario.boring.fixture, scenario.limits
    told: tuple[str, ...]
    load: tuple[str, ...] = ()
    if bearing is not None:
        load = (f"{bearing.material}; the jaws load it with {kilonewton(bearing.largest)} in all",)
    if isinstance(fixture, Ring):
        sizes = " × ".join(
            length_text(v, units) for v in (fixture.outer_diameter, fixture.inner_diameter, fixture.thickness)
        )
        circle = (
            ""
            if assessment.parts.ring is None
            else (f", on a circle of Ø{found(assessment.parts.ring.pin_circle_diameter, units)}")
        )
        told = (
            f"boring ring Ø{sizes} {_unit(units)} (outside, inside, thick) on the jaws' top faces",
            f"three pins Ø{stated(fixture.pin_diameter, units)}, {stated(fixture.pin_length, units)} deep in the "
            f"counterbores of screw {fixture.screw + 1} from the inner end{circle}",
            f"at most {bar(limits.ring_pressure)} and {speed(limits.ring_speed)}",
        )
    elif isinstance(fixture, Plug | OuterRing):
        told = _set_in(assessment, fixture, units)
    else:
        return [Entry("fixture", ("none: the jaws are bored without a load, which is not how they grip",))]
    return [Entry("fixture", (*told, *load), ticks=("clean", "seated"))]


def _set_in(assessment: Assessment, fixture: Plug | OuterRing, units: Units) -> tuple[str, ...]:
    if isinstance(fixture, Plug):
        sizes = f"plug Ø{length_text(fixture.diameter, units)} × {stated(fixture.thickness, units)}"
    else:
        sizes = (
            f"outer ring Ø{length_text(fixture.outer_diameter, units)} × Ø{length_text(fixture.inner_diameter, units)} "
            f"× {stated(fixture.thickness, units)}"
        )
    low, high = (stated(v, units) for v in (fixture.height, fixture.height + fixture.thickness))
    told = [sizes, f"its faces {low} and {high} above the serrated plane"]
    seat = fixture_seat(assessment.scenario)
    if seat is not None:
        told.append(
            f"turn its seat first: Ø{stated(seat.diameter, units)}, {stated(seat.depth, units)} below the jaws' top"
        )
    return tuple(told)


def _unit(units: Units) -> str:
    return "mm" if units == "mm" else "in"


def _tools(assessment: Assessment, units: Units) -> list[Entry]:
    bars = assessment.boring.bars
    if not bars:
        names = ", ".join(run.tool.name for run in assessment.boring.runs)
        return [Entry("tool", (names,) if names else ("none stated",), ticks=("set",))]
    return [
        Entry(
            "tool",
            (
                f"{one.tool}, {one.shank} shank",
                f"bar Ø{stated(one.diameter, units)}, {stated(one.reach, units)} out of its holder",
            ),
            ticks=("set",),
        )
        for one in bars
    ]


def _clear(assessment: Assessment, units: Units) -> list[Entry]:
    path, result = assessment.boring, assessment.boring.clearance
    program = path.file or "none stated: judged on a path made from the pockets, not on the shop's program"
    told = [f"program: {program}"]
    if result.least_move >= 0:
        least = result.least_move
        told.append(
            f"nearest {found(result.least_clearance, units)} ({result.part[least]} to {result.body[least]}, move "
            f"{least + 1}), wanted {stated(result.required, units)}"
        )
    if result.touches:
        first = result.touches[0]
        told.append(
            f"FIRST TOUCH: move {first.move + 1}, {first.part} and {first.body} at Ø"
            f"{found(2.0 * first.place[0], units)}, z {found(first.place[1], units)}"
        )
    return [Entry("path", tuple(told), ticks=("dry run",))]


def _measured(assessment: Assessment, units: Units) -> list[Entry]:
    rows = [
        Entry(
            f"{pocket.name}, bored",
            (
                f"Ø{stated(pocket.diameter, units)}, {stated(pocket.depth, units)} deep; tolerance: none is stated",
            ),
            blank=_unit(units),
        )
        for pocket in assessment.scenario.pockets
    ]
    through = assessment.scenario.boring.through_diameter
    if through is not None:
        rows.append(Entry("through", (f"Ø{stated(through, units)}",), blank=_unit(units)))
    for figures in assessment.operations:
        verdict = verdict_of(assessment, "jaw_taper_under_grip", figures.operation.name)
        if verdict is not None:
            rows.append(Entry(f"taper, {figures.operation.name}", (verdict.message,)))
    return rows
