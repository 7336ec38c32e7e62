"""The command `program` as a user calls it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.base.errors import ScenarioError
from sim.cli import app

SYSTEM = ("--code-system", "G77 cycles", "--quick")


def run(*arguments: str) -> tuple[int, str]:
    found = CliRunner().invoke(app, ["program", *arguments])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.output


def test_a_plug_gives_two_files(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    out = tmp_path / "made" / "jaws.nc"
    status, said = run(
        str(scenario_file("cast_hub_on_plug")),
        *SYSTEM,
        "--out",
        str(out),
        "--zero",
        "52 mm",
        "--number",
        "30",
    )
    assert status == 0
    files = sorted(out.parent.iterdir())
    assert [file.name for file in files] == ["jaws-1-seat.nc", "jaws-2-pockets.nc"]
    assert all(str(file) in said for file in files)
    assert "Unproven" in said
    texts = [file.read_text(encoding="ascii") for file in files]
    assert ["O0030" in texts[0], "O0031" in texts[1]] == [True, True]
    # The back face of the pocket, 23 mm under the jaws' top face of 50 mm, lies 25 mm under a zero point at 52 mm.
    assert min(map(float, re.findall(r"G1 Z(-[\d.]+)", texts[1]))) == pytest.approx(-25.0, abs=0.01)


@pytest.mark.parametrize("name", ["cast_hub_ring_blocks", "cast_hub_by_program"])
def test_nothing_is_left_where_it_is_refused(
    name: str, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    out = tmp_path / "jaws.nc"
    with pytest.raises(ScenarioError, match=name):
        run(str(scenario_file(name)), *SYSTEM, "--out", str(out))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "must state that of the control"),
        (("--code-system", "ISO", "--zero", "50"), "one number and one unit"),
        (("--code-system", "mine"), "G90 cycles"),
    ],
)
def test_what_it_is_not_told_it_does_not_guess(
    options: tuple[str, ...], said: str, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    file = str(scenario_file("cast_hub_on_ring"))
    status, text = run(file, *options, "--quick", "--out", str(tmp_path / "jaws.nc"))
    assert status == 2
    assert said in " ".join(text.split())
    assert not list(tmp_path.iterdir())
