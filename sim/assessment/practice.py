"""Limits that a scenario states laxer than the standard or the common practice that the verdict's basis names.

Such a verdict never passes: it warns, and its basis says what is stated and what the standard or practice asks for.
What the chuck's, the ring's or the tool's maker states, and the tolerances of the part (roundness, run-out), are no
practice but data: they are not compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from sim.assessment.results import Verdict
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
    "rebore": Practice(COMMON, at_least=True, unit="mm"),
    "body_overhang": Practice(COMMON, at_least=False, unit="mm"),
    "master_overhang": Practice(COMMON, at_least=False, unit="mm"),
}
_BOTH = ("holding_factor", "grip_factor")
# Which limits decide each verdict.
DECIDED_BY = {
    "holding factor": ("holding_factor",),
    "holding factor, each move": ("holding_factor",),
    "grip at rest": _BOTH,
    "spindle speed": _BOTH,
    "program speed": _BOTH,
    "boring travel": ("stroke_reserve",),
    "grip travel": ("stroke_reserve",),
    "one boring travel for all": ("stroke_reserve", "loading_clearance"),
    "loading clearance": ("loading_clearance",),
    "clear of the other step": ("loading_clearance",),
    "part clear of the chuck": ("loading_clearance",),
    "held length": ("held_share",),
    "tool clearance": ("clearance",),
    "cuts clear of the jaws": ("clearance",),
    "rapid plane": ("clearance",),
    "tool change": ("clearance",),
    "end of the program": ("clearance",),
    "bar reach": ("clearance",),
    "boring ring pressure": ("ring_pressure",),
    "boring ring speed": ("ring_speed",),
    "load on the fixture": ("boring_load_share",),
    "jaw taper under grip": ("jaw_taper",),
    "wall to the counterbore": ("wall",),
    "floor under the pocket": ("floor",),
    "metal for a re-bore": ("rebore",),
    "jaw overhang": ("body_overhang",),
    "jaw past the master jaw": ("master_overhang",),
}
# Verdicts that the forces of worn edges decide, and those that the loss of grip by speed does.
WORN = ("holding factor", "holding factor, each move", "grip at rest", "spindle speed", "program speed")
LOST = ("holding factor", "holding factor, each move", "least grip of a jaw")
# Verdicts that more grip meets, and so less friction in wedge and guideway.
GRIPPED = (*WORN, "least grip of a jaw", "load on the fixture")
# Verdicts whose value is a multiple of what the cut asks for.
FACTORS = ("holding factor", "holding factor, each move")


@cache
def usual(name: str) -> float:
    """Return the usual value of a limit, in the inside unit."""
    return float(getattr(Limits.model_validate({}), name))


def is_laxer(stated: float, standard: float, *, at_least: bool) -> bool:
    """Tell whether a stated limit asks for less than a standard's."""
    slack = SAME * abs(standard)
    return stated < standard - slack if at_least else stated > standard + slack


def with_practice(verdict: Verdict, scenario: Scenario) -> Verdict:
    """Return a verdict that at best warns where a limit behind it is laxer than its standard, and says so."""
    words = laxer_than(verdict.name, verdict.stage, scenario)
    if verdict.name in FACTORS and verdict.value < LEAST_FACTOR and verdict.status != "fail":
        verdict = replace(
            verdict,
            status="fail",
            advice="The cut moves the part: raise the pressure, lower the speed, or take a lighter cut.",
        )
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


def laxer_than(name: str, stage: str, scenario: Scenario) -> list[str]:
    """Return what the limits behind a verdict are laxer than, in words; empty where none is."""
    return [*_limits(name, scenario.limits), *_grease(name, scenario), *_operation(name, stage, scenario)]


def _grease(name: str, scenario: Scenario) -> Iterator[str]:
    """Tell guideways that are stated as better greased than a chuck stays; too little grip is what that hides."""
    stated = scenario.chuck.guideway_friction
    if name in GRIPPED and is_laxer(stated, GREASED, at_least=True):
        yield f"{COMMON}'s {GREASED:g} for greased guideways (chuck.guideway_friction {stated:.3g})"


def _limits(name: str, limits: Limits) -> Iterator[str]:
    for key in DECIDED_BY.get(name, ()):
        practice, stated, standard = LIMITS[key], float(getattr(limits, key)), usual(key)
        if is_laxer(stated, standard, at_least=practice.at_least):
            unit = f" {practice.unit}" if practice.unit else ""
            yield (
                f"{practice.source}'s {practice.factor * standard:.4g}{unit} (limits.{key} "
                f"{practice.factor * stated:.4g}{unit})"
            )


def _operation(name: str, stage: str, scenario: Scenario) -> Iterator[str]:
    for number, operation in enumerate(scenario.operations):
        if operation.name != stage:
            continue
        gripping = operation.gripping
        lost = gripping.direction == "outside" and name in LOST
        if lost and is_laxer(gripping.grip_loss_share, WHOLE_LOSS, at_least=True):
            yield (
                f"the cautious practice of losing all of the centrifugal force "
                f"(operations[{number}].gripping.grip_loss_share {gripping.grip_loss_share:.3g})"
            )
        worn = least_wear(operation) if name in WORN else WORN_EDGE
        if is_laxer(worn, WORN_EDGE, at_least=True):
            yield f"{COMMON}'s {WORN_EDGE:g} for a worn edge (wear_factor {worn:.3g} of operations[{number}])"


def least_wear(operation: Operation) -> float:
    """Return the least wear factor of the cuts whose forces are worked out; infinite where all are measured."""
    return min((cut.wear_factor for cut in operation.cuts if cut.forces is None), default=float("inf"))
