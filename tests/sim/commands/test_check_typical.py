"""`chuckscene check --typical`: the table after the answer, and the same in JSON as its schema has it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

from sim.cli import app
from sim.report.schema import report_schema
from sim.uncertainty import typical


@pytest.mark.parametrize("as_json", [False, True])
def test_it_comes_after_the_answer(
    scenario_file: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch, as_json: bool
) -> None:
    monkeypatch.setattr(typical, "ranges", lambda: {"chuck.efficiency": (0.9, 1.05)})
    words = ["check", "--quick", "--typical", str(scenario_file("cast_hub_on_ring")), *(["--json"] * as_json)]
    found = CliRunner().invoke(app, words)
    assert found.exit_code == 0, found.output
    if as_json:
        told = json.loads(found.stdout)
        jsonschema.validate(told, report_schema())
        assert [one["field"] for one in told["typical"]["not_read_off"]] == ["chuck.efficiency"]
        assert told["typical"]["not_read_off"][0]["low"]["value"] == "0.855"
    else:
        assert "each moved alone to the worse end of its usual range" in found.stdout
        assert "chuck.efficiency" in found.stdout
