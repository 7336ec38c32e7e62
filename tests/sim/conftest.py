"""A small study of the hub, its cases judged in this process; variants with few solutions of the contact."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.scenario.study import read_study
from sim.studies.judging import Description, describe
from sim.studies.plan import Case
from sim.studies.preparing import Prepared, cases_of, prepared
from sim.variants import contact

SMALL = """
scenarios = ["{scenarios}/cast_hub_on_ring.toml"]
contact = "quick"
samples = 8
seed = 5
block = 16

[[vary]]
key = "operations.0.gripping.pressure"
values = ["12 bar", "20 bar", "40 bar"]

[[vary]]
key = "operations.0.gripping.speed_high"
low = "600 rpm"
high = "1600 rpm"
step = "500 rpm"

[[vary]]
key = "chuck.guideway_friction"
distribution = { kind = "triangular", low = -0.08, mode = 0.08, high = 0.2 }
"""


@pytest.fixture
def small(root: Path) -> str:
    return SMALL.replace("{scenarios}", str(root / "scenarios"))


@pytest.fixture(scope="session")
def described() -> Callable[[Case], Description]:
    """Judge a scenario as it stands, each only once in a run."""
    known: dict[str, Description] = {}

    def found(case: Case) -> Description:
        key = json.dumps([case.tables, case.model], default=str)
        if key not in known:
            known[key] = describe(case)
        return known[key]

    return found


@pytest.fixture
def ready(tmp_path: Path, described: Callable[[Case], Description]) -> Callable[[str], Prepared]:
    def made(text: str) -> Prepared:
        file = tmp_path / "study.toml"
        file.write_text(text, encoding="utf-8")
        study = read_study(file)
        return prepared(study, cases_of(study), lambda cases: map(described, cases))

    return made


@pytest.fixture
def few_solutions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the tables of variants have few points of the contact, for tests of what is not read from them.

    Fewer of a lobe: at a force that would be nearly none a lobed part touches at a point of each jaw, and is not held.
    """
    for step in ("FIT_STEP", "FORCE_STEP", "MODULUS_STEP"):
        monkeypatch.setattr(contact, step, 20.0 * getattr(contact, step))
    monkeypatch.setattr(contact, "LOBE_STEP", 5.0 * contact.LOBE_STEP)
