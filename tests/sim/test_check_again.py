"""A check of a file that was checked before: the same report to the byte, and what an edit reaches worked out anew."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import threadpoolctl

from sim.assessment import clamping
from sim.assessment.bodies import ContactModel
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import threads as threads_module
from sim.base.answers import answers_in
from sim.base.kept import forget
from sim.contact import solve
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.setup.loading import load

# Answers of finite elements have kinds of their own: gripped outside and inside, in sectors, in two steps.
FINITE_ELEMENTS = (
    "cast_hub_by_program",
    "housing_gripped_inside",
    "thin_ring_in_sector_jaws",
    "valve_bonnet_two_steps",
)


def report(assessment: Assessment) -> str:
    return json.dumps(as_object(assessment, moves=True))


def refused(*_: object, **__: object) -> Any:
    raise AssertionError("worked out again")


def test_the_report_is_the_same_to_the_byte(
    tmp_path: Path,
    scenario_name: str,
    scenario_file: Callable[[str], Path],
    assessment: Callable[[str], Assessment],
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without answers, while they are left, and from them; the last time nothing is pressed any more."""
    elastic = scenario_name in FINITE_ELEMENTS
    model: ContactModel = "elastic" if elastic else "foundation"
    want = report((assessment if elastic else quickly_judged)(scenario_name))
    for again in (False, True):
        forget()
        if again:
            monkeypatch.setattr(clamping, "press", refused)
            monkeypatch.setattr("sim.clearance.runs.clearance_of_sweep", refused)
            monkeypatch.setattr("sim.holding.revolution.solved", refused)
        with answers_in(tmp_path, scenario_name):
            assert report(assess(load(scenario_file(scenario_name)), contact_model=model)) == want


@pytest.mark.parametrize(
    "field",
    ["operations.0.gripping.pressure", "operations.0.workpiece.gripped_diameter_high", "boring.travel"],
)
def test_an_edit_is_judged_as_without_answers(
    tmp_path: Path, varied: Callable[..., Scenario], field: str
) -> None:
    values = {
        "operations.0.gripping.pressure": "17 bar",
        "operations.0.workpiece.gripped_diameter_high": "118.03 mm",
        "boring.travel": "2.9 mm",
    }
    stated, edited = varied("cast_hub_on_ring"), varied("cast_hub_on_ring", {field: values[field]})
    with answers_in(tmp_path, "file"):
        before = report(assess(stated, contact_model="foundation"))
    forget()
    with answers_in(tmp_path, "file"):
        found = report(assess(edited, contact_model="foundation"))
    forget()
    assert found == report(assess(edited, contact_model="foundation"))
    assert found != before


def test_pressure_leaves_the_path_as_it_was(
    tmp_path: Path, varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is asked by what it depends on, not by the file: an edit of the grip does not check the path again."""
    with answers_in(tmp_path, "file"):
        assess(varied("cast_hub_on_ring"), contact_model="foundation")
    forget()
    monkeypatch.setattr("sim.clearance.runs.clearance_of_sweep", refused)
    pressed = []
    monkeypatch.setattr(clamping, "press", lambda *a, **k: pressed.append(a) or solve.press(*a, **k))
    edited = varied("cast_hub_on_ring", {"operations.0.gripping.pressure": "17 bar"})
    with answers_in(tmp_path, "file"):
        assess(edited, contact_model="foundation")
    assert pressed


def test_blas_is_looked_for_only_where_something_is_worked_out(
    tmp_path: Path, varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is heavy keeps to one thread; reading answers takes no look at the libraries of the process."""

    def threads() -> set[int]:
        return {p["num_threads"] for p in threadpoolctl.threadpool_info() if p["user_api"] == "blas"}

    found: list[set[int]] = []
    monkeypatch.setattr(clamping, "press", lambda *a, **k: found.append(threads()) or solve.press(*a, **k))
    stated = varied("cast_hub_on_ring")
    with threadpoolctl.threadpool_limits(3, "blas"), answers_in(tmp_path, "file"):
        assess(stated, contact_model="foundation")
    assert found
    assert set.union(*found) == {1}
    forget()
    monkeypatch.setattr(threads_module, "_libraries", refused)
    with answers_in(tmp_path, "file"):
        assess(stated, contact_model="foundation")
