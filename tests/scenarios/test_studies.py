"""The examples of studies are read, their keys are those of their scenarios, and the printed schema fits them."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from sim import cli
from sim.scenario.study import read_study
from sim.studies.preparing import cases_of

FILES = sorted((Path(__file__).parents[2] / "scenarios" / "studies").glob("*.toml"))


def test_examples() -> None:
    assert FILES
    for file in FILES:
        cases = cases_of(read_study(file))
        assert cases[0].design.count * len(cases) >= 1000


def test_schema(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.argv", ["chuckscene", "schema", "--study"])
    with pytest.raises(SystemExit):
        cli.main()
    schema = json.loads(capsys.readouterr().out)
    for file in FILES:
        told = tomllib.loads(file.read_text(encoding="utf-8"))
        jsonschema.validate(told, schema)
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**told, "sead": 1}, schema)
