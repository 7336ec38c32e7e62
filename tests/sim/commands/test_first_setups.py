"""First setups of four kinds of parts, typed in a terminal by somebody who edits no file: how many tries are refused.

Two more, a cap and a tube on a centre, are clicked together in a browser (`test_browser_forms.py`).
"""

from __future__ import annotations

import contextlib
import importlib.util
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from sim.setup.loading import load

pytestmark = pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a pseudo-terminal")
Typed = tuple[tuple[str, str], ...]  # words of a question, what is typed when it stands there
NOTHING = ""  # Enter: what stands in brackets
# What is asked and taken is in question: the window solves its least, its most and the stated pressure (as `coarse`),
# which finds pressures that hold; those of the whole grid are asked for by `test_new.py`.
COARSE = (
    "from sim.layouts import criteria as c; c.NODES, c.SLOW_NODES = 2, 1; from sim.cli import main; main()"
)


@dataclass(frozen=True)
class Seen:
    status: int
    text: str
    refused: int
    left: Typed


def typed(command: list[str], answers: Typed, folder: Path) -> Seen:
    """Answer each question when it is asked; one that is asked again was refused."""
    import pty

    terminal, other = pty.openpty()
    program = [sys.executable, "-c", COARSE, *command]
    seen, fresh, left, refused, last = "", "", list(answers), 0, ""
    with subprocess.Popen(program, stdin=other, stdout=other, stderr=other, cwd=folder) as child:  # noqa: S603  our own
        os.close(other)
        with contextlib.suppress(OSError):  # Linux tells so that the other end is closed
            while piece := os.read(terminal, 4096).decode(errors="replace"):
                seen, fresh = seen + piece, fresh + piece
                if left and left[0][0] in fresh and fresh.rstrip(" ").endswith(":"):
                    words, answer = left.pop(0)
                    refused += words == last
                    os.write(terminal, f"{answer}\n".encode())
                    fresh, last = "", words
        status = child.wait(300)
    os.close(terminal)
    return Seen(status, " ".join(seen.split()), refused, tuple(left))


PLATE: Typed = (
    ("largest drawbar pull", NOTHING), ("largest grip", NOTHING), ("travel of a jaw", NOTHING),
    ("highest speed", NOTHING), ("highest pressure", NOTHING),
)  # fmt: skip


def cut(kind: str, depth: str, feed: str, speed: str) -> Typed:
    return (
        ("heaviest cut", kind), ("diameter at which it cuts", NOTHING), ("depth of that cut", depth),
        ("feed of that cut", feed), ("cutting speed of that cut", speed),
    )  # fmt: skip


RING: Typed = (
    ("size class", "254"),
    ("largest drawbar pull", "45 kN"), ("largest grip", NOTHING), ("travel of a jaw", NOTHING),
    ("highest speed", "4000 RPM"), ("highest pressure", NOTHING),
    ("smallest gripped", "149.97"), ("smallest gripped", "149.97 mm"), ("largest gripped", "150 mm"),
    ("length of the part", "40 mm"), ("how much of its length", NOTHING), ("stands out", NOTHING), ("bore", "105 mm"),
    ("material", "3"), ("turned or raw", "turned"), *cut("facing", "1 mm", "0.2 mm/rev", "180 m/min"),
)  # fmt: skip
BAR_END: Typed = (
    ("size class", "165"), *PLATE,
    ("smallest gripped", "31.97 mm"), ("largest gripped", "32 mm"),
    ("length of the part", "45 mm"), ("how much of its length", "25 mm"), ("stands out", NOTHING), ("bore", NOTHING),
    ("material", "steel C45"), ("turned or raw", "turned"), *cut("facing", "1 mm", "0.15 mm/rev", "150 m/min"),
)  # fmt: skip
CASTING: Typed = (
    ("size class", "254"), *PLATE,
    ("smallest gripped", "117 mm"), ("largest gripped", "118 mm"),
    ("length of the part", "60 mm"), ("how much of its length", NOTHING), ("stands out", "80 mm"), ("bore", "40 mm"),
    ("material", "6"), ("turned or raw", "raw"), *cut("turning", "2 mm", "0.3 mm/rev", "110 m/min"),
)  # fmt: skip
FLANGE: Typed = (
    ("which end faces the chuck", "low"), ("size class", "254"), *PLATE,
    ("smallest gripped", "99.95 mm"), ("largest gripped", "100 mm"), ("how much of its length", NOTHING),
    ("material", "C45"), ("material", "steel C45"), ("turned or raw", "turned"),
    *cut("facing", "1 mm", "0.2 mm/rev", "180 m/min"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("answers", "most", "words"),
    [
        pytest.param(RING, 1, "must be a length, one number and one unit", id="ring"),
        pytest.param(BAR_END, 0, "", id="bar end"),
        pytest.param(CASTING, 0, "", id="casting"),
    ],
)
def test_a_part_is_stated_and_judged_from_the_keyboard(
    answers: Typed, most: int, words: str, tmp_path: Path
) -> None:
    """At most one try refused, of a number without its unit; nothing fails, and no file was edited."""
    seen = typed(["new", "part.toml", "--quick"], answers, tmp_path)
    assert seen.status == 0, seen.text
    assert seen.left == ()
    assert seen.refused == most
    assert words in seen.text
    assert "part.toml is written." in seen.text
    assert "0 fail" in seen.text
    told = dict(answers)
    scenario = load(tmp_path / "part.toml")
    part = scenario.operations[0].workpiece
    assert f"{part.gripped_diameter_high:g} mm" == told["largest gripped"]
    assert f"{max(z for _, z in part.outline):g} mm" == told["length of the part"]
    assert part.gripped_surface == told["turned or raw"]
    assert scenario.chuck.marked_speed == (4000.0 if answers is RING else scenario.chuck.marked_speed)
    assert [one.name for one in tmp_path.iterdir()] == ["part.toml"]


def test_a_flange_with_lugs_is_stated_by_its_drawing_in_three_dimensions(tmp_path: Path) -> None:
    """One try refused: 'C45' might be a bar of another trade; the name that is near is told, not taken."""
    place = Path(__file__).parents[1] / "part_files" / "faceted_step.py"
    found = importlib.util.spec_from_file_location("faceted_step", place)
    assert found is not None
    assert found.loader is not None
    pytest.importorskip("cascadio", reason="reads STEP")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    (tmp_path / "flange.step").write_bytes(module.faceted_step(module.flange_with_lugs()))
    seen = typed(["new", "flange.toml", "--from", "flange.step", "--quick"], FLANGE, tmp_path)
    assert seen.status == 0, seen.text
    assert (seen.left, seen.refused) == ((), 1)
    assert "did you mean 'steel C45'?" in seen.text
    assert "axis z, found; no body of revolution" in seen.text
    assert "0 fail" in seen.text
    shape = load(tmp_path / "flange.toml").operations[0].workpiece
    assert max(r for r, _ in shape.outline) == pytest.approx(65.0, abs=0.02)
    # A lug's corner: hypot(68 + 12, 11) = 80.75 mm off the axis; the part swings by it.
    assert "lugs of the part" in seen.text
