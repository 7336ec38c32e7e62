"""Results are written whole or not at all."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.base.errors import OutputError
from sim.base.files import any_text, file_text, regular_bytes, require_place, text_of, write_whole
from sim.base.limits import PROGRAM, SCENARIO


def test_written_whole_with_its_folder(tmp_path: Path) -> None:
    target = tmp_path / "new" / "deeper" / "review.html"
    write_whole(target, b"all of it")
    assert target.read_bytes() == b"all of it"
    assert [p.name for p in target.parent.iterdir()] == ["review.html"]
    assert target.stat().st_mode & 0o777 == 0o644


def test_an_older_result_is_replaced(tmp_path: Path) -> None:
    target = tmp_path / "review.html"
    write_whole(target, b"old and longer")
    write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_directory_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="directory"):
        write_whole(tmp_path, b"x")
    assert list(tmp_path.iterdir()) == []


def test_below_a_file_nothing_can_be_made(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"kept")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(file / "review.html", b"x")
    assert file.read_bytes() == b"kept"


def test_a_write_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk in the middle of writing: the older result stays, no half file beside it."""
    target = tmp_path / "review.html"
    write_whole(target, b"old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match="No space left"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["review.html"]


def test_a_place_is_tried_before_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is made by trying; what cannot be a folder or a file is said at once."""
    file = tmp_path / "file"
    file.write_bytes(b"kept")
    require_place(tmp_path / "new" / "deeper", folder=True)
    require_place(tmp_path / "new" / "review.html", folder=False)
    require_place(tmp_path, folder=True)
    require_place(file, folder=False)
    monkeypatch.chdir(tmp_path)
    require_place(Path("out/review.html"), folder=False)
    for wrong, folder in ((file, True), (tmp_path, False), (file / "x", True), (file / "x.html", False)):
        with pytest.raises(OutputError, match="cannot be written"):
            require_place(wrong, folder=folder)
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_folder_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's answer is replaced, because a test run as root may write everywhere."""
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(OutputError, match="does not allow it"):
        require_place(tmp_path / "review.html", folder=False)


def test_only_what_has_an_end_is_read(tmp_path: Path) -> None:
    """A device answers for ever, a pipe never; a file may grow behind a look at its size."""
    file = tmp_path / "a.toml"
    file.write_bytes(b"12345")
    assert regular_bytes(file, 5) == b"12345"
    with pytest.raises(OSError, match="more than 4 bytes"):
        regular_bytes(file, 4)
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    for place in (pipe, Path("/dev/zero"), tmp_path / "zero.toml"):
        with pytest.raises(OSError, match="a device or a pipe, not a file"):
            regular_bytes(place, 5)
    with pytest.raises(OSError, match="directory"):
        regular_bytes(tmp_path, 5)


def test_a_pipe_or_a_device_is_not_replaced_by_a_result(tmp_path: Path) -> None:
    """The administrator's `--out /dev/null` put a file in its place. (A pipe stands for it: no test may lose one.)"""
    pipe = tmp_path / "review.html"
    os.mkfifo(pipe)
    for act in (lambda: write_whole(pipe, b"all of it"), lambda: require_place(pipe, folder=False)):
        with pytest.raises(OutputError, match="a device or a pipe"):
            act()
    assert pipe.is_fifo()
    assert list(tmp_path.iterdir()) == [pipe]


def test_text_is_read_without_its_mark_and_with_its_line_ends(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"\xef\xbb\xbfa = 1\r\n\tb = '\xc3\xa4\xd7\x90'\n")
    assert file_text(file, SCENARIO) == "a = 1\r\n\tb = 'ä\u05d0'\n"


# The twelve with the property Bidi_Control (Unicode Standard Annex 9, read off its table), and ends of lines that
# Python's splitlines takes for one and TOML does not.
TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
CONTROL = "".join(map(chr, [*range(0x20), 0x7F, *range(0x80, 0xA0)]))


def test_every_character_that_is_not_seen_is_refused_with_its_place() -> None:
    for character in {*CONTROL, *TURNING, "\u2028", "\u2029"} - {*"\t\n\r"}:
        with pytest.raises(ValueError, match="must hold no") as caught:
            text_of(f"a = 1\nbc{character} = 2\n".encode(), SCENARIO)
        assert str(caught.value).endswith(f"found U+{ord(character):04X} in line 2, column 3")
        assert str(caught.value).isprintable()


@given(st.text())
def test_what_is_read_as_text_turns_and_controls_nothing(text: str) -> None:
    """By the Unicode database of Python, not by the list of the reader."""
    bad = any(
        (unicodedata.category(c) in ("Cc", "Zl", "Zp") and c not in "\t\n\r")
        or unicodedata.bidirectional(c) in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
        or c in "\u200e\u200f\u061c"
        for c in text.removeprefix("\ufeff")
    )
    if bad:
        with pytest.raises(ValueError, match="must hold no"):
            text_of(text.encode(), SCENARIO)
    else:
        assert text_of(text.encode(), SCENARIO) == text.removeprefix("\ufeff")


def test_a_program_may_be_of_a_tape_and_of_an_old_panel() -> None:
    """Null characters before it and the mark of a file's end are blanks; a comment may be in any alphabet."""
    assert any_text(b"\0\0%\nG0 X1\x1a", PROGRAM) == "\0\0%\nG0 X1\x1a"
    assert any_text(b"(f\xfcr \x96)\nG0", PROGRAM) == "(f\u00fcr \x96)\nG0"
    for data in (b"G0\n(\x1b[31m)", b"(\xfc)\n(\x1b)", "G0\n(\u202e)".encode()):
        with pytest.raises(ValueError, match=r"must hold no .* in line 2, column 2"):
            any_text(data, PROGRAM)
