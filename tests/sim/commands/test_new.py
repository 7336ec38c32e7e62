"""`chuckscene new`: a first scenario from options, or asked for in a terminal, that runs as it is."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from typer.testing import CliRunner

from sim.cli import app
from sim.setup.loading import load

CAP = {
    "--chuck": "210", "--smallest": "89.9 mm", "--largest": "90 mm", "--length": "36 mm", "--beyond": "88 mm",
    "--material": "cast iron GJL-250", "--surface": "turned", "--cut": "facing", "--depth-of-cut": "1.5 mm",
    "--feed": "0.25 mm/rev", "--cutting-speed": "160 m/min",
}  # fmt: skip


def new(out: Path, *flags: str, **changes: str | None) -> Any:
    options = {**CAP, **{f"--{key.replace('_', '-')}": value for key, value in changes.items()}}
    given = [word for key, value in options.items() if value is not None for word in (key, value)]
    return CliRunner().invoke(app, ["new", str(out), *flags, *given])


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


FLANGE = [(20.0, 0.0), (58.5, 0.0), (59.0, 0.5), (59.0, 26.0), (40.0, 26.0), (40.0, 58.0), (20.0, 58.0)]
FROM = {
    "chuck": "254", "smallest": "117.9 mm", "largest": "118.05 mm", "length": None, "beyond": None, "chuck_end": "low"
}  # fmt: skip


def _drawn(folder: Path) -> Path:
    """Write the half section as a drawing, its axis to the right."""
    drawing = ezdxf.new()
    drawing.modelspace().add_lwpolyline([(z, r) for r, z in FLANGE], close=True)
    file = folder / "parts" / "flange.dxf"
    file.parent.mkdir()
    drawing.saveas(file)
    return file


@pytest.mark.usefixtures("coarse")
def test_a_part_from_a_file_is_named_in_the_scenario_and_moves_with_it(tmp_path: Path) -> None:
    file = _drawn(tmp_path)
    out = tmp_path / "flange.toml"
    found = new(out, "--quick", **FROM, **{"from": str(file)}, unit="mm", axis="x")
    assert found.exit_code == 0, found.output
    assert "0 fail" in found.output
    assert "118 mm from 0.5 to 26, 80 mm from 26 to 58" in " ".join(found.output.split())
    assert (
        'model = { file = "parts/flange.dxf", unit = "mm", axis = "x", chuck_end = "low" }' in out.read_text()
    )
    moved = tmp_path.rename(tmp_path.with_name("elsewhere"))
    scenario = load(moved / "flange.toml")
    assert scenario.operations[0].workpiece.outline[0] == (20.0, 0.0)
    assert scenario.operations[0].cuts[0].diameter == 80.0  # its far end


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"length": "58 mm"}, "--length must be left out with --from"),
        ({"from": None}, "--unit must be left out without --from"),
        ({"unit": None}, "--unit is missing"),
        ({"axis": None}, "--axis is missing"),
        ({"chuck_end": None}, "--chuck-end is missing"),
        ({"largest": "100 mm", "smallest": "99 mm"}, "no cylinder there is gripped at 99 to 100 mm"),
        ({"from": "none.dxf"}, "none.dxf cannot be read"),
        ({"from": "part.prt"}, ".step"),
    ],
)
def test_a_wrong_word_on_a_part_from_a_file_writes_nothing(
    tmp_path: Path, wrong: dict[str, str | None], words: str
) -> None:
    given = {**FROM, "from": str(_drawn(tmp_path)), "unit": "mm", "axis": "x", **wrong}
    found = new(tmp_path / "a.toml", **given)
    assert found.exit_code == 2
    assert words in " ".join(found.output.replace("│", " ").split())
    assert not (tmp_path / "a.toml").exists()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"layer": "none"}, "found no line on layer 'none'; by --layer"),
        ({"axis_at": "40 mm"}, "by --axis-at or --axis"),
        ({"material": "EN AW-6082"}, "did you mean 'aluminium EN AW-6082-T6'?"),
    ],
)
def test_a_refused_answer_names_what_mends_it(tmp_path: Path, given: dict[str, str], words: str) -> None:
    found = new(
        tmp_path / "a.toml", **FROM, **{"from": str(_drawn(tmp_path)), "unit": "mm", "axis": "x", **given}
    )
    assert found.exit_code == 2
    assert words in " ".join(found.output.replace("│", " ").split())


@pytest.mark.usefixtures("coarse")
def test_an_outline_on_a_layer_with_its_axis_off_the_origin(tmp_path: Path) -> None:
    drawing = ezdxf.new()
    for name in ("PART", "FRAME"):
        drawing.layers.add(name)
    space = drawing.modelspace()
    space.add_lwpolyline([(z, r - 12.5) for r, z in FLANGE], close=True, dxfattribs={"layer": "PART"})
    space.add_line((-50, -50), (200, -50), dxfattribs={"layer": "FRAME"})
    file = tmp_path / "flange.dxf"
    drawing.saveas(file)
    given = {**FROM, "from": str(file), "unit": "mm", "axis": "x"}
    found = new(tmp_path / "a.toml", **given)
    assert found.exit_code == 2
    assert "(state layer); by --layer" in " ".join(found.output.replace("│", " ").split())
    found = new(tmp_path / "a.toml", "--quick", **given, layer="PART", axis_at="-12.5 mm")
    assert found.exit_code == 0, found.output
    assert 'layer = "PART", axis_at = "-12.5 mm" }' in (tmp_path / "a.toml").read_text(encoding="utf-8")
    assert load(tmp_path / "a.toml").operations[0].workpiece.outline[0] == (20.0, 0.0)


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
