"""`chuckscene sheet`: what is written, and what is refused in one sentence with nothing left behind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest


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


@pytest.mark.parametrize(
    ("options", "said"),
    [
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
