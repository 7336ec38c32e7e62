"""`compare` on the command line: one page, one table or one JSON object, mistakes in one sentence with status 2."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim import cli
from sim.assessment.results import CAUTIONS, Assessment
from sim.layouts.shelf import ShelvedSet, fit_shelf
from sim.layouts.window import Window
from sim.scenario import JawSet, Scenario

Run = Callable[..., tuple[int, str, str]]
HUB, PLUG, BLOCKED = (f"cast_hub_{n}" for n in ("on_ring", "on_plug", "ring_blocks"))


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    """Run the command in an empty folder: status, output, errors; scenario names become their files."""

    def command(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.chdir(tmp_path)
        monkeypatch.setattr("sys.argv", ["chuckscene", *arguments])
        with pytest.raises(SystemExit) as left:
            cli.main()
        captured = capsys.readouterr()
        return int(left.value.code or 0), captured.out, captured.err

    return command


@pytest.fixture
def file(root: Path) -> Callable[[str], str]:
    return lambda name: str(root / "scenarios" / f"{name}.toml")


def test_json_holds_every_layout(run: Run, file: Callable[[str], str], tmp_path: Path) -> None:
    status, out, err = run("compare", file(HUB), file(PLUG), file(BLOCKED), "--json", "--quick")
    assert (status, err) == (0, "")
    found: dict[str, Any] = json.loads(out)
    assert [x["name"] for x in found["layouts"]] == ["on ring", "on plug", "ring blocks"]
    assert [x["status"] for x in found["layouts"]] == ["warn", "warn", "fail"]
    assert found["cautions"] == list(CAUTIONS)
    assert all(set(r["layouts"]) == {"on ring", "on plug", "ring blocks"} for r in found["figures"])
    assert not list(tmp_path.iterdir())


def test_several_sets_and_a_variant(run: Run, file: Callable[[str], str]) -> None:
    both = "+".join(file(f"valve_bonnet_{n}") for n in ("first_side", "second_side"))
    status, out, _ = run("compare", file("valve_bonnet_two_steps"), both, "--json", "--quick")
    assert status == 0
    assert [x["name"] for x in json.loads(out)["layouts"]] == ["two steps", "first side + second side"]
    status, out, _ = run(
        "compare",
        file(HUB),
        "--also",
        "light: soft_jaw.material=aluminium EN AW-6082-T6",
        "--json",
        "--quick",
    )
    assert [x["name"] for x in json.loads(out)["layouts"]] == ["ring", "light"]


def test_status_one_when_nothing_can_be_run(run: Run, file: Callable[[str], str]) -> None:
    status, out, _ = run(
        "compare", file(BLOCKED), "--also", "late: boring.travel=3.1 mm", "--json", "--quick"
    )
    assert status == 1
    assert json.loads(out)["decision"]["reasons"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("{hub}",), "two layouts or more"),
        (("{hub}", "--also", "soft_jaw.height=70 mm"), "a name and changes"),
        (("{hub}", "--also", "tall: soft_jaw.height"), "field=value"),
        (("{hub}", "--also", "tall: soft_jaw.height=70"), "soft_jaw.height"),
        (("{hub}", "--also", "late: boring.travel=9 mm"), "boring.travel"),
        (("{hub}", "missing.toml"), "missing.toml"),
        (("{hub}+missing.toml", "{hub}"), "missing.toml"),
        (("{hub}+{hub}", "--also", "late: boring.travel=2 mm"), "a layout of one file"),
        (("{hub}", "{hub}", "--out", "."), "directory"),
    ],
)
def test_mistakes(
    run: Run, file: Callable[[str], str], tmp_path: Path, arguments: tuple[str, ...], says: str
) -> None:
    status, out, err = run("compare", *(a.format(hub=file(HUB)) for a in arguments), "--quick")
    assert status == 2
    assert out == ""
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert says in err
    assert not list(tmp_path.iterdir())


def test_the_same_file_twice_gets_two_names(run: Run, file: Callable[[str], str]) -> None:
    status, out, _ = run("compare", file(HUB), file(HUB), "--json", "--quick")
    assert status == 0
    assert len({x["name"] for x in json.loads(out)["layouts"]}) == 2


def test_table_and_page(run: Run, file: Callable[[str], str], tmp_path: Path) -> None:
    status, out, _ = run("compare", file(HUB), file(BLOCKED), "--quick", "--out", "pages/both.html")
    assert status == 0
    assert "What decides" in out
    assert "x FAIL" in out
    for caution in CAUTIONS:
        assert caution in " ".join(out.split())
    assert (tmp_path / "pages" / "both.html").stat().st_size > 20_000


# ---------------------------------------------------------------- shelf


@pytest.fixture(scope="module")
def one_look() -> Callable[..., tuple[ShelvedSet, ...]]:
    """Weigh a shelf for a file once, however many times the command asks: both are made of frozen values."""
    found: dict[str, tuple[ShelvedSet, ...]] = {}

    def fitted(scenario: Scenario, sets: tuple[JawSet, ...], model: Any, tell: Any) -> tuple[ShelvedSet, ...]:
        asked = repr((scenario, sets, model))
        if asked not in found:
            found[asked] = fit_shelf(scenario, sets, model, tell)
        return found[asked]

    return fitted


@pytest.fixture
def same_shelf(one_look: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sim.layouts.shelf.fit_shelf", one_look)


@pytest.mark.usefixtures("same_shelf")
def test_shelf_names_the_set_and_writes_it(run: Run, file: Callable[[str], str], root: Path) -> None:
    status, out, _ = run(
        "shelf", str(root / "scenarios/shelf"), file(PLUG), "--quick", "--write", "again.toml"
    )
    assert status == 0
    # Two teeth out set 4 leaves the least metal to cut.
    assert "Take 'set 4'" in out
    for caution in CAUTIONS:
        assert caution in " ".join(out.split())
    # The written file is a scenario that judges as the table says.
    status, out, _ = run("check", "again.toml", "--quick", "--json")
    assert status == 0
    assert {v["name"] for v in json.loads(out)["verdicts"]} >= {"freshly bored face", "back face on metal"}


@pytest.mark.usefixtures("same_shelf")
def test_shelf_as_json(run: Run, file: Callable[[str], str], root: Path) -> None:
    status, out, _ = run("shelf", str(root / "scenarios/shelf"), file(PLUG), "--quick", "--json")
    assert status == 0
    found = json.loads(out)
    assert next(s["name"] for s in found["sets"]) == "set 4"
    assert all((s["against_it"] == "") or not s["fits"] for s in found["sets"])
    assert found["cautions"] == list(CAUTIONS)


def test_nothing_on_the_shelf(run: Run, file: Callable[[str], str], root: Path, tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "one" / "set_11.toml").write_bytes((root / "scenarios/shelf/set_11.toml").read_bytes())
    status, out, _ = run("shelf", "one", file(PLUG), "--quick", "--write", "none.toml")
    assert status == 1
    assert "No set on the shelf" in out
    assert not (tmp_path / "none.toml").exists()


@pytest.mark.parametrize("folder", ["missing", "."])
def test_no_shelf(run: Run, file: Callable[[str], str], folder: str) -> None:
    status, out, err = run("shelf", folder, file(PLUG))
    assert (status, out) == (2, "")
    assert err.startswith(f"error: {folder}: ")
    assert err.count("\n") == 1


# ---------------------------------------------------------------- window


@pytest.fixture
def unconfirmed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Leave the windows as they are found; the names of those that the command wants confirmed.

    `test_window_as_json` runs the command whole, and what confirming does stands in test_confirmed_window.py.
    """
    asked: list[str] = []

    def same(assessment: Assessment, operation: int, shown: Window, _: Callable[[str], None]) -> Window:
        assert shown.operation == assessment.operations[operation].operation.name
        asked.append(shown.operation)
        return shown

    def same_boring(_: Assessment, shown: Window, __: Callable[[str], None]) -> Window:
        asked.append(shown.operation)
        return shown

    monkeypatch.setattr("sim.layouts.confirmed_window.confirmed_window", same)
    monkeypatch.setattr("sim.layouts.confirmed_window.confirmed_boring_window", same_boring)
    return asked


@pytest.mark.usefixtures("coarse")
def test_window_writes_its_plots(
    run: Run, file: Callable[[str], str], tmp_path: Path, unconfirmed: list[str]
) -> None:
    status, out, _ = run("window", file("valve_bonnet_two_steps"), "--quick", "--out", "plots", "--svg")
    assert status == 0
    assert unconfirmed == ["first side", "second side", "boring"]
    assert out.count("Recommended:") == 3
    for caution in CAUTIONS:
        assert caution in " ".join(out.split())
    names = sorted(path.name for path in (tmp_path / "plots").iterdir())
    assert names == [
        f"valve_bonnet_two_steps-window-{k}.{kind}" for k in (1, 2, "boring") for kind in ("png", "svg")
    ]


@pytest.mark.usefixtures("coarse")
def test_window_as_json(run: Run, file: Callable[[str], str], tmp_path: Path) -> None:
    status, out, err = run("window", file(HUB), "--quick", "--json")
    assert (status, err) == (0, "")
    found, boring = json.loads(out)["windows"]
    assert (boring["operation"], "grip_height" in boring) == ("boring", False)
    assert found["stated"]["pressure_MPa"] == pytest.approx(1.95)
    assert len(found["speeds_rpm"]) == len(found["least_pressure_MPa"])
    assert {"grip at rest", "marked on the chuck"} <= {c["name"] for c in found["criteria"]}
    # It stays clear of what only warns, at the price of margin to what fails.
    assert found["recommended"]["margin"] > 1.0
    assert not list(tmp_path.iterdir())


@pytest.mark.usefixtures("unconfirmed", "coarse")
def test_window_status_follows_the_stated_point(run: Run, file: Callable[[str], str]) -> None:
    status, out, _ = run("window", file("thin_ring_distorts"), "--quick", "--json")
    assert status == 1
    assert json.loads(out)["windows"][0]["stated"]["least"] == "roundness after release"


def test_window_mistakes(run: Run, file: Callable[[str], str], tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    for arguments, says in ((("missing.toml",), "missing.toml"), ((file(HUB), "--out", "taken"), "taken")):
        status, out, err = run("window", *arguments)
        assert (status, out) == (2, "")
        assert err.startswith("error: ")
        assert says in err
        assert err.count("\n") == 1


# ---------------------------------------------------------------- search


@pytest.fixture
def ranges(tmp_path: Path, root: Path) -> Callable[[str], str]:
    """Path of a search file for the hub with a text of ranges."""

    def write(text: str, name: str = HUB) -> str:
        (tmp_path / "search.toml").write_text(
            f'scenario = "{root}/scenarios/{name}.toml"\n{text}\n', encoding="utf-8"
        )
        return "search.toml"

    return write


def test_search_writes_the_best_layout(run: Run, ranges: Callable[[str], str]) -> None:
    file = ranges('boring_travel = ["2.5 mm", "3.5 mm"]')
    status, out, _ = run("search", file, "--tries", "4", "--quick", "--write", "best.toml")
    assert status == 0
    assert "layouts tried" in out
    for caution in CAUTIONS:
        assert caution in " ".join(out.split())
    status, out, _ = run("check", "best.toml", "--quick", "--json")
    assert status == 0


def test_search_as_json(run: Run, ranges: Callable[[str], str], tmp_path: Path) -> None:
    status, out, err = run("search", ranges("serration_index = [0, 1]"), "--tries", "4", "--quick", "--json")
    assert (status, err) == (0, "")
    found = json.loads(out)
    assert found["front"]
    assert found["front"][0]["changes"].keys() == {"soft_jaw.serration_index"}
    assert found["cautions"] == list(CAUTIONS)
    assert [p.name for p in tmp_path.iterdir()] == ["search.toml"]


def test_search_says_what_blocks(run: Run, ranges: Callable[..., str], tmp_path: Path) -> None:
    file = ranges("serration_index = [0, 1]", "thin_ring_distorts")
    status, out, _ = run("search", file, "--tries", "3", "--quick", "--write", "none.toml")
    assert status == 1
    assert "What blocks" in out
    assert "roundness after release" in out
    assert not (tmp_path / "none.toml").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "at least one range"),
        ('boring_travel = ["2 mm", "9 mm"]', "boring_travel must be at most chuck.stroke"),
        ('pressures = [{ operation = "x", low = "9 bar", high = "10 bar" }]', "pressures[0].operation"),
    ],
)
def test_search_mistakes(run: Run, ranges: Callable[[str], str], text: str, says: str) -> None:
    status, out, err = run("search", ranges(text))
    assert (status, out) == (2, "")
    assert err.startswith("error: search.toml: ")
    assert says in err
    assert err.count("\n") == 1
