"""`chuckscene diff`: in the terminal, as JSON, of included files."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]
PRESSURE = 'pressure = "4.4 bar"'


@pytest.fixture
def run(command: Callable[[str], Run]) -> Run:
    return command("diff")


@pytest.fixture
def revisions(scenario_file: Callable[[str], Path], tmp_path: Path) -> tuple[str, str]:
    text = scenario_file("thin_ring_distorts").read_text(encoding="utf-8")
    assert text.count(PRESSURE) == 1
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text(text, encoding="utf-8")
    new.write_text(text.replace(PRESSURE, 'pressure = "0.3 MPa"'), encoding="utf-8")
    return str(old), str(new)


def test_in_words_within_80_columns(run: Run, revisions: tuple[str, str]) -> None:
    status, out, err = run(*revisions, "--quick")
    assert (status, err) == (1, "")  # the newer one still distorts
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80
    assert "1 value differs:" in lines
    assert "4.4 bar (0.44 MPa) -> 0.3 MPa (0.3 MPa)" in out or "old  4.4 bar (0.44 MPa)" in out
    moved = out.partition("verdicts moved, worst first:")[2]
    assert moved.index("x FAIL") < moved.index("+ pass:")
    assert "grip at rest" in moved
    assert "Cautions" in out


def test_as_json(run: Run, revisions: tuple[str, str]) -> None:
    status, out, err = run(*revisions, "--quick", "--json")
    assert (status, err) == (1, "")
    found = json.loads(out)
    (field,) = found["fields"]
    assert field["key"] == "operations[finish the bore].gripping.pressure"
    assert (field["old"]["value"], field["new"]["value"]) == (pytest.approx(0.44), pytest.approx(0.3))
    rank = ["fail", "warn", "pass"]
    ranks = [rank.index(one["new"]["status"]) for one in found["verdicts"]]
    assert ranks == sorted(ranks)
    rest = next(one for one in found["verdicts"] if one["key"] == "grip_at_rest")
    assert rest["moved"] == "worse"
    assert rest["new"]["margin"] < rest["old"]["margin"]


def test_nothing_changed(run: Run, revisions: tuple[str, str]) -> None:
    status, out, _ = run(revisions[0], revisions[0], "--quick")
    assert status == 1
    assert "No value differs." in out
    assert "No verdict moved." in out


def test_two_revisions_of_an_included_file(run: Run, revisions: tuple[str, str], tmp_path: Path) -> None:
    for name, friction in (("may", 0.08), ("june", 0.12)):
        (tmp_path / f"{name}.toml").write_text(f"[chuck]\nguideway_friction = {friction}\n", encoding="utf-8")
    files = str(tmp_path / "may.toml"), str(tmp_path / "june.toml")
    _, out, err = run(*files, "--of", revisions[0], "--quick", "--json")
    assert err == ""
    (field, *others) = [one for one in json.loads(out)["fields"] if not one["key"].startswith("include")]
    assert others == []
    assert (field["key"], field["new"]["from"]) == ("chuck.guideway_friction", "june.toml")
    status, out, err = run(*files, "--quick")
    assert (status, out) == (2, "")
    assert str(tmp_path / "may.toml") in err
