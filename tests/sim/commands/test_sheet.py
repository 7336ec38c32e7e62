"""`chuckscene sheet`: what is written, and what is refused in one sentence with nothing left behind."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import unquote

import pytest

from sim.assessment.results import Assessment
from sim.setup_sheet import document


@pytest.fixture
def run(command: Callable[[str], Callable[..., tuple[int, str, str]]]) -> Callable[..., tuple[int, str, str]]:
    return command("sheet")


def test_writes_all_set_ups_and_fails_with_any(
    run: Callable[..., tuple[int, str, str]], scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    files = [str(scenario_file(name)) for name in ("cast_hub_on_ring", "thin_ring_distorts")]
    to = tmp_path / "job.html"
    status, out, err = run(*files, "--to", str(to), "--quick", "--paper", "Letter", "--units", "inch")
    assert (status, err) == (1, "")  # the second squeezes its ring
    assert "Not released" in out
    text = to.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "size:215.9mm 279.4mm" in text
    assert "DO NOT USE" in text
    assert [p.name for p in tmp_path.iterdir()] == [to.name]


def test_writes_pdf(
    run: Callable[..., tuple[int, str, str]], scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    to = tmp_path / "sheet.pdf"
    status, _, err = run(str(scenario_file("thin_ring_distorts")), "--to", str(to), "--quick")
    assert (status, err) == (1, "")
    content = to.read_bytes()
    assert content.startswith(b"%PDF-")
    assert content.count(b"/Type /Page\n") >= 2


def test_readings_program_and_language(
    run: Callable[..., tuple[int, str, str]],
    root: Path,
    tmp_path: Path,
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A blank file for readings and a link to the program go along; the page says whether it was judged."""
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    monkeypatch.setattr("sim.commands.sheet.assessed", lambda path, *_, **__: quickly_judged(path.stem))
    to, blank = tmp_path / "sheet.html", tmp_path / "readings.csv"
    own = root / "scenarios" / "programs" / "cast_hub_jaws.nc"
    other = tmp_path / "other jaws.nc"
    other.write_bytes(own.read_bytes() + b"\n")
    file = str(root / "scenarios" / "cast_hub_by_program.toml")
    for program, told in ((own, "das geprüfte"), (other, "NICHT geprüft")):
        blank.unlink(missing_ok=True)
        status, out, err = run(
            file,
            "--to",
            str(to),
            "--quick",
            "--language",
            "de",
            "--readings",
            str(blank),
            "--program",
            str(program),
        )
        assert (status, err) == (0, "")
        assert str(blank) in out
        text = to.read_text(encoding="utf-8")
        assert '<html lang="de">' in text
        assert told in " ".join(re.findall(r">([^<>]+)</text>", text))
        named = re.search(r'<a href="([^"]+)" download>', text)
        assert named
        assert (to.parent / unquote(named[1])).resolve() == program.resolve()
        assert hashlib.sha256(program.read_bytes()).hexdigest()[:12] in text
    # What somebody has written down is not overwritten.
    status, _, err = run(file, "--to", str(to), "--quick", "--readings", str(blank))
    assert status == 2
    assert "not overwritten" in err


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--to", "{}/a.pdf", "--gauge-height", "40 mm"), "go together"),
        (("--to", "{}/a.pdf", "--gauge-height", "40", "--gauge-diameter", "8 mm"), "unit"),
        (("--to", "{}/a.pdf", "--gauge-height", "2 m", "--gauge-diameter", "8 mm"), "1000 mm"),
        (("--to", "{}/a.pdf", "--readings", "{}/a.txt"), ".csv"),
        (("--to", "{}/a.pdf", "--program", "{}/none.nc"), "none.nc"),
        (("--to", "{}/a.pdf", "--program", "{}/file", "{}/b.toml"), "one FILE"),
        (("--to", "{}/a.pdf", "--language", "xx"), "de"),
        (("--to", "{}/a.svg"), ".pdf or .html"),
        (("--to", "{}/file/a.pdf"), "cannot be written"),
        (("--to", "{}/a.pdf", "--paper", "A3"), "Letter"),
        (("--to", "{}/a.pdf", "{}/none.toml"), "none.toml"),
    ],
)
def test_refuses(
    run: Callable[..., tuple[int, str, str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    options: tuple[str, ...],
    said: str,
) -> None:
    (tmp_path / "file").write_bytes(b"kept")
    filled = [option.format(tmp_path) for option in options]
    status, out, err = run(*filled, str(scenario_file("thin_ring_distorts")))
    assert status == 2
    assert out == ""
    assert said in err
    assert [p.name for p in tmp_path.iterdir()] == ["file"]
