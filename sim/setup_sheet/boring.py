"""Boring the jaws: fixture, travel, pressure, speed, tool, what to turn and what to measure."""

from __future__ import annotations

from dataclasses import dataclass

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdicts.part import taper_side
from sim.base.rounding import near
from sim.drawing.numbers import DECIMALS, per_unit
from sim.scenario import OuterRing, Plug, Pocket, Ring
from sim.setup.fixture import fixture_seat
from sim.setup_sheet.entries import Entry, Section, side_by_side
from sim.setup_sheet.figures import (
    bar,
    fails,
    found,
    kilonewton,
    plain,
    speed,
    stated,
    stated_within,
    verdict_of,
)
from sim.setup_sheet.form import Form
from sim.setup_sheet.mounting import edge
from sim.setup_sheet.runs import strong

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
LITTLE = {"mm": "2", "inch": "0.0001"}  # of diameter, under which a taper does not matter (0.00008 in)
SPEED = "boring_ring_speed", "boring_speed", "load_on_the_fixture"


@dataclass(frozen=True, slots=True)
class SheetProgram:
    """A program that goes along with a sheet.

    Attributes
    ----------
    name : str
        Of its file.
    digest : str
        First digits of its SHA-256.
    judged : bool
        It is the one that the scenario names, which was judged.
    """

    name: str
    digest: str
    judged: bool


def boring(assessment: Assessment, form: Form, program: SheetProgram | None = None) -> Section:
    """Return how the jaws are bored."""
    scenario, place, path = assessment.scenario, assessment.parts.place, assessment.boring
    stated_as = scenario.boring
    travel, whole = strong(stated(stated_as.travel, form)), stated(place.stroke, form)
    far = (
        form.say("{travel} of {stroke} from fully open", travel=travel, stroke=whole)
        if place.outside
        else form.say("{travel} of {stroke} from fully closed", travel=travel, stroke=whole)
    )
    entries = [
        *_fixture(assessment, form),
        Entry(
            form.say("travel"),
            (
                far + fails(assessment, form, "boring", *TRAVEL),
                form.say("outer end {place}", place=edge(assessment, place.bored, form)),
            ),
            blank=form.unit,
            large=True,
        ),
        *side_by_side(
            Entry(
                form.say("pressure"),
                (strong(bar(stated_as.pressure, form)) + fails(assessment, form, "boring", *PRESSURE),),
                ticks=(form.say("set"),),
                large=True,
            ),
            Entry(
                form.say("speed"),
                (
                    form.say("at most {speed}", speed=strong(speed(path.highest_speed, form)))
                    + fails(assessment, form, "boring", *SPEED),
                ),
                ticks=(form.say("limited"),),
                large=True,
            ),
        ),
        *_tools(assessment, form),
        *_clear(assessment, form),
        *_goes_along(program, form),
        *_measured(assessment, form),
    ]
    return Section(form.say("Bore the jaws"), tuple(entries), drawn="jaws")


def _fixture(assessment: Assessment, form: Form) -> list[Entry]:
    scenario, bearing = assessment.scenario, assessment.boring.bearing
    fixture, limits = scenario.boring.fixture, scenario.limits
    told: tuple[str, ...]
    load: tuple[str, ...] = ()
    if bearing is not None:
        load = (
            form.say(
                "{material}; the jaws load it with {force} in all",
                material=bearing.material,
                force=kilonewton(bearing.largest, form),
            ),
        )
    if isinstance(fixture, Ring):
        sizes = (fixture.outer_diameter, fixture.inner_diameter, fixture.thickness)
        pins = form.say(
            "three pins Ø{diameter}, {length} deep in the counterbores of screw {screw} from the inner end",
            diameter=strong(stated(fixture.pin_diameter, form)),
            length=strong(stated(fixture.pin_length, form)),
            screw=strong(f"{fixture.screw + 1}"),
        )
        if assessment.parts.ring is not None:
            circle = strong(found(assessment.parts.ring.pin_circle_diameter, form))
            pins += form.say(", on a circle of Ø{circle}", circle=circle)
        told = (
            form.say(
                "boring ring Ø{sizes} {unit} (outside, inside, thick) on the jaws' top faces",
                sizes=strong(" × ".join(plain(v, form) for v in sizes)),
                unit=form.unit,
            ),
            pins,
            form.say(
                "at most {pressure} and {speed}",
                pressure=strong(bar(limits.ring_pressure, form)),
                speed=strong(speed(limits.ring_speed, form)),
            ),
        )
    elif isinstance(fixture, Plug | OuterRing):
        told = _set_in(assessment, fixture, form)
    else:
        none = form.say("none: the jaws are bored without a load, which is not how they grip")
        return [Entry(form.say("fixture"), (none,))]
    return [Entry(form.say("fixture"), (*told, *load), ticks=(form.say("clean"), form.say("seated")))]


def _set_in(assessment: Assessment, fixture: Plug | OuterRing, form: Form) -> tuple[str, ...]:
    if isinstance(fixture, Plug):
        sizes = form.say(
            "plug Ø{diameter} × {thick}",
            diameter=strong(plain(fixture.diameter, form)),
            thick=strong(stated(fixture.thickness, form)),
        )
    else:
        sizes = form.say(
            "outer ring Ø{outer} × Ø{inner} × {thick}",
            outer=strong(plain(fixture.outer_diameter, form)),
            inner=strong(plain(fixture.inner_diameter, form)),
            thick=strong(stated(fixture.thickness, form)),
        )
    low, high = (strong(stated(v, form)) for v in (fixture.height, fixture.height + fixture.thickness))
    told = [sizes, form.say("its faces {low} and {high} above the serrated plane", low=low, high=high)]
    seat = fixture_seat(assessment.scenario)
    if seat is not None:
        told.append(
            form.say(
                "turn its seat first: Ø{diameter}, {depth} below the jaws' top",
                diameter=strong(stated(seat.diameter, form)),
                depth=strong(stated(seat.depth, form)),
            )
        )
    return tuple(told)


def _tools(assessment: Assessment, form: Form) -> list[Entry]:
    bars, label, ticks = assessment.boring.bars, form.say("tool"), (form.say("set"),)
    if not bars:
        names = ", ".join(run.tool.name for run in assessment.boring.runs)
        return [Entry(label, (names or form.say("none stated"),), ticks=ticks)]
    return [
        Entry(
            label,
            (
                form.say("{tool}, {shank} shank", tool=one.tool, shank=form.say(one.shank)),
                form.say(
                    "Ø{diameter}, stickout {reach}",
                    diameter=strong(stated(one.diameter, form)),
                    reach=strong(stated(one.reach, form)),
                ),
            ),
            ticks=ticks,
        )
        for one in bars
    ]


def _clear(assessment: Assessment, form: Form) -> list[Entry]:
    path, result = assessment.boring, assessment.boring.clearance
    program = path.file or form.say("none stated, judged on a path made from the pockets")
    told = [form.say("program: {program}", program=program)]
    if result.least_move >= 0:
        least = result.least_move
        told.append(
            form.say(
                "nearest {clearance} ({part} to {body}, move {move}), wanted {wanted}",
                clearance=strong(found(result.least_clearance, form)),
                part=form.say(result.part[least]),
                body=form.say(result.body[least]),
                move=least + 1,
                wanted=stated(result.required, form),
            )
        )
    if result.touches:
        first = result.touches[0]
        told.append(
            form.say(
                "FIRST TOUCH: move {move}, {part} and {body} at Ø{diameter}, z {height}",
                move=strong(f"{first.move + 1}"),
                part=form.say(first.part),
                body=form.say(first.body),
                diameter=found(2.0 * first.place[0], form),
                height=found(first.place[1], form),
            )
        )
    return [Entry(form.say("path"), tuple(told), ticks=(form.say("dry run"),))]


def _goes_along(program: SheetProgram | None, form: Form) -> list[Entry]:
    if program is None:
        return []
    phrase = (
        "{name}, SHA-256 begins with {digest}: the one that was judged"
        if program.judged
        else "{name}, SHA-256 begins with {digest}: NOT judged with this sheet, dry-run it above the jaws"
    )
    told = form.say(phrase, name=program.name, digest=program.digest)
    return [Entry(form.say("program"), (told,), ticks=(form.say("is this one"),))]


def _measured(assessment: Assessment, form: Form) -> list[Entry]:
    """Return what to turn and to measure of each pocket, with the taper that the grip wants of it."""
    rows = [
        Entry(
            form.say("{name}, bored", name=pocket.name),
            (
                form.say(
                    "Ø{diameter}, {depth} deep",
                    diameter=strong(stated_within(pocket.diameter, pocket.diameter_tolerance, form)),
                    depth=strong(stated_within(pocket.depth, pocket.depth_tolerance, form)),
                ),
                *_small(pocket, form),
                *_tapers(assessment, pocket, form),
            ),
            blank=form.unit,
        )
        for pocket in assessment.scenario.pockets
    ]
    through = assessment.scenario.boring.through_diameter
    if through is not None:
        rows.append(Entry(form.say("through"), (f"Ø{strong(stated(through, form))}",), blank=form.unit))
    return rows


def _small(pocket: Pocket, form: Form) -> list[str]:
    """Return groove and chamfer of a pocket in words, as the drawing has them."""
    told = []
    if pocket.groove_depth > 0.0:
        wide, deep = (strong(plain(v, form)) for v in (pocket.groove_width, pocket.groove_depth))
        told.append(
            form.say("groove {wide} wide, {deep} {unit} deep, 30°", wide=wide, deep=deep, unit=form.unit)
        )
    if pocket.chamfer > 0.0:
        told.append(form.say("chamfer {size} × 45°", size=strong(plain(pocket.chamfer, form))))
    return told


def _tapers(assessment: Assessment, pocket: Pocket, form: Form) -> list[str]:
    """Return what taper each operation in a pocket wants; named where there are several."""
    held = [one for one in assessment.operations if one.operation.pocket == pocket.name]
    held = [
        one for one in held if verdict_of(assessment, "jaw_taper_under_grip", one.operation.name) is not None
    ]
    if len(held) == 1:
        return [_taper(assessment, held[0], form)]
    return [f"{one.operation.name}: {_taper(assessment, one, form)}" for one in held]


def _taper(assessment: Assessment, figures: OperationFigures, form: Form) -> str:
    """Return what taper to turn, with its sign."""
    taper, length = figures.clamping.taper, stated(figures.zone.length, form)
    if not taper.matters:
        phrase = "without taper: less than {small} of diameter over {length}"
        return form.say(phrase, small=f"{form.number(LITTLE[form.units])} {form.dial}", length=length)
    sign = "-" if taper_side(assessment.parts, taper.diameter_um) == "smaller" else "+"
    if sign == "-":
        phrase = "taper {size}: smaller in diameter at the mouth than at the root, over {length}"
    else:
        phrase = "taper {size}: larger in diameter at the mouth than at the root, over {length}"
    factor, decimals = (1.0, 0) if form.units == "mm" else (1e-3 / per_unit(form.units), DECIMALS[form.units])
    limit = 1000.0 * assessment.scenario.limits.jaw_taper
    size = form.number(near(factor * abs(taper.diameter_um), factor * limit, decimals))
    return form.say(phrase, size=strong(f"{sign}{size} {form.dial}"), length=length)
