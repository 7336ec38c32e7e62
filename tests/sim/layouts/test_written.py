"""A scenario file with values changed: comments stay, what is written is what is read back."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.layouts.written import with_values
from sim.scenario.changes import changed
from sim.setup.loading import load


@pytest.fixture
def file(scenario_file: Callable[[str], Path], tmp_path: Path) -> Path:
    path = tmp_path / "hub.toml"
    text = scenario_file("cast_hub_on_plug").read_text(encoding="utf-8")
    path.write_text(text.replace("[boring]\n", "# as the setter wrote it\n[boring]\n"), encoding="utf-8")
    return path


VALUES: list[dict[str, Any]] = [
    {"boring.travel": "3.25 mm"},
    {"soft_jaw.serration_index": -1, "pockets.0.depth": "22 mm"},
    {"operations.0.gripping.pressure": "21 bar"},
    {"boring.fixture": {"kind": "ring", "outer_diameter": "190 mm", "inner_diameter": "126 mm", "thickness": "14 mm"}},
    {"soft_jaw.bored_before": [{"travel": "3 mm", "pockets": [{"diameter": "100 mm", "depth": "9 mm"}]}]},
]  # fmt: skip


@pytest.mark.parametrize("values", VALUES, ids=[next(iter(v)) for v in VALUES])
def test_what_is_written_is_read_back(file: Path, values: dict[str, Any]) -> None:
    text = with_values(file, values)
    assert "# as the setter wrote it" in text
    assert tomllib.loads(text) == changed(tomllib.loads(file.read_text(encoding="utf-8")), values)
    again = file.with_name("again.toml")
    again.write_text(text, encoding="utf-8")
    load(again)


def test_without_values_the_file_stays(file: Path) -> None:
    assert with_values(file, {}) == file.read_text(encoding="utf-8")


def test_places_that_do_not_stand_there(file: Path) -> None:
    for field in ("pockets.3.depth", "nothing.there", "title.x"):
        with pytest.raises(ScenarioError, match="cannot be written"):
            with_values(file, {field: "1 mm"})
    with pytest.raises(ScenarioError, match="cannot be read again"):
        with_values(file.with_name("missing.toml"), {})


def test_files_are_named_from_the_folder_that_it_goes_to(file: Path, tmp_path: Path) -> None:
    (tmp_path / "fit.toml").write_text("[chuck]\nefficiency = 0.8\n", encoding="utf-8")
    file.write_text('include = ["fit.toml"]\n' + file.read_text(encoding="utf-8"), encoding="utf-8")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "hub.toml").write_text(with_values(file, {"boring.travel": "3.2 mm"}, folder), encoding="utf-8")
    scenario = load(folder / "hub.toml")
    assert scenario.include == ("../fit.toml",)
    assert (scenario.chuck.efficiency, scenario.boring.travel) == (0.8, 3.2)
    with pytest.raises(
        ScenarioError, match=r"chuck\.efficiency cannot be written, .*fit\.toml takes its place"
    ):
        with_values(file, {"chuck.efficiency": 0.9})


def test_programs_and_models_are_named_from_there_too(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    text = with_values(scenario_file("cast_hub_by_program"), {}, tmp_path)
    (tmp_path / "hub.toml").write_text(text, encoding="utf-8")
    load(tmp_path / "hub.toml")
    assert (tmp_path / tomllib.loads(text)["boring"]["program"]["file"]).exists()
