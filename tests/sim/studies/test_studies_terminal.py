"""A study in words: what will be done, what it came to, and what it must say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rich.console import Console

from sim.assessment import CAUTIONS
from sim.studies.plan import blocks
from sim.studies.preparing import Prepared
from sim.studies.summary import Best, Summary
from sim.studies_terminal import plan_lines, summary_object, summary_table

FOUND = Summary(
    statuses={"pass": 3, "fail": 6, "refused": 1},
    failing={"grip at rest, first side": 6, "swing, first side": 1},
    alone={"grip at rest, first side": 5},
    refusals={"soft_jaw is too low": 1},
    best=(
        Best(4, "hub", warns=False, margin=1.25, closest="spindle speed, first side", values={"a_MPa": 2.0}),
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
        console.print(summary_table(FOUND))
    text = captured.get()
    assert "10 variants: 3 pass, 0 warn, 6 fail, 1 cannot be made." in text
    first = next(line for line in text.splitlines() if line.startswith("grip at rest"))
    assert first.split()[-2:] == ["6", "5"]
    assert "1  soft_jaw is too low" in text
    assert "a_MPa = 2" in text
    assert all(line in text for line in CAUTIONS)
    assert summary_object(FOUND)["cautions"] == list(CAUTIONS)
