"""`chuckscene new`: a first scenario from options, or asked for in a terminal, that runs as it is."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sim.cli import app
from sim.setup.loading import load

CAP = {
    "--chuck": "210", "--smallest": "89.9 mm", "--largest": "90 mm", "--length": "36 mm", "--beyond": "88 mm",
    "--material": "cast iron GJL-250", "--surface": "turned", "--cut": "facing", "--depth-of-cut": "1.5 mm",
    "--feed": "0.25 mm/rev", "--cutting-speed": "160 m/min",
}  # fmt: skip


def new(out: Path, **changes: str | None) -> Any:
    options = {**CAP, **{f"--{key.replace('_', '-')}": value for key, value in changes.items()}}
    given = [word for key, value in options.items() if value is not None for word in (key, value)]
    return CliRunner().invoke(app, ["new", str(out), *given])


def test_a_first_setup_holds_at_the_first_try(tmp_path: Path) -> None:
    """An own cap, no file edited: one run, nothing refused, nothing fails; but it is no plain pass."""
    out = tmp_path / "cap.toml"
    found = new(out)
    assert found.exit_code == 0, found.output
    assert "0 fail" in found.output
    assert "Are these the machine, the chuck and the jaws that stand in the shop?" in " ".join(
        found.output.split()
    )
    assert "A competent person releases the setup." in found.output
    scenario = load(out)
    assert scenario.operations[0].cuts[0].depth_of_cut == 1.5
    assert "typical values stand for machine, chuck" in " ".join(found.output.split()).lower()


def test_what_exists_is_not_overwritten(tmp_path: Path) -> None:
    out = tmp_path / "mine.toml"
    out.write_text("mine", encoding="utf-8")
    assert new(out).exit_code != 0
    assert out.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"chuck": "250"}, "--chuck must be one of 165, 210, 254, 315"),
        ({"largest": None}, "--largest is missing"),
        ({"largest": "90"}, "--largest must be a length"),
        ({"largest": "-90 mm"}, "greater than 0 mm"),
        ({"material": "cheese"}, "chuckscene materials"),
        ({"surface": "rusty"}, "rusty"),
        ({"plate_pull": "32 mm"}, "--plate-pull must be a force"),
    ],
)
def test_a_wrong_answer_is_one_sentence_and_writes_nothing(
    tmp_path: Path, wrong: dict[str, str | None], words: str
) -> None:
    found = new(tmp_path / "a.toml", **wrong)
    assert found.exit_code == 2
    assert words in " ".join(found.output.replace("│", " ").split())
    assert list(tmp_path.iterdir()) == []


def _pieces(terminal: int) -> Iterator[bytes]:
    """Yield what is shown until the other end is closed, which Linux tells by an error."""
    with contextlib.suppress(OSError):
        while piece := os.read(terminal, 4096):
            yield piece


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a pseudo-terminal")
def test_it_asks_in_a_terminal_and_again_after_a_slip(tmp_path: Path) -> None:
    import pty

    out = tmp_path / "asked.toml"
    answers = [
        "250", "210", *[""] * 5, "139.9 mm", "140", "140 mm", "200 mm", "30 mm", "", "", "3", "turned", "turning", "",
        "1 mm", "0.2 mm/rev", "150 m/min",
    ]  # fmt: skip
    terminal, other = pty.openpty()
    command = [sys.executable, "-c", "from sim.cli import main; main()", "new", str(out)]
    with subprocess.Popen(command, stdin=other, stdout=other, stderr=other) as child:  # noqa: S603  our own
        os.close(other)
        os.write(terminal, "".join(f"{answer}\n" for answer in answers).encode())
        seen = b"".join(_pieces(terminal))
        status = child.wait(60)
    os.close(terminal)
    told = " ".join(seen.decode().split())
    assert status == 2, told
    assert "must be one of 165, 210, 254, 315" in told  # asked again
    assert "one number and one unit" in told  # of 140
    assert "cannot take this part: its blanks can cover at most" in told
    assert "Traceback" not in told
    assert not out.exists()
