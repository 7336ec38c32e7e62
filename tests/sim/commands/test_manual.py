"""The manual in the terminal and as a file: any page, any width, any encoding; what is refused in one sentence."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from rich.console import Console, RenderableType

from sim import cli
from sim.assessment.results import CAUTIONS
from sim.manual import LINK, page, pages
from sim.terminal.manual import page_list, page_text

NAMES = [one.name for one in pages()]


def called(monkeypatch: pytest.MonkeyPatch, *arguments: str) -> int | str | None:
    monkeypatch.setattr(sys, "argv", ["chuckscene", "manual", *arguments])
    with pytest.raises(SystemExit) as left:
        cli.main()
    return left.value.code


def printed(part: RenderableType, width: int) -> str:
    console = Console(width=width, file=io.StringIO(), highlight=False)
    console.print(part)
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def test_without_a_page_all_are_listed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert called(monkeypatch) == 0
    out = capsys.readouterr().out
    for one in pages():
        assert f"  {one.name} " in out
        assert one.summary in " ".join(out.split())
    for caution in CAUTIONS:
        assert caution in " ".join(out.split())


@pytest.mark.parametrize("name", NAMES)
def test_a_page_is_shown(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert called(monkeypatch, name) == 0
    out = capsys.readouterr().out
    assert out.startswith(page(name).title)
    assert ".md" not in out.replace("index.md", "")
    assert not LINK.search(out)


@pytest.mark.parametrize("width", [40, 80, 200])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_cut_off(name: str, width: int) -> None:
    """Lines keep to the width, and every word stands there, in a narrow cell perhaps in two."""
    text = printed(page_text(page(name)), width)
    assert max(len(line) for line in text.splitlines()) <= width
    if width == 200:
        flat = "".join(text.split())
        source = re.sub(r"^```.*$|^[-|]+$", "", LINK.sub(r"\g<words>", page(name).text), flags=re.MULTILINE)
        for word in source.split():
            assert re.sub(r"\*\*|[`|]|^#+$|^-$|^!\[|\]\(\S+\)$", "", word) in flat, word


def test_the_list_keeps_to_a_narrow_terminal() -> None:
    assert max(len(line) for line in printed(page_list(pages()), 50).splitlines()) <= 50


def test_an_encoding_without_bullets_has_dashes(root: Path) -> None:
    found = subprocess.run(
        [sys.executable, "-c", "from sim.cli import main; main()", "manual", "contact"],
        env=os.environ | {"PYTHONPATH": str(root), "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=False,
    )
    assert found.returncode == 0, found.stderr
    assert b"\n - Marking. " in found.stdout
    assert b"\\u" not in found.stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["strokes"], "the manual has no page 'strokes'; it has first, start, "),
        (["index"], "the manual has no page 'index'; it has first, start, "),
        (["../../README"], "the manual has no page '../../README'; it has first, start, "),
        (["a.html"], "manual writes a file only with --html, as in `chuckscene manual --html a.html`"),
        (
            ["--html", "stroke"],
            "manual --html writes all pages into one file, whose name must end in .html, found",
        ),
    ],
)
def test_what_is_refused_is_one_sentence(
    arguments: list[str],
    told: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert called(monkeypatch, *arguments) == 2
    captured = capsys.readouterr()
    assert captured.err.startswith(f"error: {told}")
    assert captured.err.count("\n") == 1
    assert captured.out == ""
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("given", ["", "own.html"])
def test_the_file_is_written_where_it_is_said(
    given: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert called(monkeypatch, "--html", *([given] if given else [])) == 0
    place = given or "out/manual.html"
    assert capsys.readouterr().out == f"{place}\n"
    assert (tmp_path / place).read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [path for path in (tmp_path / place).parent.iterdir() if path.is_file()] == [tmp_path / place]
