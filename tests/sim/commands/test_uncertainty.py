"""The command `uncertainty`: what it refuses, what it writes."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from sim import cli
from sim.uncertainty import analysis
from sim.variants import emulated

RING = "thin_ring_distorts"


def run(*arguments: str) -> int:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["chuckscene", "uncertainty", *arguments])
        with pytest.raises(SystemExit) as left:
            cli.main()
    return int(left.value.code or 0)


@pytest.mark.parametrize("samples", ["300", "128", "32768"])
def test_samples_are_refused(samples: str, root: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(root / "scenarios" / f"{RING}.toml"), "--samples", samples) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert f"--samples must be a power of two from 256 to 16384, found {samples}" in said.err


def test_no_spread_is_taken_in_silence(root: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(root / "scenarios" / f"{RING}.toml"), "--quick") == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "uncertainty must give at least one spread, found none; --usual takes those" in said.err


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('guideway_friction = { kind = "gamma", low = 0.1 }', 'must have kind = "normal", "uniform"'),
        (
            'grip_gauge = { kind = "normal", standard_deviation = "2 %" }',
            "uncertainty.grip_gauge.standard_deviation",
        ),
        ('jaw_modulus = { kind = "normal", standard_deviation = "3 bar" }', "one unit of MPa, GPa"),
        ('jaw_modulus = { kind = "uniform", low = "80 GPa", high = "70 GPa" }', "low must be at most high"),
        (
            'operations = [{ name = "second side" }]',
            "uncertainty.operations[0].name must be one of finish the bore",
        ),
    ],
)
def test_a_wrong_table_is_one_sentence(
    line: str, message: str, root: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (root / "scenarios" / f"{RING}.toml").read_text(encoding="utf-8")
    file = tmp_path / "ring.toml"
    file.write_text(f"{text}\n[uncertainty]\n{line}\n", encoding="utf-8")
    assert run(str(file), "--picture", "--out", str(tmp_path / "plots")) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"error: {file}: ")
    assert message in said.err
    assert not (tmp_path / "plots").exists()


def test_one_spread_is_judged_and_drawn(
    root: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(analysis, "CHECKED", 2)
    monkeypatch.setattr(emulated, "PER_DIRECTION", 4)
    text = (root / "scenarios" / f"{RING}.toml").read_text(encoding="utf-8")
    file = tmp_path / "ring.toml"
    spread = 'grip_gauge = { kind = "uniform", low = -0.05, high = 0.05, basis = "its papers" }'
    file.write_text(f"{text}\n[uncertainty]\n{spread}\n", encoding="utf-8")
    status = run(str(file), "--samples", "256", "--picture", "--out", str(tmp_path), "--quick")
    said = capsys.readouterr().out
    assert status == 1  # the roundness fails as stated
    assert "its papers" in said
    assert (tmp_path / "ring-uncertainty.png").read_bytes().startswith(b"\x89PNG")
