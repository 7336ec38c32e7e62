"""Verdicts on the grip: under each cut, at speed, on every jaw, within the chuck's limits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import reduce
from typing import overload

from sim.assessment.demand import asked_speed, breaks_through, mills
from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.supports import bear, bearers
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import RELATIVE, Rule
from sim.base.arrays import Flags, Floats
from sim.base.floats import Number, larger, smaller
from sim.base.gripping import Direction
from sim.base.rounding import near, speed_against
from sim.base.unit_words import percent
from sim.mechanics.spin import PermissibleSpeed, required_grip_at_rest
from sim.setup.parts import Parts

LEAST_JAW = 100.0  # N that must be left on every jaw at the least (assumption, no source)
LEAST_SPEED = 50.0  # rev/min below which no speed is advised
LIGHTER = "Take a lighter cut, or hold more of the part."
FED_LESS = (
    "Where the program feeds the drill less as it breaks through, state that end as a cut of its own with that feed, "
    "the rest with through = false"
)
# Under a load that goes round a part on friction springs begins to creep at 0.4 to 0.5 of what holds it (the stepwise
# model of `sim.holding`): a factor below 1 / 0.4 holds, and the part may yet not stay where it was.
CREEP = 2.5
CREEPS = "below 2.5 times the part may creep in the jaws, some micrometres a turn, before it slips"
THEN = {
    "slips around": "slips around",
    "pulled out": "is pulled out of the jaws",
    "pushed back": "is pushed back between the jaws",
    "tips": "tips",
    "pushed off a jaw": "is pushed off a jaw",
    "nothing moves it": "never moves",
}

HOLDING_FACTOR = Rule(
    key="holding_factor",
    name="holding factor",
    unit="",
    at_least=True,
    basis=(
        "torque, axial force, side load and tipping at once over one turn (linear programs); S_z of VDI 3106 "
        "(as quoted); below 2.5 a part on springs begins to creep (model of this project)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry"}),
    view="cut",
    asks=(
        "how many times is the cut held by the grip left at its speed, and how does the part then begin "
        "to move?"
    ),
)
GRIP_AT_REST = Rule(
    key="grip_at_rest",
    name="grip at rest",
    unit="kN",
    at_least=True,
    basis="VDI 3106 as quoted: S_sp (S_z F_spz + F_c) at the highest speed",
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry"}),
    view="at rest",
    asks="is the grip at rest enough for cut and centrifugal force?",
)
SPINDLE_SPEED = Rule(
    key="spindle_speed",
    name="spindle speed",
    unit="rpm",
    at_least=False,
    basis="least of VDI 3106, two thirds of the grip (EN 1550) and marked speed",
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry"}),
    view="fast",
    asks="is the highest speed permitted?",
)
LEAST_GRIP_OF_A_JAW = Rule(
    key="least_grip_of_a_jaw",
    name="least grip of a jaw",
    unit="kN",
    at_least=True,
    basis=(
        "contact model under the largest side force at the highest speed, over one turn; every jaw stays closed under "
        "S_z times that force: 1 - 1/S_z of its part of the grip is left (derived; three equal jaws)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "cut", "geometry", "contact"}),
    view="side force",
    asks="does every jaw keep enough of its grip over one turn under the largest side force and the weight?",
)
GUIDEWAY_MOMENT = Rule(
    key="guideway_moment",
    name="guideway moment",
    unit="kN m",
    at_least=False,
    basis="chuck.moment_limit of the scenario",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="seat",
    asks="does the guideway bear the grip, gripped inside with all that speed adds?",
)
LARGEST_GRIP = Rule(
    key="largest_grip",
    name="largest grip",
    unit="kN",
    at_least=False,
    basis="chuck.largest_grip of the scenario",
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="at rest",
    asks="does the chuck bear the grip, gripped inside with all that speed adds?",
)


def grip_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on holding, speed, side force and the chuck's limits."""
    yield _holding(parts, figures)
    yield _at_rest(parts, figures)
    yield _speed(parts, figures)
    yield _every_jaw(parts, figures)
    yield from _chuck_limits(parts, figures)


def holding_factor_and_limit(factors: Iterable[Number], wanted: Number) -> tuple[Number, Number]:
    """Return how many times the cut is held that is held least, and how many times it must be."""
    return reduce(smaller, factors), wanted


def grip_at_rest_and_limit(
    rest: Number,
    needed: Number,
    pull: Number,
    direction: Direction,
    holding_factor: Number | float,
    grip_factor: Number | float,
) -> tuple[Number, Number]:
    """Return the grip at rest and what it must be, kN, of totals in N: of the cuts' need, and of all jaws' pull."""
    wanted = required_grip_at_rest(needed, pull, direction, holding_factor, grip_factor)
    return rest / 1000.0, wanted / 1000.0


def spindle_speed_and_limit(
    speed: Number, permissible: PermissibleSpeed[Number], machine: Number
) -> tuple[Number, Number]:
    """Return a speed and the least that grip, chuck and machine permit, rev/min."""
    return speed, permissible.within(machine)


def least_grip_of_a_jaw_and_limit(
    least: Number, counted: Number, holding_factor: Number | float
) -> tuple[Number, Number]:
    """Return what is left on the least loaded jaw and what must be, kN; `counted` is all jaws' grip at that speed, N.

    Of a side load Q the least loaded of three equal jaws loses 2/3 Q of its third of the grip G and leaves the part at
    Q = G / 2. It stays closed under S_z Q where 1 - 1/S_z of its third is left under Q.
    """
    return least / 1000.0, larger(share_to_keep(holding_factor) * counted / 3.0, LEAST_JAW) / 1000.0


@overload
def share_to_keep(holding_factor: float) -> float: ...
@overload
def share_to_keep(holding_factor: Floats) -> Floats: ...
def share_to_keep(holding_factor: Floats | float) -> Floats | float:
    """Return the share of its third of the grip that a side load must leave on a jaw, 1 - 1/S_z."""
    return 1.0 - 1.0 / larger(holding_factor, 1.0)


def guideway_moment_and_limit(moment: Number, most: Number) -> tuple[Number, Number]:
    """Return the moment of a jaw in its guideway and its limit (N mm) in kN m."""
    return moment / 1e6, most / 1e6


def largest_grip_and_limit(largest: Number, most: Number) -> tuple[Number, Number]:
    """Return the largest grip of all jaws and its limit (N) in kN."""
    return largest / 1000.0, most / 1000.0


def _holding(parts: Parts, figures: OperationFigures) -> Verdict:
    demand, held = min(zip(figures.demands, figures.holdings, strict=True), key=lambda pair: pair[1].factor)
    factor, limit = holding_factor_and_limit(
        (one.factor for one in figures.holdings), parts.scenario.limits.holding_factor
    )
    found = HOLDING_FACTOR.verdict(
        figures.operation.name,
        factor,
        limit,
        message=(
            f"'{demand.name}' at {demand.speed:.0f} rev/min{_held_speed(figures, demand)}: "
            f"{held.grip / 1000:.1f} kN left hold {near(factor, limit, 2)} times "
            f"its forces{_blows(demand)}{_breaks(figures, demand)}, "
            f"{then(held)}; by closed forms{_without(figures)} {held.handbook:.2g} times ({demand.governing})."
        ),
        advice=LIGHTER,
    )
    found = creeping(found)
    if found.status != "fail" and any(h.without_back_face < limit for h in figures.holdings):
        found = replace(found, status="warn", message=f"{found.message[:-1]}; {_only_while(figures)}.")
    return found if found.status == "pass" else replace(found, advice=_lighter(figures, demand))


def _lighter(figures: OperationFigures, demand: CutDemand) -> str:
    """Say what else holds a cut better; of a drill that breaks through how to state that it does so gently, or not."""
    cut = figures.operation.cuts[figures.demands.index(demand)]
    if cut.kind != "drilling" or cut.feed_towards == "tailstock" or not breaks_through(cut):
        return LIGHTER
    blind = "" if cut.through else "; of a blind hole state through = false"
    return f"{LIGHTER} {FED_LESS}{blind}."


def _only_while(figures: OperationFigures) -> str:
    """Say what else must bear the part for the cut to be held."""
    bearing = bear(figures.operation)
    if bearing:
        held = min(h.without_back_face for h in figures.holdings)
        return f"it holds only while {bearing} the part, the jaws alone {held:.2g} times: see to that before each part"
    return "it holds only while the part stands on the back face: press it home when it is gripped"


def _without(figures: OperationFigures) -> str:
    """Say of what the closed forms know nothing; else nothing."""
    named = bearers(figures.operation)
    return f" without {named}" if named else ""


@overload
def may_creep(factor: float) -> bool: ...
@overload
def may_creep(factor: Floats) -> Flags: ...
def may_creep(factor: Floats | float) -> Flags | bool:
    """Tell whether a part that is held so many times may still creep in the jaws."""
    return factor < CREEP * (1.0 - RELATIVE)


def creeping(held: Verdict) -> Verdict:
    """Return a verdict on a holding factor that at best warns where the part may creep."""
    if held.status == "fail" or not may_creep(held.value):
        return held
    return replace(
        held,
        status="warn",
        message=f"{held.message[:-1]}; {CREEPS}.",
        advice=LIGHTER,
    )


def _blows(demand: CutDemand) -> str:
    """Say that an interrupted cut's forces count more than once; else nothing."""
    impact = demand.forces.impact
    return f" (interrupted: {impact:g} times as large as those of a steady cut)" if impact > 1.0 else ""


def _breaks(figures: OperationFigures, demand: CutDemand) -> str:
    """Say that a drill is judged as it breaks through; else nothing."""
    cut = figures.operation.cuts[figures.demands.index(demand)]
    if cut.kind == "tapping":
        return ", its pull as of flutes of 45 deg"
    if cut.kind == "threading":
        return ", pulled out of the jaws, whichever flank cuts"
    if mills(cut):
        return ", those of a tooth around the spindle and as much out of the jaws"
    if not breaks_through(cut) or cut.feed_towards == "tailstock":
        return ""
    return " as it breaks through and pulls" + ("" if cut.through else " (through is not stated)")


def _held_speed(figures: OperationFigures, demand: CutDemand) -> str:
    """Say that a cut is judged at another speed than it asks for, because of the operation's speeds; else nothing."""
    stated = figures.operation.gripping
    cut = figures.operation.cuts[figures.demands.index(demand)]
    asked = asked_speed(cut)
    if abs(asked - demand.speed) < 1.0:
        return ""
    if cut.end_diameter is not None and asked > stated.speed_high:
        return " (speed_high, as a constant cutting speed asks for towards the groove's smaller end)"
    bound = "speed_high" if asked > stated.speed_high else "speed_low"
    return f" ({bound}; the cut asks for {asked:.0f} rev/min)"


def then(held: CutHolding) -> str:
    """Say how the part begins to move beyond the factor."""
    if held.turn.mode == "no grip left":
        return "for there is none"
    if held.turn.mode == "does not bear its weight":
        return "not even the part's weight"
    return f"then it {THEN[held.turn.mode]} (spindle at {math.degrees(held.turn.spindle_angle):.0f}°)"


def _at_rest(parts: Parts, figures: OperationFigures) -> Verdict:
    limits, grip = parts.scenario.limits, figures.grip
    rest, needed = grip_at_rest_and_limit(
        grip.rest_total,
        grip.needed_total,
        3.0 * grip.centrifugal_per_jaw,
        parts.direction,
        limits.holding_factor,
        limits.grip_factor,
    )
    lost = 3.0 * grip.centrifugal_per_jaw / 1000.0 if parts.direction == "outside" else 0.0
    takes = (
        f" + {lost:.1f} kN that {figures.operation.gripping.speed_high:.0f} rev/min take"
        if lost > 0.0
        else ""
    )
    return GRIP_AT_REST.verdict(
        figures.operation.name,
        rest,
        needed,
        message=(
            f"{near(rest, needed, 1)} kN in all, {grip.rest_per_jaw / 1000:.1f} kN per jaw at "
            f"{figures.zone.middle:.0f} mm height ({grip.basis}); friction {grip.friction:.2f}; asked for are "
            f"{limits.grip_factor:g} x ({limits.holding_factor:g} x {grip.needed_total / 1000:.1f} kN that "
            f"the cuts ask for{_needed_by_move(figures)}{takes})."
        ),
        advice=f"Take a lighter cut, or use {'lighter or ' if parts.direction == 'outside' else ''}lower jaws.",
    )


def _speed(parts: Parts, figures: OperationFigures) -> Verdict:
    grip, machine = figures.grip, parts.scenario.machine.speed_limit
    speed, least = spindle_speed_and_limit(figures.operation.gripping.speed_high, grip.permissible, machine)
    governing = grip.permissible.governing if grip.permissible.least <= machine else "machine limit"

    def shown(limit: float) -> str:
        return speed_against(speed, limit)[1]

    lost = 1.0 - grip.high_speed_total / grip.rest_total if grip.rest_total > 0.0 else 1.0
    loss = (
        f"{percent(lost)} of the grip are lost"
        if parts.direction == "outside"
        else "what the jaws press more is not counted"
    )
    return SPINDLE_SPEED.verdict(
        figures.operation.name,
        speed,
        least,
        basis=f"least of VDI 3106, two thirds of the grip (EN 1550) and marked speed: {governing}",
        message=(
            f"at {near(speed, least, 0)} rev/min {loss}; the cuts (VDI 3106) allow "
            f"{shown(grip.permissible.by_cutting)}{_needed_by_move(figures)}, two thirds lost (EN 1550) "
            f"{shown(grip.permissible.by_loss)}, the mark {shown(grip.permissible.marked)} rev/min."
        ),
        advice=f"{'Use lighter jaws, or take' if parts.direction == 'outside' else 'Take'} a lighter cut.",
    )


def _every_jaw(parts: Parts, figures: OperationFigures) -> Verdict:
    clamping, counted = figures.clamping, figures.grip.counted_total
    turn, asked = clamping.revolution, parts.scenario.limits.holding_factor
    least, limit = least_grip_of_a_jaw_and_limit(0.0 if turn is None else turn.least_n, counted, asked)
    speed = figures.operation.gripping.speed_high
    return LEAST_GRIP_OF_A_JAW.verdict(
        figures.operation.name,
        least,
        limit,
        message=(
            f"{near(least, limit, 1)} kN of {counted / 3000:.1f} kN at {speed:.0f} rev/min are left on the "
            f"least loaded jaw under a side force of {clamping.side / 1000:.1f} kN{_pushed_by_move(figures)}; "
            f"{_by_pressure_alone(clamping)}."
            if turn is not None
            else f"a side force of {clamping.side / 1000:.1f} kN{_pushed_by_move(figures)} pushes the part off a jaw."
        ),
        advice="Take a lighter cut, or one nearer to the jaws.",
    )


def _pushed_by_move(figures: OperationFigures) -> str:
    """Say that a move of the program pushes more than every stated cut; else nothing."""
    stated = max(demand.side_force for demand in figures.demands)
    moves = [way.asked.pushing.demand for way in figures.moves if way.asked.pushing is not None]
    worst = max(moves, key=lambda demand: demand.side_force, default=None)
    return f" ({worst.name})" if worst is not None and worst.side_force > stated else ""


def _needed_by_move(figures: OperationFigures) -> str:
    """Say that a move of the program asks for more grip than every stated cut; else nothing."""
    worst = max(figures.asked_of_grip, key=lambda one: one[1])[0]
    return "" if worst in figures.demands else f" ({worst.name})"


def _by_pressure_alone(clamping: ClampingFigures) -> str:
    """Say what the jaws' pressure alone does against tipping; back face and friction are in the holding factor."""
    if clamping.unsupported_least is None:
        return "without back face and friction it would tip"
    return f"without back face and friction against tipping {clamping.unsupported_least / 1000:.1f} kN"


def _chuck_limits(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    chuck, grip, stage = parts.scenario.chuck, figures.grip, figures.operation.name
    height = figures.zone.middle + chuck.guideway_depth
    inside = parts.direction == "inside"
    state = (
        f"at {figures.operation.gripping.speed_high:.0f} rev/min, the gain by speed counted"
        if inside
        else "at rest"
    )
    yield GUIDEWAY_MOMENT.verdict(
        stage,
        *guideway_moment_and_limit(grip.guide_moment, chuck.moment_limit),
        message=(
            f"{near(grip.largest_per_jaw / 1000, chuck.moment_limit / (1000 * height), 1)} kN per jaw {state}, at "
            f"{height:.0f} mm above the guideway's middle."
        ),
        advice="Use lower jaws, or grip lower on them.",
    )
    if chuck.largest_grip is not None:
        largest, most = largest_grip_and_limit(grip.largest_total, chuck.largest_grip)
        yield LARGEST_GRIP.verdict(
            stage,
            largest,
            most,
            message=f"{near(largest, most, 1)} kN in all {state}.",
            advice="Take a lighter cut that needs less grip, or use a larger chuck.",
        )
