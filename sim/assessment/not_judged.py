"""What was not asked of a setup, and why: questions whose fields the scenario leaves out, or that have no check.

A verdict that only a stated field brings may not vanish in silence: leaving the field out would turn a setup that
fails into one that passes. Each such field has its question here; `tests/sim/assessment/test_not_judged.py` takes
every optional field away and asks for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import NotJudged
from sim.assessment.verdicts.bar import BAR_BEND, BAR_SLENDERNESS
from sim.assessment.verdicts.boring import BACK_FACE_WIDTH
from sim.assessment.verdicts.cutting import FEED_ON_THE_NOSE
from sim.assessment.verdicts.fixture import LARGEST_GRIP_WHILE_BORING
from sim.assessment.verdicts.friction import FRICTION_OF_THE_PART_IN_THE_JAWS
from sim.assessment.verdicts.grip import HOLDING_FACTOR, LARGEST_GRIP, LEAST_GRIP_OF_A_JAW
from sim.assessment.verdicts.jaw import UNBALANCE
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE, PROGRAM_SPEED
from sim.assessment.verdicts.part import (
    DISPLACEMENT_AGAINST_WALL,
    JAW_TAPER_UNDER_GRIP,
    MARKING,
    ROUNDNESS_AFTER_RELEASE,
    STRESS_AGAINST_YIELD,
)
from sim.assessment.verdicts.path import (
    CUT_BELOW_THE_PART,
    DEPTH_OF_CUT,
    RAPID_PLANE,
    STOCK_LEFT_ON_THE_PART,
    TOOL_CLEARANCE,
    TOOL_CONTACT,
)
from sim.assessment.verdicts.pocket_limits import POCKETS_AT_THEIR_LIMITS
from sim.assessment.verdicts.pockets import BACK_FACE_ON_METAL, FRESHLY_BORED_FACE
from sim.assessment.verdicts.program import (
    CHUCK_CLOSED,
    END_OF_THE_PROGRAM,
    SPEED_AND_FEED_STATED,
    SPINDLE_TURNS,
    TOOL_CHANGE,
)
from sim.assessment.verdicts.running import RUNOUT_IN_THE_JAWS, SQUARENESS_IN_THE_JAWS
from sim.assessment.verdicts.spindle import SPINDLE_POWER
from sim.assessment.verdicts.supports import FORCE_OF_THE_CENTRE
from sim.base.pairings import surface_of
from sim.clearance.runs import Run
from sim.mechanics.cutting import part_load
from sim.scenario import CuttingProgram, Scenario
from sim.setup.jaw_solid import metal
from sim.setup.pairing import signs_of_raw_stock, surface_stated
from sim.setup.parts import Parts
from sim.setup.size_limits import toleranced

PLASTIC = 10_000.0  # MPa; no metal that is turned is so soft, plastics without much glass in them are
BORING, JAWS, CHUCK, MACHINE = "boring", "jaws", "chuck", "machine"
BY_WORDS = (
    TOOL_CHANGE.key,
    END_OF_THE_PROGRAM.key,
    SPINDLE_TURNS.key,
    SPEED_AND_FEED_STATED.key,
    CHUCK_CLOSED.key,
)
OF_A_PROGRAM = (
    *BY_WORDS,
    FEED_ON_THE_NOSE.key,
    TOOL_CONTACT.key,
    TOOL_CLEARANCE.key,
    CUT_BELOW_THE_PART.key,
    STOCK_LEFT_ON_THE_PART.key,
    DEPTH_OF_CUT.key,
    RAPID_PLANE.key,
    BAR_SLENDERNESS.key,
    BAR_BEND.key,
    HOLDING_FACTOR_EACH_MOVE.key,
    PROGRAM_SPEED.key,
)
BY_CONTACT = (
    MARKING.key,
    ROUNDNESS_AFTER_RELEASE.key,
    STRESS_AGAINST_YIELD.key,
    DISPLACEMENT_AGAINST_WALL.key,
    LEAST_GRIP_OF_A_JAW.key,
    RUNOUT_IN_THE_JAWS.key,
    JAW_TAPER_UNDER_GRIP.key,
    POCKETS_AT_THEIR_LIMITS.key,
)
# What no field of a scenario brings: the program has no such check yet.
NEVER = (
    NotJudged(
        "Are part, chuck and drawbar in balance together?",
        MACHINE,
        "only jaws that differ are weighed, the part counts as a body of revolution",
        "balancing as the machine's maker says",
        matters=False,
    ),
    NotJudged(
        "Do the slides, the tailstock behind its quill and the other tools of the turret stand clear?",
        MACHINE,
        "only the tool in use is followed, and it alone against centre and steady rest",
        "a dry run at low rapid override",
        matters=False,
    ),
)


def not_judged(
    parts: Parts,
    boring: BoringFigures,
    operations: tuple[OperationFigures, ...],
    machining: tuple[MachiningFigures | None, ...],
) -> tuple[NotJudged, ...]:
    """Return what was not asked of a judged setup, what matters first, each in the order of the work."""
    found = [*_chuck(parts.scenario), *_jaws(parts.scenario), *_jaw_holes(parts), *_boring(parts, boring)]
    for figures, path in zip(operations, machining, strict=True):
        found += _off_the_core(figures)
        found += _contact(figures)
        found += _creep(parts.scenario, figures)
        found += _cuts(figures)
        found += _supports(figures)
        found += _program(figures, path)
    found += _machine(parts.scenario)
    return tuple(sorted([*found, *NEVER], key=lambda one: not one.matters))


def _machine(scenario: Scenario) -> Iterator[NotJudged]:
    if not scenario.machine.spindle_power:
        yield NotJudged(
            "Has the spindle the power and the torque for the cuts?",
            MACHINE,
            "the machine's chart of power over speed is not stated",
            "machine.spindle_power",
            matters=False,
            verdicts=(SPINDLE_POWER.key,),
        )


def _chuck(scenario: Scenario) -> Iterator[NotJudged]:
    chuck = scenario.chuck
    if scenario.typical:
        yield NotJudged(
            "Are these the machine, the chuck and the jaws that stand in the shop?",
            CHUCK,
            f"typical values stand for {', '.join(scenario.typical)}",
            "to read them off, put them right and take them out of typical",
            matters=True,
        )
    if chuck.largest_grip is None:
        yield NotJudged(
            "Does the chuck bear the grip force?",
            CHUCK,
            "its largest grip is not stated",
            "chuck.largest_grip",
            matters=True,
            verdicts=(LARGEST_GRIP.key, LARGEST_GRIP_WHILE_BORING.key),
        )
    if not chuck.grip_points:
        yield NotJudged(
            "Does this chuck give the grip that is reckoned with?",
            CHUCK,
            f"no reading of its grip is stated; it follows from the wedge with a guideway friction of "
            f"{chuck.guideway_friction:g}",
            "chuck.grip_points, by a grip gauge",
            matters=False,
        )
    if "tilt_stiffness" not in chuck.model_fields_set:
        yield NotJudged(
            "How far do the jaws tilt in these guideways?",
            CHUCK,
            "the guideway's stiffness is not stated, a usual one is taken",
            "chuck.tilt_stiffness, by a gauge",
            matters=False,
        )


def _jaws(scenario: Scenario) -> Iterator[NotJudged]:
    jaw = scenario.soft_jaw
    if "bored_before" not in jaw.model_fields_set:
        yield NotJudged(
            "Is there still metal where the jaws shall grip?",
            JAWS,
            "whether they were bored before is not stated, they count as new",
            "soft_jaw.bored_before (an empty list for new jaws)",
            matters=True,
            verdicts=(FRESHLY_BORED_FACE.key, BACK_FACE_ON_METAL.key),
        )
    alike = not (any(jaw.serrations_off) or any(jaw.mass_differences))
    if alike and not {"serrations_off", "mass_differences"} <= jaw.model_fields_set:
        yield NotJudged(
            "Are the three jaws in balance?",
            JAWS,
            "how they differ in mass and place is not stated, they count as alike",
            "soft_jaw.mass_differences and soft_jaw.serrations_off",
            matters=False,
            verdicts=(UNBALANCE.key,),
        )


def _boring(parts: Parts, boring: BoringFigures) -> Iterator[NotJudged]:
    stated = parts.scenario.boring
    if stated.program is None:
        yield NotJudged(
            "Does the program that bores the jaws run clear?",
            BORING,
            "none is stated; a path made from pockets and passes is judged in its place",
            "boring.program",
            matters=True,
            verdicts=(DEPTH_OF_CUT.key, *BY_WORDS),
        )
    else:
        yield from _depth(stated.program, "boring.program", BORING, boring.runs)
    within = {number for number, size in toleranced(parts.scenario) if size == "diameter"}
    if open_ := [n for n in range(len(parts.scenario.pockets)) if n not in within]:
        yield NotJudged(
            "Does every verdict stay with the pockets as they come off the tool?",
            BORING,
            "no tolerance of their diameter is stated, all is judged at the diameter as drawn",
            " and ".join(f"pockets[{n}].diameter_tolerance" for n in open_),
            matters=False,
            verdicts=(POCKETS_AT_THEIR_LIMITS.key,),
        )
    asked = [move.speed for move in boring.moves if move.kind == "feed"]
    if "speed" not in stated.model_fields_set and (stated.program is None or None in asked):
        yield NotJudged(
            "Does the fixture bear the speed at which the jaws are bored?",
            BORING,
            f"the speed is not stated, {stated.speed:.0f} rev/min is taken",
            "boring.speed",
            matters=True,
        )
    if parts.direction == "outside" and stated.through_diameter is None and parts.plug is None:
        yield NotJudged(
            "Does a bore through the jaws leave the part a back face?",
            BORING,
            "none is stated, and no plug has a seat there",
            "boring.through_diameter, if one is turned",
            matters=False,
            verdicts=(BACK_FACE_WIDTH.key,),
        )


def _depth(program: CuttingProgram, field: str, stage: str, runs: Sequence[Run]) -> Iterator[NotJudged]:
    """Yield which tools of a program may cut as deep as they like."""
    if all(run.depth_limit is not None for run in runs):
        return
    free = [f"T{tool.number}" for tool in program.tools if tool.largest_depth_of_cut is None]
    yield NotJudged(
        "Do the tools bear their depth of cut?",
        stage,
        f"what {', '.join(free) or 'the tool'} may cut is not stated",
        f"{field}.tools: largest_depth_of_cut",
        matters=True,
        verdicts=(DEPTH_OF_CUT.key,),
    )


def _jaw_holes(parts: Parts) -> Iterator[NotJudged]:
    jaw = parts.scenario.soft_jaw
    if jaw.model is None:
        return
    solid = [at for at in jaw.screws.positions if metal(parts.blank, 2, at, 0.0)]
    if solid:
        yield NotJudged(
            "Do the screws pass through this jaw?",
            JAWS,
            f"{jaw.model.file} has metal where {'a screw stands' if len(solid) == 1 else 'screws stand'}, "
            f"{', '.join(f'{at:g}' for at in solid)} mm from its inner end: the holes are missing, or elsewhere",
            "a model with its holes where soft_jaw.screws.positions are",
            matters=True,
        )


def _off_the_core(figures: OperationFigures) -> Iterator[NotJudged]:
    work = figures.operation.workpiece
    if work.shape is not None and work.shape.surface is not None and work.model is not None:
        yield NotJudged(
            "Do grip, cuts and back face find the metal that is reckoned with where the part is not turned?",
            figures.operation.name,
            f"{work.model.file} is no body of revolution: contact, stiffness and walls are those of its turned core, "
            "its holes filled and its lugs left out; all of it counts for mass, unbalance, swing and clearance, as "
            "what it sweeps at any angle",
            "somebody competent who looks at thin metal beside holes, at gaps in the back face and at interrupted cuts",
            matters=True,
        )


def _contact(figures: OperationFigures) -> Iterator[NotJudged]:
    clamping, stage = figures.clamping, figures.operation.name
    if clamping.model == "foundation":
        yield NotJudged(
            "Does the part stay unmarked, round and on every jaw by finite elements?",
            stage,
            "judged by elastic columns, the order of magnitude only",
            "a check without --quick",
            matters=True,
            verdicts=BY_CONTACT,
        )
    if len(clamping.run_outs) < 2:
        yield NotJudged(
            "How does the part lie in the jaws at the highest speed?",
            stage,
            "the contact found no balance there",
            "more grip or less speed",
            matters=True,
        )
    if not math.isfinite(figures.roundness):
        yield NotJudged(
            "Is the part round after release?",
            stage,
            "it could not be found for this section",
            "a measured part",
            matters=False,
            verdicts=(ROUNDNESS_AFTER_RELEASE.key,),
        )
    yield from _running(figures)


def _running(figures: OperationFigures) -> Iterator[NotJudged]:
    operation, stage = figures.operation, figures.operation.name
    work, field = operation.workpiece, f"operations[{figures.index}]"
    if not {"runout_limit", "squareness_limit"} <= operation.model_fields_set:
        missing = [
            name for name in ("runout_limit", "squareness_limit") if name not in operation.model_fields_set
        ]
        yield NotJudged(
            "Does the part run as true, and are its faces as square, as its drawing asks?",
            stage,
            "what the drawing asks is not stated, usual limits are taken",
            " and ".join(f"{field}.{name}" for name in missing),
            matters=False,
            verdicts=(RUNOUT_IN_THE_JAWS.key, SQUARENESS_IN_THE_JAWS.key),
        )
    yield from _surface(figures)
    if "out_of_round" not in work.model_fields_set and work.turned_in is None:
        yield NotJudged(
            "Does the gripped surface run true in the jaws?",
            stage,
            "how far it is out of round is not stated, it counts as round",
            f"{field}.workpiece.out_of_round",
            matters=False,
            verdicts=(RUNOUT_IN_THE_JAWS.key,),
        )


def _creep(scenario: Scenario, figures: OperationFigures) -> Iterator[NotJudged]:
    """Yield what a part of a plastic does beyond springing back: the piston follows it as it gives."""
    metal = scenario.metal(figures.operation.workpiece.material)
    if metal.modulus < PLASTIC:
        yield NotJudged(
            "Does the part give with time under the grip, soften in the cut or swell in coolant?",
            figures.operation.name,
            f"{metal.name} counts as elastic at 23 deg C, for a short while",
            "a light grip, short in the jaws, jaws that keep stroke in reserve, and a part measured after release",
            matters=True,
        )


def _surface(figures: OperationFigures) -> Iterator[NotJudged]:
    """Yield the question what the jaws grip where only the pairing says so; it matters where signs are of raw stock.

    A raw surface bears on its highest places, its scale lets go, and its friction is another one.
    """
    operation = figures.operation
    work, pairing = operation.workpiece, operation.gripping.pairing
    if surface_stated(work) or pairing is None:
        return
    says = surface_of(pairing)
    signs = [] if says == "raw" else list(signs_of_raw_stock(operation))
    said = f"only the pairing says {says}" if says else "the pairing names no surface"
    yield NotJudged(
        "Is what the jaws grip turned, ground or raw?",
        operation.name,
        f"{said}, while {' and '.join(signs)}" if signs else said,
        f"operations[{figures.index}].workpiece.gripped_surface",
        matters=bool(signs),
        verdicts=(FRICTION_OF_THE_PART_IN_THE_JAWS.key,),
    )


def _cuts(figures: OperationFigures) -> Iterator[NotJudged]:
    cuts = figures.operation.cuts
    unsaid = [n for n, c in enumerate(cuts) if c.interrupted is None]
    if unsaid:
        names = ", ".join(f"'{cuts[n].name}'" for n in unsaid)
        yield NotJudged(
            "Does the grip bear the blows of interrupted cuts?",
            figures.operation.name,
            f"whether the edge leaves the metal each turn (keyway, gap, hexagon) is not stated for {names}; "
            "it is taken to stay in it",
            f"operations[{figures.index}].cuts: interrupted, true or false",
            matters=False,
            verdicts=(HOLDING_FACTOR.key,),
        )
    parted = [f"'{c.name}'" for c in cuts if c.kind == "parting"]
    if parted:
        yield NotJudged(
            "Is what is parted off caught?",
            figures.operation.name,
            f"no jaw holds it once {', '.join(parted)} is through",
            "a catcher, or somebody competent who says how it falls",
            matters=True,
        )
    live = [
        (c, part_load(d.forces).torque) for c, d in zip(cuts, figures.demands, strict=True) if c.rotating_tool
    ]
    if live:
        names = ", ".join(f"'{c.name}'" for c, _ in live)
        yield NotJudged(
            "Is the spindle held while a tool turns in the part that stands?",
            figures.operation.name,
            f"{names} turns the part with up to {max(torque for _, torque in live) / 1000.0:.1f} N m; no field says "
            "what holds the spindle, and how much that bears",
            "the brake or the held axis, its torque by the machine's maker, and the word that clamps it in the program",
            matters=True,
        )
    free = [
        n for n, c in enumerate(cuts) if c.speed is None and c.cutting_speed is None and not c.rotating_tool
    ]
    if free:
        names = ", ".join(f"'{cuts[n].name}'" for n in free)
        yield NotJudged(
            "Does the grip hold at the speed of each cut?",
            figures.operation.name,
            f"no speed is stated for {names}; a usual cutting speed is taken",
            " and ".join(f"operations[{figures.index}].cuts[{n}].cutting_speed" for n in free),
            matters=True,
        )


def _supports(figures: OperationFigures) -> Iterator[NotJudged]:
    stated, stage = figures.operation.tailstock, figures.operation.name
    field = f"operations[{figures.index}].tailstock"
    if stated is not None and stated.largest_force is None:
        yield NotJudged(
            "Do centre and tailstock bear the force with which they press?",
            stage,
            "what they may bear is not stated",
            f"{field}.largest_force",
            matters=True,
            verdicts=(FORCE_OF_THE_CENTRE.key,),
        )
    if stated is not None and stated.largest_side_force is None:
        yield NotJudged(
            "Does the centre bear what the part leans on it?",
            stage,
            "it is taken to bear across the spindle whatever keeps it seated",
            f"{field}.largest_side_force",
            matters=True,
        )
    if stated is not None or figures.operation.steady_rest is not None:
        yield NotJudged(
            "Does the part chatter, and do centre and rollers stand true to the spindle?",
            stage,
            "how stiff and how true they are is taken as usual, and what springs is not followed in time",
            "an indicator on the part while it is gripped, and a measured part",
            matters=False,
        )


def _program(figures: OperationFigures, path: MachiningFigures | None) -> Iterator[NotJudged]:
    stated, stage = figures.operation.program, figures.operation.name
    field = f"operations[{figures.index}].program"
    if stated is None or path is None:
        yield NotJudged(
            "Do the tools that machine the part clear jaws and chuck, and does the grip hold each of their moves?",
            stage,
            "no program is stated",
            field,
            matters=True,
            verdicts=OF_A_PROGRAM,
        )
        return
    if stated.finished_outline is None:
        yield NotJudged(
            "Does the program make the part, and cut no deeper?",
            stage,
            "the finished part is not stated",
            f"{field}.finished_outline",
            matters=True,
            verdicts=(CUT_BELOW_THE_PART.key, STOCK_LEFT_ON_THE_PART.key),
        )
    yield from _depth(stated, field, stage, path.runs)
