"""Limits that a scenario states laxer than the standard or the common practice that the verdict's basis names.

Such a verdict never passes: it warns, and its basis says what is stated and what the standard or practice asks for.
What the chuck's, the ring's or the tool's maker states, and the tolerances of the part (roundness, run-out), are no
practice but data: they are not compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import overload

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.boring import BORING_TRAVEL
from sim.assessment.verdicts.cuts import CUTS_CLEAR_OF_THE_JAWS
from sim.assessment.verdicts.fixture import BORING_RING_PRESSURE, BORING_RING_SPEED, LOAD_ON_THE_FIXTURE
from sim.assessment.verdicts.grip import GRIP_AT_REST, HOLDING_FACTOR, LEAST_GRIP_OF_A_JAW, SPINDLE_SPEED
from sim.assessment.verdicts.jaw import JAW_OVERHANG, JAW_PAST_THE_MASTER_JAW, WALL_TO_THE_COUNTERBORE
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE, PROGRAM_SPEED
from sim.assessment.verdicts.metal import FLOOR_UNDER_THE_POCKET
from sim.assessment.verdicts.part import GRIP_TRAVEL, HELD_LENGTH, JAW_TAPER_UNDER_GRIP, LOADING_CLEARANCE
from sim.assessment.verdicts.path import RAPID_PLANE, TOOL_CLEARANCE
from sim.assessment.verdicts.pockets import (
    BAR_REACH,
    CLEAR_OF_THE_OTHER_STEP,
    METAL_FOR_A_REBORE,
    ONE_BORING_TRAVEL_FOR_ALL,
)
from sim.assessment.verdicts.program import END_OF_THE_PROGRAM, TOOL_CHANGE
from sim.assessment.verdicts.seating import PART_CLEAR_OF_THE_CHUCK
from sim.assessment.verdicts.supports import BEND_OF_THE_PART, WEIGHT_HELD_BY_THE_JAWS
from sim.assessment.verdicts.thin_section import SECTION_UNDER_THE_CUT
from sim.base.arrays import Flags, Floats
from sim.mechanics.cutting import SUDDEN_LOAD
from sim.scenario import Limits, Operation, Scenario

VDI = "VDI 3106"
COMMON = "common practice"
LEAST_FACTOR = 1.0  # below it the cut moves the part, whatever factor is asked for
WORN_EDGE = 1.3  # rise of the force by a worn edge, 1.3 to 1.5 (common practice, no source)
GREASED = 0.08  # friction of a greased wedge and guideway (common practice, no source); less is claimed, not lasting
WHOLE_LOSS = 1.0  # share of the centrifugal force that counts as lost grip (cautious practice, no source)
# Rounding of a unit's factor: '0.7 MPa' and '7 bar' are the same limit.
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Practice:
    """A limit of a scenario with what is usual; its usual value is the scenario's default.

    Attributes
    ----------
    source : str
        The standard, or common practice.
    at_least : bool
        More is safer.
    unit, factor : str, float
        In which it is shown, and how many of it are one inside unit.
    """

    source: str
    at_least: bool
    unit: str = ""
    factor: float = 1.0


LIMITS = {
    "holding_factor": Practice(VDI, at_least=True),
    "grip_factor": Practice(VDI, at_least=True),
    "stroke_reserve": Practice(COMMON, at_least=True),
    "held_share": Practice(COMMON, at_least=True),
    "clearance": Practice(COMMON, at_least=True, unit="mm"),
    "loading_clearance": Practice(COMMON, at_least=True, unit="mm"),
    "ring_pressure": Practice(COMMON, at_least=False, unit="bar", factor=10.0),
    "ring_speed": Practice(COMMON, at_least=False, unit="rpm"),
    "jaw_taper": Practice(COMMON, at_least=False, unit="um", factor=1000.0),
    "boring_load_share": Practice(COMMON, at_least=True),
    "wall": Practice(COMMON, at_least=True, unit="mm"),
    "floor": Practice(COMMON, at_least=True, unit="mm"),
    "part_bend": Practice(COMMON, at_least=False, unit="um", factor=1000.0),
    "rebore": Practice(COMMON, at_least=True, unit="mm"),
    "body_overhang": Practice(COMMON, at_least=False, unit="mm"),
    "master_overhang": Practice(COMMON, at_least=False, unit="mm"),
}
_BOTH = ("holding_factor", "grip_factor")
# Which limits decide each verdict, by its key.
DECIDED_BY = {
    HOLDING_FACTOR.key: ("holding_factor",),
    HOLDING_FACTOR_EACH_MOVE.key: ("holding_factor",),
    WEIGHT_HELD_BY_THE_JAWS.key: ("holding_factor",),
    LEAST_GRIP_OF_A_JAW.key: ("holding_factor",),
    GRIP_AT_REST.key: _BOTH,
    SPINDLE_SPEED.key: _BOTH,
    PROGRAM_SPEED.key: _BOTH,
    BORING_TRAVEL.key: ("stroke_reserve",),
    GRIP_TRAVEL.key: ("stroke_reserve",),
    ONE_BORING_TRAVEL_FOR_ALL.key: ("stroke_reserve", "loading_clearance"),
    LOADING_CLEARANCE.key: ("loading_clearance",),
    CLEAR_OF_THE_OTHER_STEP.key: ("loading_clearance",),
    PART_CLEAR_OF_THE_CHUCK.key: ("loading_clearance",),
    HELD_LENGTH.key: ("held_share",),
    TOOL_CLEARANCE.key: ("clearance",),
    CUTS_CLEAR_OF_THE_JAWS.key: ("clearance",),
    RAPID_PLANE.key: ("clearance",),
    TOOL_CHANGE.key: ("clearance",),
    END_OF_THE_PROGRAM.key: ("clearance",),
    BAR_REACH.key: ("clearance",),
    BORING_RING_PRESSURE.key: ("ring_pressure",),
    BORING_RING_SPEED.key: ("ring_speed",),
    LOAD_ON_THE_FIXTURE.key: ("boring_load_share",),
    JAW_TAPER_UNDER_GRIP.key: ("jaw_taper",),
    WALL_TO_THE_COUNTERBORE.key: ("wall",),
    FLOOR_UNDER_THE_POCKET.key: ("floor",),
    METAL_FOR_A_REBORE.key: ("rebore",),
    BEND_OF_THE_PART.key: ("part_bend",),
    JAW_OVERHANG.key: ("body_overhang",),
    JAW_PAST_THE_MASTER_JAW.key: ("master_overhang",),
}
# Verdicts that the forces of worn edges decide, and those that the loss of grip by speed does.
WORN = (
    HOLDING_FACTOR.key,
    HOLDING_FACTOR_EACH_MOVE.key,
    GRIP_AT_REST.key,
    SPINDLE_SPEED.key,
    PROGRAM_SPEED.key,
    BEND_OF_THE_PART.key,
    SECTION_UNDER_THE_CUT.key,
)
LOST = (
    HOLDING_FACTOR.key,
    HOLDING_FACTOR_EACH_MOVE.key,
    LEAST_GRIP_OF_A_JAW.key,
    WEIGHT_HELD_BY_THE_JAWS.key,
)
# Verdicts that more grip meets, and so less friction in wedge and guideway.
GRIPPED = (
    *(key for key in WORN if key not in (BEND_OF_THE_PART.key, SECTION_UNDER_THE_CUT.key)),
    LEAST_GRIP_OF_A_JAW.key,
    WEIGHT_HELD_BY_THE_JAWS.key,
    LOAD_ON_THE_FIXTURE.key,
)
# Verdicts whose value is a multiple of what the cut, or the part's weight, asks for.
FACTORS = (HOLDING_FACTOR.key, HOLDING_FACTOR_EACH_MOVE.key, WEIGHT_HELD_BY_THE_JAWS.key)


@cache
def usual(name: str) -> float:
    """Return the usual value of a limit, in the inside unit."""
    return float(getattr(Limits.model_validate({}), name))


@overload
def is_laxer(stated: float, standard: float, *, at_least: bool) -> bool: ...
@overload
def is_laxer(stated: Floats, standard: float, *, at_least: bool) -> Flags: ...
def is_laxer(stated: Floats | float, standard: float, *, at_least: bool) -> Flags | bool:
    """Tell whether a stated limit asks for less than a standard's."""
    slack = SAME * abs(standard)
    return stated < standard - slack if at_least else stated > standard + slack


def with_practice(verdict: Verdict, scenario: Scenario) -> Verdict:
    """Return a verdict that at best warns where a limit behind it is laxer than its standard, and says so."""
    words = laxer_than(verdict.key, verdict.stage, scenario)
    if verdict.key in FACTORS and verdict.value < LEAST_FACTOR and verdict.status != "fail":
        moved = "Its weight moves the part: raise the pressure, lower the speed, or hold more of it."
        if verdict.key != WEIGHT_HELD_BY_THE_JAWS.key:
            moved = "The cut moves the part: raise the pressure, lower the speed, or take a lighter cut."
        verdict = replace(verdict, status="fail", advice=moved)
    if not words:
        return verdict
    told = replace(verdict, basis=f"{verdict.basis}; stated by the scenario, laxer than {', '.join(words)}")
    if verdict.status != "pass":
        return told
    return replace(
        told,
        status="warn",
        advice="Judge it by the usual value (leave the key out), or have somebody competent release the laxer one.",
    )


def laxer_than(verdict: str, stage: str, scenario: Scenario) -> list[str]:
    """Return what the limits behind a verdict (its key) are laxer than, in words; empty where none is."""
    return [
        *_limits(verdict, scenario.limits),
        *_grease(verdict, scenario),
        *_operation(verdict, stage, scenario),
    ]


def _grease(verdict: str, scenario: Scenario) -> Iterator[str]:
    """Tell guideways that are stated as better greased than a chuck stays; too little grip is what that hides."""
    stated = scenario.chuck.guideway_friction
    if verdict in GRIPPED and is_laxer(stated, GREASED, at_least=True):
        yield f"{COMMON}'s {GREASED:g} for greased guideways (chuck.guideway_friction {stated:.3g})"


def _limits(verdict: str, limits: Limits) -> Iterator[str]:
    for key in DECIDED_BY.get(verdict, ()):
        practice, stated, standard = LIMITS[key], float(getattr(limits, key)), usual(key)
        if is_laxer(stated, standard, at_least=practice.at_least):
            unit = f" {practice.unit}" if practice.unit else ""
            yield (
                f"{practice.source}'s {practice.factor * standard:.4g}{unit} (limits.{key} "
                f"{practice.factor * stated:.4g}{unit})"
            )


def _operation(verdict: str, stage: str, scenario: Scenario) -> Iterator[str]:
    for number, operation in enumerate(scenario.operations):
        if operation.name != stage:
            continue
        gripping = operation.gripping
        lost = gripping.direction == "outside" and verdict in LOST
        if lost and is_laxer(gripping.grip_loss_share, WHOLE_LOSS, at_least=True):
            yield (
                f"the cautious practice of losing all of the centrifugal force "
                f"(operations[{number}].gripping.grip_loss_share {gripping.grip_loss_share:.3g})"
            )
        worn = least_wear(operation) if verdict in WORN else WORN_EDGE
        if is_laxer(worn, WORN_EDGE, at_least=True):
            yield f"{COMMON}'s {WORN_EDGE:g} for a worn edge (wear_factor {worn:.3g} of operations[{number}])"
        blow = least_impact(operation) if verdict in WORN else SUDDEN_LOAD
        if is_laxer(blow, SUDDEN_LOAD, at_least=True):
            yield (
                f"the factor {SUDDEN_LOAD:g} of a suddenly applied load "
                f"(impact_factor {blow:.3g} of operations[{number}])"
            )


def least_impact(operation: Operation) -> float:
    """Return the least impact factor that an interrupted cut states (no unit); infinite where none does."""
    return min((c.impact_factor for c in operation.cuts if c.impact_factor is not None), default=float("inf"))


def least_wear(operation: Operation) -> float:
    """Return the least wear factor of the cuts whose forces are worked out; infinite where all are measured."""
    return min((cut.wear_factor for cut in operation.cuts if cut.forces is None), default=float("inf"))
