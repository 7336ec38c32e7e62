"""A small share of what is drawn of each kind, the same each time; `try_inputs.py` tries as many as one likes."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from types import SimpleNamespace

import pytest
import trials
from drawn_scenarios import NAMES, drawn, keys_of, mutated, tables_of
from file_trials import CACHE, DIAL, MODELS, READINGS, SEARCH, SHELF, STUDY
from scenario_trials import FindingError, built, judged, tried, worse
from server_trials import SERVER
from trials import Kind, run

from sim.assessment.stages import assess
from sim.scenario import Scenario


def test_drawn_scenarios_are_read_or_refused_and_worse_ones_are_judged_no_better() -> None:
    some = Kind("scenario", lambda draw: tried(draw, 0.02), frozenset())
    tally = run(some, seed=11, inputs=500)
    assert tally.findings == []
    assert tally.counts["refused"] > 250
    assert tally.counts["can be built"] > 120
    assert tally.counts["judged and moved"] >= 2


@pytest.mark.parametrize(
    ("kind", "inputs"),
    [
        (READINGS, 150),
        (DIAL, 150),
        (STUDY, 150),
        (SEARCH, 150),
        (SHELF, 150),
        (MODELS, 250),
        (CACHE, 150),
        (SERVER, 200),
    ],
    ids=lambda one: one.name if isinstance(one, Kind) else "",
)
def test_files_and_requests_cut_about(kind: Kind, inputs: int) -> None:
    tally = run(kind, seed=7, inputs=inputs, slow=20.0)
    assert tally.findings == []
    assert tally.counts.keys() >= kind.words  # else half of what is held is not tried


def test_what_is_drawn_differs_and_leaves_what_is_shipped_alone() -> None:
    before = {name: repr(tables_of(name)) for name in NAMES}
    draw = random.Random(5)  # noqa: S311 - drawn, not guarded
    texts = {repr(drawn(draw)) for _ in range(300)}
    assert len(texts) > 250
    assert {name: repr(tables_of(name)) for name in NAMES} == before
    (name, *_) = NAMES
    assert any(
        mutated(draw, tables_of(name), draw.choice(keys_of(name))) != tables_of(name) for _ in range(9)
    )


def crashes(_draw: random.Random) -> str:
    raise KeyError("no such figure")


def hangs(_draw: random.Random) -> str:
    while True:
        pass


def test_a_crash_a_hang_and_a_slow_input_are_findings(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trials, "HANGING", 1)
    for bad, words in ((crashes, "KeyError"), (hangs, "took over 1 s")):
        tally = run(Kind("bad", bad, frozenset()), seed=1, inputs=1)
        assert [words in one["what"] for one in tally.findings] == [True]
        assert tally.inputs == 1
    tally = run(Kind("slow", lambda _: "read", frozenset()), seed=1, inputs=1, slow=-1.0)
    assert "took 0.0 s" in tally.findings[0]["what"]


def test_a_pass_beyond_its_limit_and_a_status_that_hides_a_failure_are_findings(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tables = tables_of("cast_hub_on_plug")
    scenario = built(tables)
    assert isinstance(scenario, Scenario)
    found = judged(scenario, tables)
    assert found is not None
    wrong = replace(found.verdicts[0], value=math.nan, status="pass")
    failing = replace(found.verdicts[0], status="fail")
    monkeypatch.setattr("scenario_trials.as_object", lambda *_, **__: {})
    for verdict, words in ((wrong, "passes beyond its limit"), (failing, "though a verdict says otherwise")):
        told = SimpleNamespace(verdicts=(verdict,), status="pass")
        monkeypatch.setattr("scenario_trials.assess", lambda *_, told=told, **__: told)
        with pytest.raises(FindingError, match=words):
            judged(scenario, tables)


def test_a_margin_that_grows_with_a_worse_input_is_a_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    tables = tables_of("cast_hub_on_plug")
    scenario = built(tables)
    assert isinstance(scenario, Scenario)
    before = assess(scenario, contact_model="foundation")
    better = SimpleNamespace(
        verdicts=tuple(
            replace(v, value=1.01 * v.value if v.at_least else 0.99 * v.value) for v in before.verdicts
        )
    )
    monkeypatch.setattr("scenario_trials.judged", lambda *_: better)
    seen = set()
    for number in range(40):
        draw = random.Random(number)  # noqa: S311 - drawn, not guarded
        try:
            seen.add(worse(draw, scenario, tables, before))
        except FindingError as error:
            seen.add("though it is worse" in str(error) or "does not name it" in str(error))
    assert True in seen
