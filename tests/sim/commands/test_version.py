"""Which version this is, and which scenario files it reads."""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import pytest

from sim import cli
from sim.manual import page
from sim.scenario.scenario import FORMAT, Scenario, checked, full_tables

Ended = Callable[..., tuple[int, str, str]]
GOOD = "cast_hub_on_plug"


@pytest.fixture
def ended(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Ended:
    def call(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["chuckscene", *arguments])
        with pytest.raises(SystemExit) as left:
            cli.main()
        return int(left.value.code or 0), *capfd.readouterr()

    return call


def test_the_version_is_that_of_the_package(ended: Ended, root: Path) -> None:
    status, out, err = ended("--version")
    assert (status, out, err) == (0, f"chuckscene {version('chuckscene')}\n", "")
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert re.search(rf"^## {re.escape(project['version'])}\b", page("changes").text, re.MULTILINE)


def test_the_version_comes_before_all_else(ended: Ended) -> None:
    """Nothing is judged, whatever follows."""
    status, out, err = ended("--version", "check", "no such file.toml")
    assert (status, err) == (0, "")
    assert out.startswith("chuckscene ")


def test_a_folder_that_is_not_installed_says_so(ended: Ended, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_: str) -> str:
        raise PackageNotFoundError

    monkeypatch.setattr("importlib.metadata.version", none)
    assert ended("--version") == (
        0,
        "chuckscene, of a version not known: it is not installed as a package\n",
        "",
    )


@pytest.fixture
def of_format(scenario_file: Callable[[str], Path], tmp_path: Path) -> Callable[[str], Path]:
    """A good scenario with words at its head."""

    def made(head: str) -> Path:
        path = tmp_path / "setup.toml"
        path.write_text(f"{head}\n" + scenario_file(GOOD).read_text(encoding="utf-8"), encoding="utf-8")
        return path

    return made


def test_the_format_that_is_read_may_be_stated_or_left_out(of_format: Callable[[str], Path]) -> None:
    found = [of_format(head) for head in ("", f"format = {FORMAT}")]
    read = [checked(full_tables(path), path) for path in found]
    assert read[0] == read[1]
    assert read[0].format == FORMAT == 1
    assert page("changes").text.count(f"`format = {FORMAT}`") == 1


@pytest.mark.parametrize("number", ["0", "2", "-1", "999999999999999999999999"])
def test_another_format_is_refused_with_the_one_that_is_read(
    ended: Ended, of_format: Callable[[str], Path], number: str
) -> None:
    """First, whatever else a file of that format has that is not known."""
    path = of_format(f"format = {number}\nunheard_of = 1")
    status, out, err = ended("check", str(path))
    assert (status, out) == (2, "")
    assert err.startswith(
        f"error: {path}: format must be 1, the only format that this version of chuckscene reads, found {number}"
    )


@pytest.mark.parametrize("value", ['"1"', "1.0", "true", "[1]", '"2"', "nan"])
def test_a_format_is_a_whole_number(ended: Ended, of_format: Callable[[str], Path], value: str) -> None:
    path = of_format(f"format = {value}")
    status, out, err = ended("check", str(path))
    assert (status, out) == (2, "")
    assert err.startswith(f"error: {path}: format must be a whole number, found ")


def test_an_editor_is_told_the_format() -> None:
    found = Scenario.model_json_schema()["properties"]["format"]
    assert (found["minimum"], found["maximum"], found["default"]) == (FORMAT, FORMAT, FORMAT)
