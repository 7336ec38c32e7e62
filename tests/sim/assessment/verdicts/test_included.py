"""Values from gauge readings: which of several files is told, and when it fails; made-up files."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.included import included_verdicts
from sim.scenario.included import ACCEPTED, REJECTED, WITH_FINDINGS, Included, Judgement, Taken

FRICTION = (Taken("chuck.guideway_friction", "0.12", None),)


def judged(*files: Included) -> list[Verdict]:
    scenario: Any = SimpleNamespace(included=files)
    return list(included_verdicts(scenario))


def read(name: str, word: str | None, *findings: str) -> Included:
    return Included(name, FRICTION, None if word is None else Judgement(word, findings))


def test_values_that_nobody_gauges_are_not_asked_about() -> None:
    assert judged() == []
    assert judged(Included("chuck.toml", (Taken("chuck.stroke", "6 mm", None),))) == []


def test_accepted_readings_pass() -> None:
    (found,) = judged(read("a.toml", ACCEPTED))
    assert (found.status, found.value, found.limit) == ("pass", 0.0, 0.0)


def test_the_file_most_in_doubt_is_told_and_all_in_doubt_are_counted() -> None:
    files = [read("a.toml", ACCEPTED), read("b.toml", None), read("c.toml", WITH_FINDINGS, "One is off."),
             read("d.toml", REJECTED, "All are off.")]  # fmt: skip
    told = {"b.toml": "warn", "c.toml": "warn", "d.toml": "fail"}
    for count in (2, 3, 4):
        for order in (files[:count], files[count - 1 :: -1]):
            (found,) = judged(*order)
            name = files[count - 1].file
            assert (found.value, found.status) == (count - 1.0, told[name])
            assert f"values from {name};" in found.message
    assert "REJECTED (All are off)" in found.message
    assert found.advice.startswith("Take the values from readings that a fit accepts")


def test_a_file_that_does_not_say_warns() -> None:
    (found,) = judged(read("b.toml", None))
    assert (found.status, found.value) == ("warn", 1.0)
    assert "does not say whether" in found.message
    assert found.advice.startswith("Fit the readings again")
