"""Every file that a scenario names is found, and another content of one is another digest."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sim.drawing.digest import scenario_digest
from sim.scenario import Scenario
from sim.scenario.named_files import read_files, table_files


def test_programs_models_and_drawings_are_named(varied: Callable[..., Scenario]) -> None:
    found = dict(read_files(varied("cast_hub_by_program")))
    assert found == {
        "boring.program.file": "programs/cast_hub_jaws.nc",
        "operations[0].program.file": "programs/cast_hub_first_side.nc",
    }


def test_a_drawing_of_a_tool_counts_in_the_digest(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    file = tmp_path / "head.dxf"
    head = {"drawing": {"file": str(file), "unit": "mm", "right": "z", "up": "x"}}
    scenario = varied("cast_hub_on_ring", {"boring.tool.head": head})
    assert dict(read_files(scenario)) == {"boring.tool.head.drawing.file": str(file)}
    digests = set()
    for content in (b"one", b"other"):
        file.write_bytes(content)
        digests.add(scenario_digest(scenario))
    assert len(digests) == 2


def test_files_whose_tables_are_taken_are_named(varied: Callable[..., Scenario]) -> None:
    assert list(table_files(varied("cast_hub_on_ring"))) == []
    named = list(table_files(varied("cast_hub_gauged")))
    assert named
    assert all(field.startswith(("include[", "shop_files[")) for field, _ in named)
