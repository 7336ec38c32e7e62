"""One layout of a search: judged at the pressures that give its operations the largest margin."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
from scipy.interpolate import PchipInterpolator

from sim.assessment.bodies import ContactModel
from sim.assessment.clamping import prepared_contact
from sim.assessment.gripped_again import judged_at, with_pressures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.grip import CREEP, HOLDING_FACTOR
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE
from sim.assessment.verdicts.rule import MET, keys
from sim.assessment.verdicts.rules import depending_on
from sim.base.arrays import Floats
from sim.base.errors import ChuckSceneError
from sim.contact import ContactNotConverged
from sim.layouts.clear_of import farthest_inside
from sim.layouts.full_check import FullCheck, full_check_changed
from sim.layouts.layout import BORING_SET_UPS, counted, metal_removed
from sim.layouts.space import Changes, Pressures, Setting, Space
from sim.scenario.changes import changed
from sim.scenario.scenario import checked
from sim.setup.loading import refuse_impossible

TRIED = 4  # pressures that are solved for an operation's best one
BAR = 0.01  # MPa, a tenth of a bar: what can be set
Keys = frozenset[tuple[str, str]]  # of verdicts, with their stages
CREEPING = keys(HOLDING_FACTOR, HOLDING_FACTOR_EACH_MOVE)
BY_PRESSURE = depending_on("pressure")  # keys of the verdicts that another pressure may mend
MOST = 99.0  # margins above this are all alike
FOLLOWING = 3  # margins after the least that tell layouts of one least margin apart


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A layout that was tried.

    Attributes
    ----------
    point : tuple of float
        Values of the space's variables.
    changes : dict
        Fields of the scenario's file that make this layout, pressures among them.
    refusal : str
        Why it cannot be built or bored at all; empty if it can.
    verdicts : tuple of Verdict
        Worst first; empty for a refusal.
    pressures : tuple of float
        Found for the operations that had a range, MPa.
    roundness : float
        Worst of all operations, micrometres; nan if unknown.
    metal : float
        Turned out of one jaw, cm3.
    set_ups : int
        Boring set-ups and clampings of the part.
    check : FullCheck or None
        What the full check says of the file with these changes; None before it was asked.
    """

    point: Setting
    changes: Mapping[str, Any]
    refusal: str = ""
    verdicts: tuple[Verdict, ...] = ()
    pressures: tuple[float, ...] = ()
    roundness: float = math.nan
    metal: float = math.nan
    set_ups: int = 0
    check: FullCheck | None = None

    @property
    def failing(self) -> tuple[Verdict, ...]:
        """What fails."""
        return tuple(v for v in self.verdicts if v.status == "fail")

    @property
    def fits(self) -> bool:
        """It can be built and nothing fails."""
        return not self.refusal and not self.failing

    @property
    def warnings(self) -> int:
        """How many verdicts warn."""
        return sum(v.status == "warn" for v in self.verdicts)


def margin(one: Candidate, fixed: Keys = frozenset()) -> float:
    """Return the least margin of what does not merely warn and is not fixed; 0 for a refusal."""
    return 0.0 if one.refusal else min(_margins(one, fixed), default=MOST)


def rank(one: Candidate, fixed: Keys = frozenset()) -> tuple[float, ...]:
    """Return what layouts are ordered by, smaller is better.

    First what can be built, then what fails least, then fewest warnings, then most margin; the margins that follow the
    least tell layouts of one least margin apart.
    """
    if one.refusal:
        return (2.0,)
    if one.failing:
        return (1.0, sum(_miss(v) for v in one.failing))
    margins = _margins(one, fixed) or [MOST]
    return (0.0, float(one.warnings), -margins[0], -sum(margins[1 : 1 + FOLLOWING]))


def nearest_verdict(one: Candidate, fixed: Keys = frozenset()) -> Verdict | None:
    """Return the verdict nearest to its limit, or farthest beyond it, of those that count; None for a refusal."""
    counting = [v for v in _firm(one.verdicts) if (v.key, v.stage) not in fixed]
    return min(counting, key=lambda v: v.margin, default=None)


def fixed_verdicts(tried: Iterable[Candidate]) -> Keys:
    """Return the verdicts (key, stage) that pass with one and the same margin in every layout that was judged."""
    seen: dict[tuple[str, str], set[float]] = {}
    count = 0
    for one in tried:
        if one.verdicts:
            count += 1
            for verdict in one.verdicts:
                value = round(verdict.margin, 9) if verdict.status == "pass" else -1.0
                seen.setdefault((verdict.key, verdict.stage), set()).add(value)
    return frozenset(
        key for key, values in seen.items() if count > 1 and len(values) == 1 and min(values) >= 1.0
    )


def _margins(one: Candidate, fixed: Keys) -> list[float]:
    """Return the margins that count, least first."""
    return sorted(min(v.margin, MOST) for v in _firm(one.verdicts) if (v.key, v.stage) not in fixed)


def _firm(verdicts: tuple[Verdict, ...]) -> list[Verdict]:
    return [v for v in counted(verdicts) if v.status != "warn"]


def _miss(verdict: Verdict) -> float:
    """Return how far a verdict is from its limit, as a share; a touch counts whole."""
    return 1.0 - min(max(verdict.margin, 0.0), 1.0) if verdict.limit > 0.0 else 1.0


def candidate(
    tables: dict[str, Any], path: Path, within: Space, point: Setting, model: ContactModel
) -> Candidate:
    """Return a layout, judged at the best pressures within their ranges.

    Parameters
    ----------
    tables : dict
        Of the scenario's file.
    path : Path
        Of that file; for messages and for files that it names.
    """
    changes = within.changes(point)
    try:
        found = _assessed(tables, path, changes | _middles(within.pressures), model)
        pressures: dict[int, float] = {}
        if within.pressures and not _fails_anyhow(found, within):
            ready = _ready(found)
            pressures = {one.operation: _best_pressure(ready, one) for one in within.pressures}
            changes |= {
                f"operations.{k}.gripping.pressure": f"{10.0 * p:.1f} bar" for k, p in pressures.items()
            }
            found = with_pressures(ready, pressures)
    except ChuckSceneError as error:
        return Candidate(point, MappingProxyType(changes), refusal=str(error).removeprefix(f"{path}: "))
    return Candidate(
        point=point,
        changes=MappingProxyType(changes),
        verdicts=found.verdicts,
        pressures=tuple(pressures.values()),
        roundness=max(f.roundness for f in found.operations),
        metal=metal_removed(found),
        set_ups=BORING_SET_UPS[found.scenario.boring.fixture.kind] + len(found.operations),
    )


def _fails_anyhow(found: Assessment, within: Space) -> bool:
    """Tell whether something fails that no pressure in its range can mend."""
    free = {found.operations[one.operation].operation.name for one in within.pressures}
    return any(v.status == "fail" and not (v.stage in free and v.key in BY_PRESSURE) for v in found.verdicts)


def _assessed(tables: dict[str, Any], path: Path, changes: Changes, model: ContactModel) -> Assessment:
    scenario = checked(changed(tables, changes), path)
    refuse_impossible(scenario)
    return assess(scenario, contact_model=model)


def checked_fully(one: Candidate, tables: dict[str, Any], path: Path, model: ContactModel) -> Candidate:
    """Return a layout with what the full check says of the file that has its changes in it, as they are written."""
    found = full_check_changed(tables, path, one.changes, model)
    return replace(one, check=found, verdicts=found.verdicts or one.verdicts, refusal=found.refusal)


def _middles(pressures: tuple[Pressures, ...]) -> Changes:
    return {
        f"operations.{one.operation}.gripping.pressure": f"{10.0 * math.sqrt(one.low * one.high):.1f} bar"
        for one in pressures
    }


def _ready(first: Assessment) -> States:
    """Return the assessment with its compliances alone: no cutting path is asked for here."""
    prepared = tuple(
        prepared_contact(first.parts, f.index, f.zone, f.clamping.model) for f in first.operations
    )
    return States(first, prepared, MappingProxyType({}))


def _best_pressure(ready: States, within: Pressures) -> float:
    """Return the pressure (MPa) that is best by margins interpolated between solved pressures.

    That is the one farthest inside of what fails, clear of what only warns if it can be.
    """
    speed = ready.assessment.operations[within.operation].operation.gripping.speed_high
    tried = np.unique(np.round(np.geomspace(within.low, within.high, TRIED) / BAR)) * BAR
    tried = tried[(tried >= within.low - 1e-9) & (tried <= within.high + 1e-9)]
    solved: list[tuple[float, dict[str, Verdict]]] = []
    for pressure in tried:
        try:
            verdicts = judged_at(ready, within.operation, float(pressure), speed).verdicts
        except (ContactNotConverged, ValueError):
            continue  # beyond the chuck's data, or not held
        solved.append((float(pressure), {v.key: v for v in counted(verdicts)}))
    if len(solved) < 2:
        return solved[0][0] if solved else 0.5 * (within.low + within.high)
    everywhere = set.intersection(*(set(verdicts) for _, verdicts in solved))
    many = np.arange(round(solved[0][0] / BAR), round(solved[-1][0] / BAR) + 1) * BAR
    at = np.log([pressure for pressure, _ in solved])
    hard: list[list[float]] = []
    soft: list[list[float]] = []
    for key in sorted(everywhere):
        found = [verdicts[key] for _, verdicts in solved]
        line = [v.margin for v in found]
        (soft if _only_warns(found) else hard).append(line)
        if key in CREEPING:  # it holds, and is warned of below another limit
            soft.append([v.value / CREEP for v in found])

    def over(lines: list[list[float]]) -> Floats:
        rows = [PchipInterpolator(at, np.log(np.clip(line, 1e-6, MOST)))(np.log(many)) for line in lines]
        return np.exp(np.array(rows).reshape(len(lines), len(many)))

    best = farthest_inside(over(hard), over(soft))
    return float(many[over(hard).min(axis=0).argmax() if best is None else best])


def _only_warns(verdicts: list[Verdict]) -> bool:
    """Tell whether one verdict at some pressures is missed, and warns wherever it is."""
    missed = [v for v in verdicts if v.margin < MET]
    return bool(missed) and all(v.status == "warn" for v in missed)
