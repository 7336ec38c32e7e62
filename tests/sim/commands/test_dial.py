"""The command `fit` with readings of a dial, as a user calls it."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.base.errors import ReadingsError
from sim.cli import app


def run(*arguments: str) -> tuple[int, str]:
    found = CliRunner().invoke(app, list(arguments))
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.stdout


@pytest.fixture
def hub(scenario_file: Callable[[str], Path]) -> Path:
    return scenario_file("cast_hub_on_ring")


@pytest.fixture
def dial(root: Path) -> Path:
    return root / "scenarios" / "readings" / "cast_hub_dial.csv"


def test_fit_writes_what_a_scenario_takes_in(hub: Path, dial: Path, tmp_path: Path) -> None:
    """Readings of sound jaws: accepted, taken in, and said in the check's own words."""
    out = tmp_path / "dial.toml"
    status, text = run("fit", str(hub), str(dial), "--dial-step", "1 um", "--out", str(out))
    assert status == 0
    assert "31 readings; 13 clampings and 5 mountings compared" in text
    status, text = run("fit", str(hub), str(dial), "--dial-step", "1 um", "--out", str(out), "--json")
    found = json.loads(text)
    tables = tomllib.loads(out.read_text(encoding="utf-8"))
    assert set(tables) == {"gauge_readings", "running"}
    assert set(tables["running"]) == {key.removesuffix("_mm") for key in found["parameters"]}
    assert tables["running"]["repeat_scatter"] >= found["parameters"]["repeat_scatter"]["high"]
    mine = tmp_path / "mine.toml"
    mine.write_text(
        'include = ["dial.toml"]\n' + hub.read_text(encoding="utf-8") + "\n[running]\nrebolted = true\n",
        encoding="utf-8",
    )
    checked = json.loads(run("check", str(mine), "--quick", "--json")[1])
    (included,) = checked["included"]
    assert set(included["values"]) == {f"running.{name}" for name in tables["running"]}
    assert included["gauge_readings"] == "accepted"
    shares = {share["share"]: share["basis"] for share in checked["running"][0]["shares"]}
    assert any("13 µm along, 23 µm across" in basis for basis in shares.values())


def test_contradicted_values_are_said_and_serious(hub: Path, dial: Path, tmp_path: Path) -> None:
    """The scenario that states jaws much truer than the readings are."""
    mine, out = tmp_path / "mine.toml", tmp_path / "dial.toml"
    mine.write_text(
        hub.read_text(encoding="utf-8") + '\n[running]\nrebolted_along = "1 um"\nrebolted_across = "1 um"\n',
        encoding="utf-8",
    )
    status, text = run("fit", str(mine), str(dial), "--dial-step", "1 um", "--out", str(out))
    assert status == 1
    assert "x jaws bolted on again: from one mounting of the jaws to the next" in " ".join(text.split())
    assert (
        tomllib.loads(out.read_text(encoding="utf-8"))["gauge_readings"]["judgement"]
        == "accepted with findings"
    )


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "--dial-step must say the smallest movement"),
        (("--dial-step", "1"), "--dial-step must be a length"),
        (("--dial-step", "1 mm"), "must lie between 0.1 and 100 um, found 1000 um"),
        (("--dial-step", "1 um", "--with-loss"), "--with-loss goes with readings of a grip gauge"),
        (
            ("--dial-step", "1 um", "--gauge-stiffness", "500 kN/mm"),
            "--gauge-stiffness goes with readings of a grip",
        ),
        (("--dial-step", "20 um"), r"must hold a movement of 20 µm, the dial's step, .* unit of the header"),
    ],
)
def test_options_that_do_not_go_with_a_dial(
    hub: Path, dial: Path, tmp_path: Path, options: tuple[str, ...], words: str
) -> None:
    out = tmp_path / "dial.toml"
    with pytest.raises(ReadingsError, match=words):
        run("fit", str(hub), str(dial), "--out", str(out), *options)
    assert not out.exists()


def test_a_dials_step_does_not_go_with_a_grip_gauge(root: Path, hub: Path, tmp_path: Path) -> None:
    gauge = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    with pytest.raises(ReadingsError, match="--dial-step goes with readings of a dial"):
        run("fit", str(hub), str(gauge), "--dial-step", "1 um", "--out", str(tmp_path / "x.toml"))


def test_too_few_readings_write_nothing(hub: Path, tmp_path: Path) -> None:
    file, out = tmp_path / "dial.csv", tmp_path / "dial.toml"
    file.write_text(
        "mounting, clamping, pressure (bar), height (mm), TIR (um), high spot (deg)\n"
        "1, 1, 20, 60, 12, 90\n1, 2, 20, 60, 14, 80\n",
        encoding="utf-8",
    )
    with pytest.raises(
        ReadingsError, match=r"tells no field of \[running\], no table is written.*it takes 3 clampings"
    ):
        run("fit", str(hub), str(file), "--dial-step", "1 um", "--out", str(out))
    assert not out.exists()
