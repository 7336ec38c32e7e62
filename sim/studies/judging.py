"""A block's variants judged in any process: together where they share a geometry, else each by an assessment.

The setups that a process has ready are kept, the last few of them; nothing else is kept from block to block.
"""

from __future__ import annotations

import resource
import threading
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.cuts import CUTS_CLEAR_OF_THE_JAWS, CUTS_ON_THE_PART
from sim.assessment.verdicts.grip import GRIP_AT_REST, HOLDING_FACTOR, LEAST_GRIP_OF_A_JAW, SPINDLE_SPEED
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE, PROGRAM_SPEED
from sim.assessment.verdicts.part import (
    DISPLACEMENT_AGAINST_WALL,
    JAW_TAPER_UNDER_GRIP,
    MARKING,
    PART_CLEAR_OF_THE_JAWS,
    ROUNDNESS_AFTER_RELEASE,
    STRESS_AGAINST_YIELD,
)
from sim.assessment.verdicts.pockets import CLEAR_OF_THE_OTHER_STEP
from sim.assessment.verdicts.rule import keys
from sim.assessment.verdicts.running import RUNOUT_IN_THE_JAWS
from sim.assessment.verdicts.seating import PART_CLEAR_OF_THE_CHUCK, PART_ON_ITS_BACK_FACE
from sim.base.arrays import Flags, Floats
from sim.base.errors import ChuckSceneError
from sim.base.threads import one_blas_thread
from sim.scenario import Scenario
from sim.scenario.changes import changed
from sim.scenario.fields import ScenarioField, field_of
from sim.scenario.scenario import checked
from sim.setup.loading import refuse_impossible
from sim.studies.plan import Block, Case
from sim.studies.rows import Rows, as_parquet, assessed_rows, joined, judged_rows, refused_rows
from sim.studies.summary import Summary, summed
from sim.variants import Variants, judged, learn, needed, quick_keys, solve, unknown, variants
from sim.variants.nodes import Node

Geometry = tuple[str, ...]  # the values that make a geometry, as text
Solutions = dict[Geometry, dict[Node, Floats]]
KEPT = 3  # setups ready in one process
PROBES = 64  # variants by which it is told what cannot change
# Keys of the verdicts behind which there are solutions.
SOLVED = keys(
    CLEAR_OF_THE_OTHER_STEP,
    CUTS_CLEAR_OF_THE_JAWS,
    CUTS_ON_THE_PART,
    GRIP_AT_REST,
    HOLDING_FACTOR,
    HOLDING_FACTOR_EACH_MOVE,
    JAW_TAPER_UNDER_GRIP,
    LEAST_GRIP_OF_A_JAW,
    MARKING,
    PART_CLEAR_OF_THE_CHUCK,
    PART_CLEAR_OF_THE_JAWS,
    PART_ON_ITS_BACK_FACE,
    PROGRAM_SPEED,
    ROUNDNESS_AFTER_RELEASE,
    RUNOUT_IN_THE_JAWS,
    SPINDLE_SPEED,
    STRESS_AGAINST_YIELD,
    DISPLACEMENT_AGAINST_WALL,
)


@dataclass(frozen=True, slots=True, eq=False)
class Finished:
    """A judged block: its file's content, what it adds to the summary, this process's largest memory so far, MB."""

    block: int
    content: bytes
    summary: Summary
    memory: float


@dataclass(frozen=True, slots=True, eq=False)
class Wanting:
    """A block that cannot be judged before these solutions are known, by geometry; all it asks for, known or not."""

    block: int
    nodes: dict[Geometry, list[Node]]


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """Solutions of one geometry: figures (k,) by node, each in the unit that its question says."""

    geometry: Geometry
    values: dict[Node, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class Description:
    """What a scenario's variants have.

    Attributes
    ----------
    quick : frozenset of str
        Keys that may vary within its geometry; none where it is refused.
    verdicts : tuple of (key, stage, unit)
    operations : tuple of str
    refusal : str
        Why it cannot be made as it stands; its variants may be.
    """

    quick: frozenset[str]
    verdicts: tuple[tuple[str, str, str], ...]
    operations: tuple[str, ...]
    refusal: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class _Ready:
    """A geometry made ready, and which of its verdicts nothing that varies can change, (m,)."""

    variants: Variants
    fixed: Flags


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """Variants of a block that share a geometry: rows, and the changes to the scenario's file that make it."""

    geometry: Geometry
    rows: NDArray[np.intp]
    changes: dict[str, Any]


_ready: OrderedDict[tuple[str, str, Geometry], _Ready | None] = OrderedDict()
_one_at_a_time = threading.Lock()  # a cluster's worker may run several threads


@one_blas_thread()
def judge_block(case: Case, block: Block, given: Solutions | None) -> Finished | Wanting:
    """Judge a block, or say which solutions it wants.

    Parameters
    ----------
    case, block :
        The scenario, and which of its variants.
    given : dict or None
        Solutions from elsewhere; None in the first attempt, which then does not solve but ask.
    """
    with _one_at_a_time:
        values = case.design.values(np.arange(block.first, block.first + block.count))
        if not case.together:
            return _finished(case, block, values, _each(case, values, range(block.count)))
        groups = _groups(case, values)
        # A geometry that lies in this block alone is nobody else's concern.
        if case.shared > case.block and given is None:
            wanting = {g.geometry: _wanted(case, g, values) for g in groups}
            if any(unknown_here for unknown_here, _ in wanting.values()):
                return Wanting(block.number, {geometry: nodes for geometry, (_, nodes) in wanting.items()})
        known = given or {}
        parts = [(g.rows, _together(case, g, values, known.get(g.geometry, {}))) for g in groups]
        return _finished(case, block, values, joined(block.count, parts))


@one_blas_thread()
def solve_nodes(case: Case, block: Block, geometry: Geometry, nodes: list[Node]) -> Solved:
    """Return solutions of a geometry that a block has."""
    with _one_at_a_time:
        values = case.design.values(np.arange(block.first, block.first + block.count))
        group = next(g for g in _groups(case, values) if g.geometry == geometry)
        ready = _setup(case, group)
        if ready is None:
            raise RuntimeError("a geometry that is refused has no solutions")
        return Solved(geometry, {node: solve(ready.variants, node) for node in nodes})


@one_blas_thread()
def describe(case: Case) -> Description:
    """Judge a case's scenario as it stands, and say what its variants will have."""
    with _one_at_a_time:
        try:
            found = _assessed(case, {})
        except Exception as error:  # whatever it is, the other scenarios go on
            return Description(frozenset(), (), (), _reason(case, error))
    return Description(
        frozenset(quick_keys(found)),
        tuple((v.key, v.stage, v.unit) for v in found.verdicts),
        tuple(f.operation.name for f in found.operations),
    )


def _finished(case: Case, block: Block, values: tuple[list[Any], ...], rows: Rows) -> Finished:
    ids = np.arange(block.count) + case.first + block.first
    summary = summed(case, ids, values, rows)
    content = as_parquet(case, block.number, ids, values, rows, summary)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return Finished(block.number, content, summary, memory)


def _groups(case: Case, values: tuple[list[Any], ...]) -> list[_Group]:
    """Return the variants of a block by geometry, in the order in which they come."""
    slow = [k for k, quick in enumerate(case.quick) if not quick]
    if not slow:
        return [_Group((), np.arange(len(values[0])), {})]
    found: dict[Geometry, list[int]] = {}
    for row, one in enumerate(zip(*(values[k] for k in slow), strict=True)):
        found.setdefault(tuple(map(repr, one)), []).append(row)
    return [
        _Group(geometry, np.array(rows), _changes(case, values, rows[0], slow))
        for geometry, rows in found.items()
    ]


def _changes(case: Case, values: tuple[list[Any], ...], row: int, which: Iterable[int]) -> dict[str, Any]:
    """Return what a variant changes in the scenario's file."""
    quantities = case.design.quantities
    return {quantities[k].key: quantities[k].text(values[k][row]) for k in which}


def _assessed(case: Case, changes: Mapping[str, Any]) -> Assessment:
    scenario = checked(changed(case.tables, changes), case.path)
    refuse_impossible(scenario)
    return assess(
        scenario, contact_model=case.model, advised=False
    )  # of a row there are figures and statuses


def _setup(case: Case, group: _Group) -> _Ready | None:
    """Return a geometry made ready; None if it is refused as it stands or does not take all keys that vary."""
    key = (case.study, case.name, group.geometry)
    if key not in _ready:
        while len(_ready) >= KEPT:
            _ready.popitem(last=False)
        try:
            assessment = _assessed(case, group.changes)
            allowed = set(quick_keys(assessment))
            own = (q.key for q, quick in zip(case.design.quantities, case.quick, strict=True) if quick)
            if allowed.issuperset(own):
                ready = variants(assessment)
                _ready[key] = _Ready(ready, _fixed(case, ready))
            else:
                _ready[key] = None
        except MemoryError:
            raise
        except Exception:  # each of its variants then says why
            _ready[key] = None
    _ready.move_to_end(key)
    return _ready[key]


def _varied(case: Case, group: _Group, values: tuple[list[Any], ...]) -> dict[str, Floats]:
    quantities = case.design.quantities
    return {
        quantities[k].key: np.array(values[k], dtype=np.float64)[group.rows]
        for k, quick in enumerate(case.quick)
        if quick
    }


def _wanted(case: Case, group: _Group, values: tuple[list[Any], ...]) -> tuple[list[Node], list[Node]]:
    """Return the solutions that a group asks for: those not known in this process, and all."""
    ready = _setup(case, group)
    if ready is None:
        return [], []
    varied = _varied(case, group, values)
    allowed = np.array(_unfit(ready.variants.parts.scenario, varied)) == ""
    nodes = needed(ready.variants, {key: one[allowed] for key, one in varied.items()})
    return unknown(ready.variants, nodes), sorted(nodes)


def _together(case: Case, group: _Group, values: tuple[list[Any], ...], known: Mapping[Node, Floats]) -> Rows:
    """Return a group's rows, judged together; each by itself where its geometry cannot be made ready."""
    ready = _setup(case, group)
    if ready is None:
        return _each(case, values, group.rows.tolist())
    learn(ready.variants, known)
    varied = _varied(case, group, values)
    reasons = _unfit(ready.variants.parts.scenario, varied)
    allowed = np.flatnonzero(np.array(reasons) == "")
    try:
        found = judged(ready.variants, {key: one[allowed] for key, one in varied.items()})
    except MemoryError:
        raise
    except Exception:  # each then says why
        return _each(case, values, group.rows.tolist())
    refused = np.flatnonzero(np.array(reasons) != "")
    parts = [(allowed, judged_rows(case, found, ready.fixed))]
    if refused.size:
        parts.append((refused, refused_rows(case, [reasons[k] for k in refused], quick=True)))
    return joined(len(reasons), parts)


def _fixed(case: Case, ready: Variants) -> Flags:
    """Return which verdicts of a geometry nothing that varies can change, (m,), by variants spread over the study."""
    spread = np.unique(np.linspace(0, case.design.count - 1, PROBES).astype(np.int64))
    values = case.design.values(spread)
    everything = _Group((), np.arange(spread.size), {})
    ready.notes.open = True  # closed forms tell, so nothing is solved
    try:
        with np.errstate(all="ignore"):
            found = judged(ready, _varied(case, everything, values))
            margin = found.margin[found.refused == 0]
    finally:
        ready.notes.open = False
    if not len(margin):
        return np.zeros(len(found.names), dtype=bool)
    same = np.all(margin == margin[0], axis=0)
    return np.asarray(same & np.array([key not in SOLVED for key in found.keys]))


def _unfit(scenario: Scenario, varied: Mapping[str, Floats]) -> list[str]:
    """Return why a value may not stand in a scenario's file, for each variant; empty where all may."""
    count = len(next(iter(varied.values())))
    reasons = [""] * count
    for key, values in varied.items():
        field = field_of(scenario, key)
        # What a field allows is a range: where its ends are allowed, all between are.
        if not any(_refusal(field, value) for value in (values.min(), values.max())):
            continue
        for row, value in enumerate(values):
            reasons[row] = reasons[row] or _refusal(field, value)
    return reasons


def _refusal(field: ScenarioField, value: float) -> str:
    return field.refusal(field.text(float(value)))


def _each(case: Case, values: tuple[list[Any], ...], rows: Iterable[int]) -> Rows:
    """Return rows that are assessed one by one."""
    found: list[Assessment | str] = []
    for row in rows:
        try:
            found.append(_assessed(case, _changes(case, values, row, range(len(values)))))
        except MemoryError:
            raise
        except Exception as error:  # a variant that ends in anything is a row, not the end of the study
            found.append(_reason(case, error))
    return assessed_rows(case, found)


def _reason(case: Case, error: Exception) -> str:
    """Return why a variant is refused; what is no refusal is named as a failure of the program."""
    text = " ".join(str(error).removeprefix(f"{case.path}: ").split())
    if isinstance(error, ChuckSceneError):
        return text
    return f"could not be computed ({type(error).__name__}: {text})"
