"""What the full check says of something that a command names: no value is named as good that `check` would refuse.

Searching, interpolating and looking along a shelf are quicker than judging. So what they find is judged once more, the
whole setup with the very values that are printed, by the same `assess` as `check`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from sim.assessment.bodies import ContactModel
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Status, Verdict
from sim.base.errors import ChuckSceneError
from sim.base.rounding import margin_text
from sim.base.units import Pressure, Speed
from sim.layouts.layout import closest, counted
from sim.scenario import Scenario
from sim.scenario.changes import changed
from sim.scenario.scenario import checked
from sim.setup.loading import refuse_impossible

_PRESSURE: TypeAdapter[float] = TypeAdapter(Pressure)
_SPEED: TypeAdapter[float] = TypeAdapter(Speed)


@dataclass(frozen=True, slots=True, eq=False)
class FullCheck:
    """The answer of the full check.

    Attributes
    ----------
    status : {'pass', 'warn', 'fail'}
        Of the whole setup, as `check` says it; 'fail' where it is refused.
    verdicts : tuple of Verdict
        All, worst first; empty for a refusal.
    unasked : int
        Questions that matter and were not asked.
    refusal : str
        Why it cannot be built or judged; empty if it can.
    """

    status: Status
    verdicts: tuple[Verdict, ...] = ()
    unasked: int = 0
    refusal: str = ""

    @property
    def confirmed(self) -> bool:
        """It can be judged and no verdict fails."""
        return self.status != "fail"

    @property
    def failing(self) -> tuple[Verdict, ...]:
        """What fails."""
        return tuple(v for v in self.verdicts if v.status == "fail")

    @property
    def worst(self) -> Verdict | None:
        """The verdict nearest to its limit, or farthest beyond it, the worst status first; None for a refusal."""
        return closest(self.verdicts) if counted(self.verdicts) else None

    @property
    def reason(self) -> str:
        """What stands against it, in words; empty if it is confirmed."""
        if self.refusal:
            return self.refusal
        if not self.failing:
            return ""
        worst = closest(self.failing)
        more = f" (and {len(self.failing) - 1} more)" if len(self.failing) > 1 else ""
        return f"{worst.name}, {worst.stage}: {worst.message.rstrip('.')}{more}"


def of_assessment(assessment: Assessment) -> FullCheck:
    """Return what a full check that has been made says."""
    return FullCheck(assessment.status, assessment.verdicts, len(assessment.unasked))


def answered(judge: Callable[[], Assessment]) -> FullCheck:
    """Return what a full check says that is made by a call; what cannot be built, or has no balance, is refused."""
    try:
        return of_assessment(judge())
    except (ChuckSceneError, ValueError) as error:  # ValueError: beyond the chuck's own data
        return FullCheck("fail", refusal=str(error))


def full_check(scenario: Scenario, model: ContactModel) -> FullCheck:
    """Judge a setup as `check` does."""

    def judge() -> Assessment:
        refuse_impossible(scenario)
        return assess(scenario, contact_model=model)

    return answered(judge)


def full_check_changed(
    tables: dict[str, Any], path: Path, changes: Mapping[str, Any], model: ContactModel
) -> FullCheck:
    """Judge the setup of a file that has some changes in it, as they are written; a refusal does not name the file."""
    try:
        return full_check(checked(changed(tables, changes), path), model)
    except ChuckSceneError as error:
        return FullCheck("fail", refusal=str(error).removeprefix(f"{path}: "))


def gripping_as_named(scenario: Scenario, named: Mapping[int, tuple[str, str]]) -> Scenario:
    """Return a scenario with pressures and highest speeds of operations as they are printed: bar, rev/min."""
    operations = list(scenario.operations)
    for index, (bar, rpm) in named.items():
        gripping = operations[index].gripping
        speed = _SPEED.validate_python(f"{rpm} rpm")
        update = {
            "pressure": _PRESSURE.validate_python(f"{bar} bar"),
            "speed_high": speed,
            "speed_low": min(gripping.speed_low, speed),
        }
        operations[index] = operations[index].model_copy(
            update={"gripping": gripping.model_copy(update=update)}
        )
    changed: Scenario = scenario.model_copy(update={"operations": tuple(operations)})
    return changed


def boring_as_named(scenario: Scenario, bar: str, rpm: str) -> Scenario:
    """Return a scenario with the boring pressure and the boring speed as they are printed: bar, rev/min."""
    update = {
        "pressure": _PRESSURE.validate_python(f"{bar} bar"),
        "speed": _SPEED.validate_python(f"{rpm} rpm"),
    }
    changed: Scenario = scenario.model_copy(update={"boring": scenario.boring.model_copy(update=update)})
    return changed


def said(found: FullCheck) -> str:
    """Say what the full check says: its status, the verdict nearest to its limit with its margin."""
    if found.refusal:
        return f"check refuses it: {found.refusal}"
    worst = found.worst
    warns = any(v.status == "warn" for v in found.verdicts)
    word = {
        "fail": "check fails",
        "warn": "check warns" if warns else "check passes what was asked",
        "pass": "check passes",
    }[found.status]
    near = (
        ""
        if worst is None
        else f", {'nearest to its limit' if worst.status == 'pass' else 'worst'} {worst.name} ({worst.stage}), margin "
        f"{margin_text(worst.margin, missed=worst.missed)}"
    )
    return f"{word}{near}"
