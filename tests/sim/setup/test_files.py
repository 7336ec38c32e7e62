"""What the files hold that a setup names: each is read when its parts are built, and named by its field."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.machining import part_program
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup import parts
from sim.setup.files import read_files

BY_PROGRAM = "cast_hub_by_program"
DRAWN: dict[str, Any] = {"file": "none.dxf", "unit": "mm", "right": "z", "up": "x"}
BAR = {"diameter": "16 mm", "reach": "100 mm", "functional_offset": "11 mm", "head": {"drawing": DRAWN}}
HOLDER = {"height": "20 mm", "width": "20 mm", "length": "125 mm", "functional_offset": "25 mm"}
PLATE = {"thickness": "25 mm", "drawing": DRAWN}
INSERT = {"number": 1, "insert": "CNMG 120408"}
CARRIERS: dict[str, dict[str, Any]] = {
    "bar.head": {"bar": BAR},
    "holder.head": {"holder": {**HOLDER, "head_length": "25 mm", "head": {"drawing": DRAWN}}},
    "plate": {"plate": PLATE},
    "turret": {"bar": {**BAR, "head": None}, "turret": PLATE},
}


@pytest.mark.parametrize("place", CARRIERS)
def test_a_drawing_that_is_not_there_is_named_by_its_field(
    place: str, varied: Callable[..., Scenario]
) -> None:
    tool = {
        **INSERT,
        **{k: {n: v for n, v in t.items() if v is not None} for k, t in CARRIERS[place].items()},
    }
    scenario = varied(BY_PROGRAM, {"boring.program.tools": [tool]})
    with pytest.raises(ScenarioError) as told:
        read_files(scenario)
    assert str(told.value).startswith(
        f"boring.program.tools[0]: {place}.drawing: file none.dxf cannot be read"
    )


def test_only_the_tools_that_bore_are_asked_for(varied: Callable[..., Scenario]) -> None:
    """The one of `boring.tool` bores where no program has tools of its own."""
    bar = {
        "bar_diameter": "16 mm",
        "reach": "100 mm",
        "functional_offset": "11 mm",
        "head": {"drawing": DRAWN},
    }
    assert read_files(varied(BY_PROGRAM, {"boring.tool": bar})).drawn == {}
    with pytest.raises(ScenarioError, match=r"^boring\.tool: head\.drawing: file none\.dxf cannot be read"):
        read_files(varied("cast_hub_on_ring", {"boring.tool": bar}))


def test_a_program_is_read_once(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    """What happens to its file after the parts are built changes nothing that is judged of them."""
    scenario = varied("cast_hub_by_program")
    place = next(n for n, o in enumerate(scenario.operations) if o.program is not None)
    stated = scenario.operations[place].program
    assert stated is not None
    own = tmp_path / "own.nc"
    shutil.copyfile(scenario.folder / stated.file, own)
    moved = varied("cast_hub_by_program", {f"operations.{place}.program.file": str(own)})
    built = parts.build(moved)
    own.unlink()
    program = part_program(built, place)
    assert program is not None
    assert program.runs
    with pytest.raises(
        ScenarioError, match=rf"^operations\[{place}\]\.program\.file must name a program file"
    ):
        parts.build(moved)
