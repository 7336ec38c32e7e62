"""The command `fit` as a user calls it."""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sim.base.errors import OutputError, ReadingsError, ScenarioError
from sim.cli import app


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
    said = f"{file}: line 20, force per jaw (kN): found 'ninety'"
    assert "".join(said.split()) in "".join(text.split())  # a long path is broken anywhere
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
        """Return the grip left of the whole pull by the formula of the manual, with this chuck's dimensions."""
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
    then, again = (tomllib.loads(text) for text in (first, out.read_text(encoding="utf-8")))
    for tables in (then, again):
        assert tables["gauge_readings"].pop("source").startswith("Fit of cast_hub_gauge.csv on ")
    assert then == again
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


def rewritten(text: str, change: Callable[[float, float, float, float], float]) -> str:
    """Return readings with another force in each row, from pressure, speed, height and force."""
    head, *rows = text.strip().splitlines()
    numbers = [[float(x) for x in row.split(",")] for row in rows]
    return "\n".join([head, *(f"{p},{n},{h},{change(p, n, h, f):.3f}" for p, n, h, f in numbers)]) + "\n"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda _p, _n, _h, f: 7.5 * f, "more force than"),  # of all jaws, and in another unit
        (lambda _p, n, _h, f: f * (1.6 if n else 1.0), "against its direction|contradict each other"),
        (lambda p, _n, _h, f: f * (0.4 if p in (14.0, 26.0) else 1.0), "contradict each other"),
    ],
    ids=["too much", "more with speed", "contradictory"],
)
def test_nothing_is_written_of_readings_that_are_rejected(
    root: Path,
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    change: Callable[[float, float, float, float], float],
    words: str,
) -> None:
    good = (root / "scenarios" / "readings" / "cast_hub_gauge.csv").read_text(encoding="utf-8")
    file, out = tmp_path / "gauge.csv", tmp_path / "out" / "fit.toml"
    file.write_text(rewritten(good, change), encoding="utf-8")
    with pytest.raises(ReadingsError, match="rejected, no table is written") as told:
        run("fit", str(scenario_file("cast_hub_on_ring")), str(file), "--out", str(out), "--with-loss")
    assert re.search(words, str(told.value))
    assert "\n" not in str(told.value)
    assert not out.parent.exists() or not list(out.parent.iterdir())


def test_an_older_table_is_left_and_that_is_said(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    good = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    hub, out = str(scenario_file("cast_hub_on_ring")), tmp_path / "fit.toml"
    run("fit", hub, str(good), "--out", str(out))
    before = out.read_bytes()
    bad = tmp_path / "bad.csv"
    bad.write_text(
        rewritten(good.read_text(encoding="utf-8"), lambda _p, _n, _h, f: 9.0 * f), encoding="utf-8"
    )
    with pytest.raises(ReadingsError, match=r"no table is written; .*fit\.toml is left as it was"):
        run("fit", hub, str(bad), "--out", str(out))
    assert out.read_bytes() == before


def included(scenario_file: Callable[[str], Path], folder: Path, text: str) -> tuple[str, dict[str, Any]]:
    """Check the hub with a file of this text included: status of 'gauge readings', and the whole JSON object."""
    (folder / "fit.toml").write_text(text, encoding="utf-8")
    mine = folder / "mine.toml"
    hub = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    mine.write_text('include = ["fit.toml"]\n' + hub, encoding="utf-8")
    found = json.loads(run("check", str(mine), "--quick", "--json")[1])
    return next((v["status"] for v in found["verdicts"] if v["name"] == "gauge readings"), ""), found


VALUES = "[chuck]\nefficiency = 0.94\n"


@pytest.mark.parametrize(
    ("judgement", "status", "words"),
    [
        ('judgement = "accepted"', "pass", "its gauge readings were accepted"),
        (
            'judgement = "accepted with findings"\nfindings = ["grease: dry"]',
            "warn",
            "accepted with findings",
        ),
        ('judgement = "rejected"\nfindings = ["jaws: no"]', "fail", "its gauge readings were REJECTED"),
        (None, "warn", "does not say whether gauge readings were accepted"),
    ],
)
def test_check_says_beside_included_values_how_their_readings_were_judged(
    scenario_file: Callable[[str], Path], tmp_path: Path, judgement: str | None, status: str, words: str
) -> None:
    head = "" if judgement is None else f"[gauge_readings]\n{judgement}\n"
    found, whole = included(scenario_file, tmp_path, head + VALUES)
    assert found == status
    (taken,) = whole["included"]
    assert set(taken["values"]) == {"chuck.efficiency"}
    assert taken["gauge_readings"] == (None if judgement is None else judgement.split('"')[1])
    _, text = run("check", str(tmp_path / "mine.toml"), "--quick")
    assert words in " ".join(text.split())


def test_included_values_that_no_gauge_gives_need_no_judgement(
    scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    assert included(scenario_file, tmp_path, '[chuck]\nmarked_speed = "3900 rpm"\n')[0] == ""


def test_a_judgement_in_other_words_is_refused(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    with pytest.raises(ScenarioError, match=r"gauge_readings\.judgement must be one of 'accepted', "):
        included(scenario_file, tmp_path, '[gauge_readings]\njudgement = "fine"\n' + VALUES)


def test_the_fit_that_ships_carries_its_findings(root: Path) -> None:
    table = tomllib.loads((root / "scenarios/readings/cast_hub_fit.toml").read_text(encoding="utf-8"))
    assert table["gauge_readings"]["judgement"] == "accepted with findings"
    assert any(text.startswith("grease: ") for text in table["gauge_readings"]["findings"])
