"""Verdicts on a program that machines a part: its path, and the grip at the speed of each of its moves."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.bar import bar_verdicts
from sim.assessment.verdicts.cutting import nose_verdicts
from sim.assessment.verdicts.grip import creeping, holding_factor_and_limit, then
from sim.assessment.verdicts.path import path_verdicts, place
from sim.assessment.verdicts.program import program_verdicts
from sim.assessment.verdicts.rule import Rule
from sim.assessment.ways import worst_way
from sim.base.floats import Number
from sim.base.rounding import near
from sim.mechanics.spin import PermissibleSpeed
from sim.setup.parts import Parts

REMEDY = "Change the path or the tool, hold the part further out, or bore the jaws so that they stand out of the way."

HOLDING_FACTOR_EACH_MOVE = Rule(
    key="holding_factor_each_move",
    name="holding factor, each move",
    unit="",
    at_least=True,
    basis=(
        "forces by Kienzle at the move's own speed; closed forms for every move, everything at once over one turn "
        "(linear programs) for the worst; S_z of VDI 3106 (as quoted); below 2.5 a part on springs begins to creep "
        "(model of this project)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry"}),
    view="worst move",
    asks="is the grip left at the speed of each cutting move enough for its cut?",
)
PROGRAM_SPEED = Rule(
    key="program_speed",
    name="program speed",
    unit="rpm",
    at_least=False,
    basis="least of VDI 3106, two thirds of the grip (EN 1550), marked speed, machine limit and speed_high",
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry"}),
    view="fastest move",
    asks="is any speed of the program over what is permitted, or over the highest that the scenario states?",
)


def machining_verdicts(
    parts: Parts, figures: OperationFigures, machining: MachiningFigures | None
) -> Iterator[Verdict]:
    """Yield the verdicts on the program of an operation; none without one."""
    if machining is None:
        return
    yield from worst_way(machining, lambda way: _of_one_way(parts, figures, way))


def _of_one_way(parts: Parts, figures: OperationFigures, machining: MachiningFigures) -> Iterator[Verdict]:
    stage = figures.operation.name
    yield from path_verdicts(parts, machining, stage, "part", REMEDY)
    yield from program_verdicts(machining, stage, boring=False)
    yield from bar_verdicts(parts, machining, stage)
    yield from nose_verdicts(machining, stage, max(cut.feed for cut in figures.operation.cuts))
    yield from _held(parts, figures, machining)


def moves_held_verdicts(
    parts: Parts, figures: OperationFigures, machining: MachiningFigures | None
) -> Iterator[Verdict]:
    """Yield those of them that pressure and speed decide; none without a program."""
    if machining is None:
        return
    yield from worst_way(machining, lambda way: _held(parts, figures, way))


def _held(parts: Parts, figures: OperationFigures, machining: MachiningFigures) -> Iterator[Verdict]:
    yield _grip(parts, figures, machining)
    yield _speed(parts, figures, machining)


holding_factor_each_move_and_limit = holding_factor_and_limit


def program_speed_and_limit(
    fastest: Number, permissible: PermissibleSpeed[Number], machine: Number, speed_high: Number
) -> tuple[Number, Number]:
    """Return the fastest of a program and the most it may turn, rev/min.

    Marking, seat and the least grip of a jaw are judged up to `speed_high`: no program may turn faster than that.
    """
    return fastest, permissible.within(machine, speed_high)


def _grip(parts: Parts, figures: OperationFigures, machining: MachiningFigures) -> Verdict:
    found, wanted = machining.held, parts.scenario.limits.holding_factor
    if found is None:
        stage, message = figures.operation.name, "the program cuts nothing."
        nothing = holding_factor_each_move_and_limit([wanted], wanted)
        return HOLDING_FACTOR_EACH_MOVE.given(stage, "pass", *nothing, message=message)
    held, asked = found.holding, found.demand
    factor, limit = holding_factor_each_move_and_limit([held.factor], wanted)
    judged = HOLDING_FACTOR_EACH_MOVE.verdict(
        figures.operation.name,
        factor,
        limit,
        message=(
            f"least in {place(machining, found.move)}: {machining.clearance.depth_of_cut[found.move]:.2f} mm deep at "
            f"{asked.speed:.0f} rev/min, {asked.forces.tangential:.0f} N; {held.grip / 1000:.1f} kN left hold "
            f"{near(factor, limit, 2)} times its forces, {then(held)}; by closed forms {held.handbook:.2g} times."
        ),
        advice="Take a lighter cut there.",
    )
    return creeping(judged)


def _speed(parts: Parts, figures: OperationFigures, machining: MachiningFigures) -> Verdict:
    grip = machining.grip
    move = int(grip.speed.argmax())
    judged = figures.operation.gripping.speed_high
    speed, limit = program_speed_and_limit(
        float(grip.speed[move]), figures.grip.permissible, parts.scenario.machine.speed_limit, judged
    )
    return PROGRAM_SPEED.verdict(
        figures.operation.name,
        speed,
        limit,
        message=f"the program turns up to {near(speed, limit, 0)} rev/min, first in {place(machining, move)}.",
        advice="State speed_high as the program has it, or limit the speed there."
        if limit == judged
        else "Use lighter jaws."
        if limit < min(parts.scenario.machine.speed_limit, figures.grip.permissible.marked)
        else "",
    )
