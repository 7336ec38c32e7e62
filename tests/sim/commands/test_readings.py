"""The command `fit` as a user calls it."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.cli import app
from sim.errors import OutputError, ReadingsError


def run(*arguments: str) -> tuple[int, str]:
    found = CliRunner().invoke(app, list(arguments))
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found.exit_code, found.stdout


def test_fit_writes_what_it_says(root: Path, scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    readings = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    out = tmp_path / "chuck.toml"
    hub = str(scenario_file("cast_hub_on_ring"))
    status, text = run("fit", hub, str(readings), "--out", str(out), "--gauge-stiffness", "500 kN/mm")
    assert status == 1  # the invented chuck lacks grease
    assert "missing grease" in text
    assert "Measure the grip with a gauge before running at speed." in text
    assert (tmp_path / "chuck.png").read_bytes().startswith(b"\x89PNG")
    tables = tomllib.loads(out.read_text(encoding="utf-8"))
    status, text = run("fit", hub, str(readings), "--out", str(out), "--json")
    found = json.loads(text)
    friction = found["parameters"]["friction"]
    assert friction["low"] < friction["value"] < friction["high"]
    assert tables["chuck"]["guideway_friction"] == pytest.approx(friction["value"], abs=1e-4)
    assert len(found["residual_N"]) == found["readings"] == 18


def test_bad_rows_are_named_and_the_others_used(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    good = (root / "scenarios" / "readings" / "cast_hub_gauge.csv").read_text(encoding="utf-8")
    file, hub, out = tmp_path / "gauge.csv", str(scenario_file("cast_hub_on_ring")), tmp_path / "fit.toml"
    file.write_text(good + "26, 0, 85, ninety\n", encoding="utf-8")
    status, text = run("fit", hub, str(file), "--out", str(out))
    assert status == 1
    assert f"{file}: line 20, force per jaw (kN): found 'ninety'" in " ".join(text.split())
    assert "18 readings, 1 bad row not used" in out.read_text(encoding="utf-8")
    status, text = run("fit", hub, str(file), "--out", str(out), "--json")
    (bad,) = json.loads(text)["bad_rows"]
    assert (status, bad["line"], bad["found"]) == (1, 20, "ninety")
    out.unlink()
    file.write_text(
        "pressure (bar), speed (rpm), height (mm), force per jaw (kN)\nx,0,1,1\n", encoding="utf-8"
    )
    with pytest.raises(ReadingsError, match=r"line 2, pressure \(bar\): found 'x'"):
        run("fit", hub, str(file), "--out", str(out))
    assert not out.exists()


def test_check_uses_and_says_what_a_scenario_includes(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    """From the readings to the verdicts: the fitted chuck grips by as much less as its drive says."""
    hub, out = scenario_file("cast_hub_on_ring"), tmp_path / "fit.toml"
    readings = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    run("fit", str(hub), str(readings), "--out", str(out), "--with-loss")
    mine = tmp_path / "mine.toml"
    mine.write_text('include = ["fit.toml"]\n' + hub.read_text(encoding="utf-8"), encoding="utf-8")
    before, after = (json.loads(run("check", str(f), "--quick", "--json")[1]) for f in (hub, mine))
    chuck = tomllib.loads(out.read_text(encoding="utf-8"))["chuck"]
    height = before["grip"][0]["height_mm"]

    def share(friction: float) -> float:
        """Return the grip left of the whole pull by the formula of the README, with this chuck's dimensions."""
        phi, alpha, depth, length, lever = math.atan(friction), math.radians(19.0), 15.0, 80.0, height + 25.0
        seat = 1.0 - friction * math.tan(alpha + phi) - 3.0 * friction * depth / length
        return seat / math.tan(alpha + phi) / (1.0 + 3.0 * friction * lever / length)

    ratio = chuck["efficiency"] * share(chuck["guideway_friction"]) / (0.95 * share(0.08))
    assert after["grip"][0]["rest_total_N"] / before["grip"][0]["rest_total_N"] == pytest.approx(
        ratio, rel=1e-3
    )
    assert before["included"] == []
    (taken,) = after["included"]
    assert taken["file"] == "fit.toml"
    assert set(taken["values"]) == {
        "chuck.guideway_friction",
        "chuck.efficiency",
        "operations[0].gripping.grip_loss_share",
    }
    # Fitted anew, the readings meet the chuck's own data again, not what they gave the first time.
    first = out.read_text(encoding="utf-8")
    run("fit", str(mine), str(readings), "--out", str(out), "--with-loss")
    assert tomllib.loads(out.read_text(encoding="utf-8")) == tomllib.loads(first)
    assert "contradict the chuck's data" in out.read_text(encoding="utf-8")
    _, text = run("check", str(mine), "--quick")
    assert "Values taken from fit.toml: chuck.guideway_friction = " in text


def test_a_gauge_without_unit_is_refused(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    readings = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    with pytest.raises(ReadingsError, match="--gauge-stiffness must be a stiffness"):
        run("fit", str(scenario_file("cast_hub_on_ring")), str(readings), "--gauge-stiffness", "500")
    for text, found in (("1 N/mm", "0.001 kN/mm"), ("9000 kN/mm", "9000 kN/mm")):
        with pytest.raises(ReadingsError, match=f"must lie between 10 and 5000 kN/mm, found {found}"):
            run("fit", str(scenario_file("cast_hub_on_ring")), str(readings), "--gauge-stiffness", text)
    assert not list(tmp_path.iterdir())


def test_nothing_that_is_read_is_written_over(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    hub = tmp_path / "hub.toml"
    text = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    hub.write_text(text, encoding="utf-8")
    readings = str(root / "scenarios" / "readings" / "cast_hub_gauge.csv")
    with pytest.raises(OutputError, match=r"must not take the place of .*hub\.toml"):
        run("fit", str(hub), readings, "--out", str(hub))
    with pytest.raises(OutputError, match=r"must name a TOML file"):
        run("fit", str(hub), readings, "--out", str(tmp_path / "fit.png"))
    assert hub.read_text(encoding="utf-8") == text
    assert [path.name for path in tmp_path.iterdir()] == ["hub.toml"]


def test_layouts_side_by_side_say_what_is_included(scenario_file: Callable[[str], Path]) -> None:
    fit = scenario_file("readings/cast_hub_fit")
    hub = str(scenario_file("cast_hub_on_ring"))
    also = f'gauged: include=["{fit}"]'
    _, text = run("compare", hub, "--also", also, "--quick", "--json")
    plain, gauged = json.loads(text)["layouts"]
    assert plain["origin"] == []
    (line,) = gauged["origin"]
    assert line.startswith(f"Values taken from {fit}: chuck.guideway_friction = 0.2018")
