"""A study in words: what will be done, what it came to, and what it must say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from rich.console import Console

from sim.assessment.results import CAUTIONS
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.layouts.full_check import FullCheck
from sim.report.studies import summary_object
from sim.scenario import Scenario
from sim.studies.confirming import Confirmed, Named, confirmed
from sim.studies.plan import blocks
from sim.studies.preparing import Prepared
from sim.studies.summary import Best, Summary
from sim.terminal.studies import plan_lines, summary_table

FOUND = Summary(
    statuses={"pass": 3, "fail": 6, "refused": 1},
    failing={"grip at rest, first side": 6, "swing, first side": 1},
    alone={"grip at rest, first side": 5},
    refusals={"soft_jaw is too low": 1},
    best=(
        Best(4, "hub", warns=False, margin=1.25, closest="spindle speed, first side", values={"a_MPa": 2.0}),
    ),
)


FLOOR = Verdict("floor", "floor", "jaws", "fail", 1.0, 5.0, "mm", "rule", "1 mm is left.", "Bore less deep.")
NAMED = Named(
    (Confirmed(FOUND.best[0], FullCheck("pass")),),
    (
        Confirmed(
            Best(7, "hub", warns=False, margin=2.0, closest="x", values={}), FullCheck("fail", (FLOOR,))
        ),
    ),
)


def test_it_says_up_front_what_it_will_do(ready: Callable[[str], Prepared], small: str) -> None:
    study = ready(small)
    lines = list(plan_lines(study, blocks(study.cases), 16))
    assert lines[0] == "72 variants of 1 scenario in 5 blocks."
    assert lines[1] == "72 share the contact solutions of 1 geometry."
    assert lines[2] == "16 are finished already."
    height = '\n[[vary]]\nkey = "soft_jaw.height"\ndistribution = { kind = "uniform", low = "45 mm", high = "55 mm" }\n'
    slow = ready(small.replace('"12 bar", "20 bar", "40 bar"', '"20 bar"') + height)
    (_, single) = plan_lines(slow, blocks(slow.cases), 0)
    assert single == "24 need a contact solve of their own because of soft_jaw.height: up to seconds each."


def test_a_scenario_that_cannot_be_made_is_named(ready: Callable[[str], Prepared], small: str) -> None:
    study = replace(ready(small), refusals={"cast_hub_on_ring": "the jaw is too low"})
    assert any("assessed one by one: the jaw is too low" in line for line in plan_lines(study, [], 0))


def test_summary() -> None:
    console = Console(width=150, record=True, force_terminal=False)
    with console.capture() as captured:
        console.print(summary_table(FOUND, NAMED))
    text = captured.get()
    assert "10 variants: 3 pass, 0 warn, 6 fail, 1 cannot be made." in text
    first = next(line for line in text.splitlines() if line.startswith("grip at rest"))
    assert first.split()[-2:] == ["6", "5"]
    assert "1  soft_jaw is too low" in text
    assert "a_MPa = 2" in text
    assert all(line in text for line in CAUTIONS)
    assert "check passes" in text
    assert "Variant 7 is not named, the full check refuses it: floor, jaws: 1 mm is left." in text
    found = summary_object(FOUND, NAMED)
    assert found["cautions"] == list(CAUTIONS)
    assert [(one["variant"], one["check"]["status"]) for one in found["best"]] == [(4, "pass")]
    assert [one["variant"] for one in found["rejected_by_check"]] == [7]


def test_the_best_are_what_check_says_of_them(
    ready: Callable[[str], Prepared], small: str, varied: Callable[..., Scenario], monkeypatch: Any
) -> None:
    """Each by its own values in the scenario's file; one that the full check refuses gives way to the next."""
    study = ready(small)
    (case,) = study.cases
    values = case.design.values(np.arange(case.design.count))
    names = [q.key for q in case.design.quantities]
    own = {n: dict(zip(names, row, strict=True)) for n, row in enumerate(zip(*values, strict=True))}
    pressure, speed = "operations.0.gripping.pressure", "operations.0.gripping.speed_high"
    good = [
        n
        for n, one in own.items()
        if abs(one[pressure] - 2.0) < 1e-9 and 0.0 < one["chuck.guideway_friction"] < 0.1
    ]
    best = tuple(
        Best(case.first + n, case.name, warns=True, margin=1.1, closest="x", values=own[n]) for n in good[:8]
    )
    found = confirmed(Summary(best=best), study.cases)
    assert found.best
    for one in found.best:
        row = own[one.best.variant - case.first]
        changes = {
            pressure: f"{row[pressure]!r} MPa",
            speed: f"{row[speed]!r} rpm",
            "chuck.guideway_friction": row["chuck.guideway_friction"],
        }
        expected = assess(varied("cast_hub_on_ring", changes), contact_model=case.model)
        assert one.check.status == expected.status != "fail"
        assert [v.value for v in one.check.verdicts] == [v.value for v in expected.verdicts]
    refused = found.best[0].best.variant
    answers = iter([FullCheck("fail", (FLOOR,)), *[FullCheck("pass")] * 20])
    monkeypatch.setattr("sim.layouts.full_check.full_check", lambda *_: next(answers))
    again = confirmed(Summary(best=tuple(one.best for one in found.best) * 2), study.cases)
    assert [one.best.variant for one in again.rejected] == [refused]
    assert len(again.best) <= 5
