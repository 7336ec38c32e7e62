"""Nothing hangs on the words on the screen: with every verdict's name replaced by nonsense all is judged alike.

Tables that were made of names when their modules were imported still hold the old ones here, so that any lookup by a
displayed name finds nothing and changes an answer.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
import pytest

from sim.assessment.as_stated import doubts, without_passes
from sim.assessment.gripped_again import judged_at, with_pressures
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import STOCK_LEFT_IN_THE_POCKET
from sim.assessment.verdicts.rules import RULES
from sim.layouts import candidate, criteria, layout
from sim.layouts.boring_window import boring_window
from sim.layouts.comparison import compare
from sim.layouts.shelf import BY_CONTACT
from sim.report.verdicts import not_judged_object, verdict_object
from sim.scenario import Scenario
from sim.scenario.study import read_study
from sim.studies import judging
from sim.studies.judging import Finished, Wanting, describe, judge_block, solve_nodes
from sim.studies.plan import blocks
from sim.studies.preparing import cases_of, prepared
from sim.uncertainty import Input, analysed, analysis
from sim.uncertainty.distribution import uniform
from sim.variants import emulated, variants
from sim.variants import judged as judged_variants
from sim.views.web.look import look
from sim.views.wording import row

BY_PROGRAM, HUB, HOUSING = "cast_hub_by_program", "cast_hub_on_ring", "housing_gripped_inside"
# What makes verdicts fail, warn and be laxer than usual, so that advice, practice and remedies are asked.
CHANGES: dict[str, Any] = {
    "operations.0.gripping.pressure": "9 bar",
    "limits.holding_factor": 1.2,
    "limits.stroke_reserve": 0.1,
    "boring.pressure": "6 bar",
    "soft_jaw.screws.torque": "190 N*m",
    "soft_jaw.mass_differences": ["5 g", "0 g", "0 g"],
}
STUDY = """
scenarios = ["{scenarios}/cast_hub_on_ring.toml"]
contact = "quick"
samples = 2
seed = 5
block = 16

[[vary]]
key = "operations.0.gripping.pressure"
values = ["12 bar", "24 bar"]

[[vary]]
key = "boring.pressure"
values = ["6.8 bar", "7 bar"]

[[vary]]
key = "chuck.guideway_friction"
distribution = {{ kind = "uniform", low = 0.06, high = 0.14 }}
"""
Told = list[tuple[Any, ...]]


@contextmanager
def nonsense() -> Iterator[None]:
    """Replace the name of every rule; they are frozen, so past their guard."""
    names = [rule.name for rule in RULES]
    try:
        for number, rule in enumerate(RULES):
            object.__setattr__(rule, "name", f"zz{number}")
        yield
    finally:
        for rule, name in zip(RULES, names, strict=True):
            object.__setattr__(rule, "name", name)


def told(verdicts: tuple[Verdict, ...] | list[Verdict]) -> Told:
    return [(v.key, v.stage, v.status, v.value, v.limit, v.basis, v.message, v.advice) for v in verdicts]


def of_check(varied: Callable[..., Scenario]) -> Told:
    """Statuses, figures, practice, remedies, questions, and what the page turns to."""
    found = []
    for name, changes in ((BY_PROGRAM, CHANGES), (HOUSING, {})):
        one = assess(varied(name, changes), contact_model="foundation")
        ready = states(one)
        found += told(one.verdicts)
        found += [(n.question, n.stage, n.matters, n.verdicts) for n in one.not_judged]
        found += [(v.key, v.stage, repr(look(ready, v))) for v in one.verdicts]
        found += [(layout.closest(one.verdicts).key, len(layout.counted(one.verdicts)))]
    return found


def of_stock_left(varied: Callable[..., Scenario]) -> Told:
    """Jaws that are not bored as stated: what then passes no more."""
    one = assess(varied(HUB), contact_model="foundation")
    left = STOCK_LEFT_IN_THE_POCKET.given("boring", "fail", 1.0, 0.5, message="left.")
    verdicts = [left, *(v for v in one.verdicts if v.key != left.key)]
    names = [f.operation.name for f in one.operations]
    return told(without_passes(verdicts, doubts(verdicts, names)))


def of_states(varied: Callable[..., Scenario]) -> Told:
    ready = states(assess(varied(HUB), contact_model="foundation"))
    return told(judged_at(ready, 0, 1.1, 700.0).verdicts) + told(with_pressures(ready, {0: 0.9}).verdicts)


def of_variants(varied: Callable[..., Scenario]) -> Told:
    scenario = varied(HUB, {"soft_jaw.mass_differences": ["5 g", "0 g", "0 g"]})
    one = assess(scenario, contact_model="foundation")
    keys = {
        "operations.0.gripping.pressure": np.array([0.5, 2.2]),
        "limits.holding_factor": np.array([1.5, 1.2]),
        "operations.0.gripping.friction": np.array([0.1, 0.9]),
    }
    found = judged_variants(variants(one), keys)
    columns = (found.carried, found.at_least, found.status.T, found.value.T, found.limit.T)
    return [(*of, *(c.tolist() for c in each)) for of, *each in zip(zip(found.keys, found.stages, strict=True),
            *columns, strict=True)]  # fmt: skip


def of_windows(varied: Callable[..., Scenario]) -> Told:
    one = assess(varied(HUB, {"limits.holding_factor": 1.2}), contact_model="foundation")
    pressures, speeds = np.array([0.6, 1.4, 2.2, 3.0]), np.array([500.0, 900.0, 1300.0])
    found = criteria.criteria_of(states(one), 0, pressures, speeds, lambda _: None)
    boring = boring_window(one)
    assert boring is not None
    assert {c.verdict for c in found} > {"grip_at_rest", "holding_factor", "marking", "guideway_moment", ""}
    return [
        (c.verdict, c.stage, c.soft, c.as_load, c.name.endswith(criteria.LAXER), c.margin.tolist())
        for c in (*found, *boring.criteria)
    ]


def of_layouts(varied: Callable[..., Scenario]) -> Told:
    """Layouts beside each other, and what search and shelf take for lost."""
    two = [assess(varied(HUB, changes), contact_model="foundation") for changes in (CHANGES, {})]
    found = compare([layout.Layout(str(k), (one,)) for k, one in enumerate(two)])
    rows: Told = [(r.key, r.stage, [v and (v.status, v.value) for v in r.cells]) for r in found.verdicts]
    one, other = (candidate.Candidate((float(k),), {}, verdicts=x.verdicts) for k, x in enumerate(two))
    rows += [(sorted(candidate.fixed_verdicts([one, other])), candidate.rank(one), candidate.rank(other))]
    rows += [(v.key, v.key in candidate.BY_PRESSURE, v.key in BY_CONTACT) for v in two[0].verdicts]
    return rows


def of_study(root: Path, folder: Path) -> Told:
    judging._ready.clear()  # a process keeps its setups, with the names that they had
    file = folder / "study.toml"
    file.write_text(STUDY.format(scenarios=root / "scenarios"), encoding="utf-8")
    study = read_study(file)
    ready = prepared(study, cases_of(study), lambda cases: map(describe, cases))
    found: Told = []
    for block in blocks(ready.cases):
        case = ready.cases[block.case]
        done = judge_block(case, block, None)
        if isinstance(done, Wanting):
            given = {g: solve_nodes(case, block, g, nodes).values for g, nodes in done.nodes.items() if nodes}
            done = judge_block(case, block, given)
        assert isinstance(done, Finished)
        table = pq.read_table(io.BytesIO(done.content))
        found += [(case.verdicts, list(done.summary.failing.values()), list(done.summary.alone.values()))]
        found += [tuple(v for k, v in r.items() if k != "least_margin_verdict") for r in table.to_pylist()]
    return found


def of_uncertainty(varied: Callable[..., Scenario]) -> Told:
    one = assess(varied("thin_ring_distorts"), contact_model="foundation")
    inputs = (
        Input("pressure", 0, "finish the bore", uniform(0.3, 0.6), "a guess"),
        Input("friction", 0, "finish the bore", uniform(0.1, 0.2), "a guess"),
        Input("diameter", 0, "finish the bore", uniform(119.99, 120.01), "a guess"),
    )
    found = analysed(one, inputs[:2], analysis.LEAST_SAMPLES, 3)
    rows: Told = [(v.key, v.stage, repr(v.holds), repr(v.margin), v.of_input) for v in found.verdicts]
    return [*rows, (len(found.figures), found.unmoved, found.not_asked)]


@pytest.fixture
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(criteria, "NODES", 2)
    monkeypatch.setattr(criteria, "SLOW_NODES", 1)
    monkeypatch.setattr(analysis, "CHECKED", 1)
    monkeypatch.setattr(emulated, "PER_DIRECTION", 3)


@pytest.mark.usefixtures("cheap")
@pytest.mark.parametrize(
    "answers", [of_check, of_stock_left, of_states, of_variants, of_windows, of_layouts, of_uncertainty]
)
def test_nonsense_names_change_no_answer(
    answers: Callable[[Callable[..., Scenario]], Told], varied: Callable[..., Scenario]
) -> None:
    before = answers(varied)
    with nonsense():
        after = answers(varied)
    assert after == before


def test_nonsense_names_change_no_study(root: Path, tmp_path: Path) -> None:
    before = of_study(root, tmp_path)
    with nonsense():
        after = of_study(root, tmp_path)
    assert after == before


def test_what_is_shown_takes_the_names_of_the_rules(varied: Callable[..., Scenario]) -> None:
    """The replacement reaches what people read: else the other cases here would show nothing."""
    with nonsense():
        one = assess(varied(HUB), contact_model="foundation")
        shown = [*(verdict_object(v)["name"] for v in one.verdicts), *(row(v)["name"] for v in one.verdicts)]
        shown += [name for n in one.not_judged for name in not_judged_object(n)["verdicts"]]
    assert len(shown) > 60
    assert all(name.startswith("zz") for name in shown)
