"""The table of `tests/mutation.py` names what is there, and its mistakes are mistakes."""

from __future__ import annotations

import ast
import runpy
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="module")
def script() -> dict[str, Any]:
    return runpy.run_path(str(Path(__file__).with_name("mutation.py")))


def test_modules_and_tests_are_there(script: dict[str, Any]) -> None:
    assert script["stale"]() == []


def test_a_moved_file_is_refused(script: dict[str, Any]) -> None:
    covered = script["COVERED"]
    covered["sim/mechanics/gone.py"] = ("tests/sim/gone.py::test_it",)
    try:
        assert script["stale"]() == ["sim/mechanics/gone.py", "tests/sim/gone.py"]
    finally:
        del covered["sim/mechanics/gone.py"]


def test_what_stays_in_memory_has_no_mutant_in_it(script: dict[str, Any]) -> None:
    """`stress` is imported by `clamping`, and that by much; what they import is none of theirs."""
    kept = set(script["apart"]("sim/assessment/stress.py"))
    assert {"sim.assessment.part_wall", "sim.contact.solve", "sim.base.units"} <= kept
    assert not kept & {"sim.assessment.stress", "sim.assessment.clamping", "sim.assessment.stages"}
    # The package around it imports what judges.
    assert "sim.variants.table" not in kept


def test_mutants_turn_what_is_computed_and_no_words(script: dict[str, Any]) -> None:
    source = (
        "def f(a: int) -> str:\n    worst = max(a - 1, 0.5)\n    return f'{a + 1} is 2' if a < 3 else ''\n"
    )
    found = {(m.was, m.now) for m in script["mutants"](source)}
    assert {("max", "min"), ("a - 1", "a + 1"), ("a < 3", "a >= 3"), ("3", "4")} <= found
    assert ("1", "2") in found
    assert not [was for was, _ in found if "is 2" in was or was == "a + 1"]
    for mutant in script["mutants"](source):
        assert ast.dump(ast.parse(mutant.text)) != ast.dump(ast.parse(source))
