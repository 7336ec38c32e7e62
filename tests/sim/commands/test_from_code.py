"""`chuckscene from-code`: what it gives back, and what is refused with nothing written."""

from __future__ import annotations

import io
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.setup.loading import load
from sim.setup_sheet.bundle import bundled
from sim.setup_sheet.code_text import code_texts

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(command: Callable[[str], Run]) -> Run:
    return command("from-code")


@pytest.fixture
def texts_of(root: Path) -> Callable[[str], tuple[str, ...]]:
    def found(name: str) -> tuple[str, ...]:
        file = root / "scenarios" / f"{name}.toml"
        return code_texts(bundled(file, load(file))).texts

    return found


def test_by_text_file_or_standard_input(
    run: Run, texts_of: Callable[[str], tuple[str, ...]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (text,) = texts_of("cast_hub_on_ring")
    file = tmp_path / "code.txt"
    file.write_text(text[:70] + "\n" + text[70:] + "\n", encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    shown = [run(text), run(str(file)), run("-")]
    assert len(set(shown)) == 1
    status, out, err = shown[0]
    assert (status, err) == (0, "")
    assert tomllib.loads(out)["chuck"]


def test_writes_the_scenario_with_its_files_and_says_its_digest(
    run: Run, texts_of: Callable[[str], tuple[str, ...]], tmp_path: Path
) -> None:
    texts = "\n".join(texts_of("cast_hub_by_program"))
    to = tmp_path / "back" / "hub.toml"
    status, out, err = run(texts, "--out", str(to))
    assert (status, err) == (0, "")
    assert "as on the sheet" in out
    assert sorted(str(p.relative_to(to.parent)) for p in to.parent.rglob("*.*")) == [
        "hub.toml",
        "programs/cast_hub_first_side.nc",
        "programs/cast_hub_jaws.nc",
    ]
    # A second time nothing has to be overwritten; another file is not.
    assert run(texts, "--out", str(to))[0] == 0
    program = to.parent / "programs" / "cast_hub_jaws.nc"
    program.write_bytes(b"mine")
    status, out, err = run(texts, "--out", str(to))
    assert (status, out) == (2, "")
    assert "not overwritten" in err
    assert program.read_bytes() == b"mine"
    status, _, err = run(texts)
    assert status == 2
    assert "--out" in err


@pytest.mark.parametrize(
    ("text", "said"),
    [("none.txt", "begins with"), ("CHUCKSCENE1:1/1:00000000:AB:", "damaged"), ("{}", "begins with")],
)
def test_refuses(run: Run, tmp_path: Path, text: str, said: str) -> None:
    status, out, err = run(text.format(tmp_path), "--out", str(tmp_path / "a.toml"))
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_refuses_binary_data(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.png").write_bytes(b"\x89PNG\xff\xfe")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\x89PNG\xff\xfe"), encoding="utf-8"))
    for text in (str(tmp_path / "a.png"), "-"):
        status, out, err = run(text)
        assert (status, out) == (2, "")
        assert "found binary data" in err


def test_an_output_of_few_characters_gets_the_same_scenario(
    run: Run, root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (root / "scenarios" / "cast_hub_on_ring.toml").read_text(encoding="utf-8")
    file = tmp_path / "hub.toml"
    file.write_text(text.replace('title = "', 'title = "Ø 2 × ', 1), encoding="utf-8")
    first = load(file)
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", narrow)
    assert run(code_texts(bundled(file, first)).texts[0])[0] == 0
    again = tmp_path / "again.toml"
    narrow.flush()
    again.write_bytes(narrow.buffer.getvalue())
    assert again.read_bytes().isascii()
    assert load(again).title == first.title
