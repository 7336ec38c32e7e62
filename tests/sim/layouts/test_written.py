"""A scenario file with values changed: comments stay, what is written is what is read back."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.errors import ScenarioError
from sim.layouts.written import with_values
from sim.loading import load
from sim.scenario.changes import changed


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
