"""What a check printed, printed again: to the byte, and only where all that it was printed from is as it was."""

from __future__ import annotations

import itertools
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import Any

import grimp
import pytest
import rich

from sim import cli
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base import answers
from sim.base.files import ASTRAY, files_noted, regular_bytes
from sim.commands import printed
from sim.setup.loading import load
from sim.views.web.watching import named_files

COMMAND = "import sys; from sim.cli import main; sys.argv[0] = 'chuckscene'; main()"
OPTIONS = [[], ["--json"], ["--all"], ["--basis"], ["--moves"], ["--json", "--moves"]]
LOADED = "\nimport sys, atexit\natexit.register(lambda: print(*sorted(sys.modules), file=sys.stderr))\n"
COMPUTING = {
    "numpy",
    "scipy",
    "shapely",
    "trimesh",
    "skfem",
    "manifold3d",
    "highspy",
    "pint",
    "rich",
    "sim.setup",
}


def run_of(texts: list[str], *files: Path, status: int = 0) -> Callable[[], int]:
    """A command that reads files and prints a line; each run of it is told in `texts`."""

    def run() -> int:
        held = []
        for file in files:
            try:
                held.append(regular_bytes(file, 1000).decode())
            except OSError:
                held.append("none")
        texts.append(f"{len(texts)} {held}")
        print(texts[-1])  # noqa: T201
        return status

    return run


@pytest.fixture
def asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str]]:
    def ask(run: Callable[[], int], question: str = "?", subject: str = "a") -> tuple[int, str]:
        status = printed.kept_print(tmp_path / "answers", (subject,), question, run)
        return status, capsys.readouterr().out

    return ask


@pytest.fixture
def as_begun(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As in a process that has loaded nothing yet; what is printed is kept in a folder of this test."""
    monkeypatch.setattr(printed, "_in_use", lambda: False)
    monkeypatch.setattr(printed, "answers_folder", lambda: tmp_path / "answers")


@pytest.mark.usefixtures("as_begun")
def test_every_scenario_is_printed_again_to_the_byte(
    scenario_name: str,
    scenario_file: Callable[[str], Path],
    assessment: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """Judged once here for all options; that each is what a process of its own prints is asked of one file below."""
    file, judged = scenario_file(scenario_name), assessment(scenario_name)

    def found(path: Path, *_: object, **__: object) -> Assessment:
        regular_bytes(path, 1_000_000)
        return judged

    def refused(*_: object, **__: object) -> Any:
        raise AssertionError("worked out again")

    for options in OPTIONS:
        told = []
        for kept, work in ((False, found), (True, found), (True, refused)):
            with monkeypatch.context() as patch:
                patch.setattr(cli, "_assessed", work)
                patch.setattr(sys, "argv", ["chuckscene", "check", str(file), *options])
                if not kept:
                    patch.setattr(printed, "_in_use", lambda: True)
                with pytest.raises(SystemExit) as left:
                    cli.main()
            told.append((left.value.code, *capfd.readouterr()))
        assert told[0] == told[1] == told[2], options
        assert told[0][0] == (1 if judged.status == "fail" else 0)
        assert len(told[0][1]) > 1000
        assert told[0][2] == ""


def whole(
    code: str, *arguments: str, cwd: Path | None = None, **environment: str
) -> tuple[int, bytes, bytes]:
    """A process of its own: exit status, what it printed, what it complained of."""
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", code, *arguments],
        capture_output=True, check=False, env=os.environ | environment, cwd=cwd,
    )  # fmt: skip
    return found.returncode, found.stdout, found.stderr


def test_a_process_of_its_own_prints_the_same_and_loads_nothing_that_computes(
    tmp_path: Path, scenario_file: Callable[[str], Path]
) -> None:
    """Newer versions of typer read a command line with pydantic themselves; no table of a scenario is made."""
    file = str(scenario_file("cast_hub_by_program"))
    for options in ([], ["--json", "--moves"]):
        first, again = (
            whole(code, "check", file, "--quick", *options, XDG_CACHE_HOME=str(tmp_path))
            for code in (COMMAND, LOADED + COMMAND)
        )
        assert again[:2] == first[:2]
        assert first[0] == 0
        assert first[2] == b""
        assert not COMPUTING & set(again[2].decode().split())


def test_other_code_prints_anew(tmp_path: Path, root: Path, scenario_file: Callable[[str], Path]) -> None:
    """One word in one module, with the times of the file as they were."""
    for package in ("sim", "meshes"):
        shutil.copytree(root / package, tmp_path / package, ignore=shutil.ignore_patterns("__pycache__"))
    environment = {
        "PYTHONPATH": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"
    }  # fmt: skip
    file = str(scenario_file("thin_ring_distorts"))
    first = whole(COMMAND, "check", file, "--quick", cwd=tmp_path, **environment)
    module = tmp_path / "sim" / "terminal" / "summary.py"
    times = module.stat()
    text = module.read_text(encoding="utf-8")
    assert "Cautions: " in text
    module.write_text(text.replace("Cautions: ", "CAUTIONS: "), encoding="utf-8")
    os.utime(module, ns=(times.st_atime_ns, times.st_mtime_ns))
    after = whole(COMMAND, "check", file, "--quick", cwd=tmp_path, **environment)
    assert after == (first[0], first[1].replace(b"Cautions: ", b"CAUTIONS: "), b"")
    assert after != first


def test_every_file_that_is_read_is_noted(
    scenario_name: str, scenario_file: Callable[[str], Path], root: Path
) -> None:
    """Asked of the interpreter, which tells of every file that is opened, and of the text, which names files."""
    file, opened = scenario_file(scenario_name), set()

    def hear(event: str, arguments: tuple[object, ...]) -> None:
        if event == "open" and isinstance(arguments[0], str | os.PathLike):
            opened.add(os.path.abspath(arguments[0]))  # noqa: PTH100

    _HEARING.append(hear)
    try:
        with files_noted() as noted:
            assess(load(file), contact_model="foundation")
    finally:
        _HEARING.remove(hear)
    of_the_user = {name for name in opened if Path(name).is_relative_to(root / "scenarios")}
    assert str(file) in of_the_user
    assert of_the_user == {os.path.abspath(name) for name in noted}  # noqa: PTH100
    named = named_files(file)
    assert named is not None
    assert {os.path.abspath(one) for one in named if one.is_file()} <= of_the_user  # noqa: PTH100
    elsewhere = {name for name in opened if not Path(name).is_relative_to(root)}
    ours = (sys.prefix, sys.base_prefix, os.environ["XDG_CACHE_HOME"], "/proc", "/sys", "/dev")
    assert not {name for name in elsewhere if not name.startswith(ours)}


_HEARING: list[Callable[[str, tuple[object, ...]], None]] = []


def _heard(event: str, arguments: tuple[object, ...]) -> None:
    for hear in tuple(_HEARING):
        hear(event, arguments)


sys.addaudithook(_heard)  # never taken away again: it hears nothing between tests


def test_the_same_files_are_read_once(tmp_path: Path, asked: Callable[..., tuple[int, str]]) -> None:
    a, b = tmp_path / "a", tmp_path / "b"
    a.write_text("one")
    texts: list[str] = []
    run = run_of(texts, a, b, status=1)
    first = asked(run)
    assert first == (1, "0 ['one', 'none']\n")
    assert asked(run) == first
    assert asked(run, subject="b") == (1, "1 ['one', 'none']\n")
    assert asked(run, "another") == (1, "2 ['one', 'none']\n")
    assert len(texts) == 3


@pytest.mark.parametrize("which", ["a", "b"])
def test_an_edit_of_any_file_prints_anew(
    tmp_path: Path, asked: Callable[..., tuple[int, str]], which: str
) -> None:
    """Also one whose size and times stay, one that goes, and one that was not there and comes."""
    a, b, c = (tmp_path / name for name in "abc")
    a.write_text("one")
    b.write_text("two")
    texts: list[str] = []
    run = run_of(texts, a, b, c)
    asked(run)
    edited = tmp_path / which
    times = edited.stat()
    edited.write_text("six")
    os.utime(edited, ns=(times.st_atime_ns, times.st_mtime_ns))
    assert "six" in asked(run)[1]
    edited.unlink()
    assert asked(run)[1].count("none") == 2
    c.write_text("new")
    assert "new" in asked(run)[1]
    assert len(texts) == 4
    asked(run)
    assert len(texts) == 4


def test_a_file_that_changed_between_two_looks_keeps_nothing(
    tmp_path: Path, asked: Callable[..., tuple[int, str]]
) -> None:
    a, texts = tmp_path / "a", list[str]()

    def run() -> int:
        a.write_text("one")
        regular_bytes(a, 10)
        a.write_text("two")
        return run_of(texts, a)()

    asked(run)
    asked(run)
    assert len(texts) == 2
    assert not (tmp_path / "answers").exists()
    with files_noted() as noted:
        run()
    assert noted == {str(a): ASTRAY}


def test_what_breaks_off_keeps_nothing(tmp_path: Path, asked: Callable[..., tuple[int, str]]) -> None:
    a, texts, own = tmp_path / "a", list[str](), sys.stdout
    a.write_text("one")

    def run() -> int:
        run_of(texts, a)()
        raise ValueError("half of it")

    for _ in range(2):
        with pytest.raises(ValueError, match="half"):
            asked(run)
        assert sys.stdout is own
    assert len(texts) == 2
    assert not (tmp_path / "answers").exists()


def test_what_reads_no_file_is_not_kept(tmp_path: Path, asked: Callable[..., tuple[int, str]]) -> None:
    texts: list[str] = []
    asked(run_of(texts))
    asked(run_of(texts))
    assert len(texts) == 2
    assert not (tmp_path / "answers").exists()


def test_what_killed_runs_left_is_taken_away_also_where_nothing_is_written(
    tmp_path: Path, asked: Callable[..., tuple[int, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    times: list[int] = []
    monkeypatch.setattr(printed, "tidied", lambda: times.append(1))
    (tmp_path / "a").write_text("one")
    asked(run_of([], tmp_path / "a"))  # the run itself does
    assert not times
    asked(run_of([], tmp_path / "a"))
    assert times == [1]


@pytest.mark.parametrize("share", [0.0, 0.1, 0.4, 0.6, 0.9, 1.0])
def test_a_damaged_text_is_printed_anew(
    tmp_path: Path, asked: Callable[..., tuple[int, str]], share: float
) -> None:
    a, texts = tmp_path / "a", list[str]()
    a.write_text("one")
    asked(run_of(texts, a))
    (path,) = (tmp_path / "answers").iterdir()
    held = path.read_bytes()
    at = round(share * (len(held) - 1))
    path.write_bytes(held[:at] + bytes([held[at] ^ 4]) + held[at + 1 :])
    assert asked(run_of(texts, a)) == (0, "1 ['one']\n")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        "1",
        '{"status":0,"text":"all passes","files":{}}',
        '{"status":"0","text":"x","files":{"/":""}}',
        '{"status":0,"files":{"/":""}}',
    ],
)
def test_a_foreign_text_is_printed_anew(
    tmp_path: Path, asked: Callable[..., tuple[int, str]], text: str
) -> None:
    """Even under a checksum that holds."""
    a, texts = tmp_path / "a", list[str]()
    a.write_text("one")
    asked(run_of(texts, a))
    (path,) = (tmp_path / "answers").iterdir()
    body = json.dumps({"?": text}).encode()
    path.write_bytes(answers._sum(body) + b"\n" + body)
    assert asked(run_of(texts, a)) == (0, "1 ['one']\n")


def test_what_other_code_left_is_printed_anew(
    tmp_path: Path, asked: Callable[..., tuple[int, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    a, texts = tmp_path / "a", list[str]()
    a.write_text("one")
    asked(run_of(texts, a))
    monkeypatch.setattr("sim.base.answers.maker", lambda: "other")
    assert asked(run_of(texts, a)) == (0, "1 ['one']\n")


class Stream:
    """Standard output of a kind."""

    def __init__(self, encoding: str = "utf-8", tty: bool = False) -> None:
        self.encoding, self._tty = encoding, tty

    def isatty(self) -> bool:
        return self._tty


def now(command: str = "check", file: Path = Path("a.toml"), **more: object) -> str:
    """The question of a command in this place."""
    return printed.question(command, file, {"json": False, "all": False, "moves": False} | more)


def of_the_place(patch: pytest.MonkeyPatch) -> Iterator[tuple[str, str]]:
    """What is asked from another folder, into another stream, on another terminal, with other variables."""
    Path("within").mkdir()
    with patch.context() as other:
        other.chdir("within")
        yield "folder", now()
    for stream in (Stream("latin-1"), Stream(tty=True)):
        with patch.context() as other:
            other.setattr(sys, "stdout", stream)
            yield f"stream {vars(stream)}", now()
    for number, columns in itertools.product(range(3), (80, 100)):
        with patch.context() as other:
            size = lambda one, n=number, c=columns: (c, 24) if one == n else None  # noqa: E731
            other.setattr(printed, "_size", size)
            yield f"{columns} columns of {number}", now()
    for name, value in itertools.product(printed.ASKED, ("", "1", "100")):
        with patch.context() as other:
            other.setenv(name, value)
            yield f"{name}={value}", now()


def of_libraries(patch: pytest.MonkeyPatch) -> Iterator[tuple[str, str]]:
    """What is asked with each library newer, or without it."""
    known = answers.version

    def newer(which: str) -> Callable[[str], str]:
        return lambda name: known(name) + "x" * (name == which)

    def missing(which: str) -> Callable[[str], str]:
        def found(name: str) -> str:
            if name == which:
                raise PackageNotFoundError(name)
            return known(name)

        return found

    for library in (*printed.LAYING_OUT, *printed.MAYBE):
        with patch.context() as other:
            other.setattr(answers, "version", newer(library))
            yield f"newer {library}", now()
    for library in printed.MAYBE:
        with patch.context() as other:
            other.setattr(answers, "version", missing(library))
            yield f"no {library}", now()


def test_every_part_of_the_question_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(printed, "_size", lambda _: None)
    monkeypatch.setattr(sys, "stdout", Stream())
    for name in printed.ASKED:
        monkeypatch.delenv(name, raising=False)
    found = {
        "as it is": now(),
        "command": now("review"),
        "file": now(file=Path("b.toml")),
        "name of the file": now(file=Path("a.toml").absolute()),
        **{name: now(**{name: True}) for name in ("json", "all", "moves")},
        **dict(of_the_place(monkeypatch)),
        **dict(of_libraries(monkeypatch)),
    }
    assert len(found) > 50
    assert len(set(found.values())) == len(found), "two of them ask the same"


def test_a_library_that_cannot_be_told_keeps_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printed, "_in_use", lambda: False)
    monkeypatch.setattr(printed, "LAYING_OUT", ("no such library",))
    texts: list[str] = []
    for _ in range(2):
        printed.printed_again("check", tmp_path / "a", {}, run_of(texts, tmp_path / "a"))
    assert len(texts) == 2


def test_all_that_the_library_asks_of_the_environment_is_in_the_question() -> None:
    """Looked for in its source: Python's own ways to ask."""
    found: set[str] = set()
    for module in ("console.py", "terminal_theme.py", "_windows.py", "color.py", "segment.py", "cells.py"):
        path = Path(rich.__file__).with_name(module)
        text = path.read_text(encoding="utf-8") if path.is_file() else ""
        found |= set(re.findall(r"(?:environ\.get|getenv)\(\s*\"(\w+)\"", text))
        found |= set(re.findall(r"environ\[\"(\w+)\"\]", text))
    assert len(found) > 5
    assert found <= set(printed.ASKED)


def test_every_library_that_a_check_reaches_is_named() -> None:
    graph = grimp.build_graph("sim", "meshes", include_external_packages=True, cache_dir=None)
    reached: set[str] = set()
    for place in (
        "sim.assessment.stages", "sim.setup.loading", "sim.terminal.assessment", "sim.terminal.typical",
        "sim.report.assessment", "sim.report.typical", "sim.uncertainty.typical", "sim.commands.shared",
    ):  # fmt: skip
        reached |= graph.find_upstream_modules(place)
    names = {
        "skfem": "scikit-fem",
        "typing_extensions": "typing-extensions",
        "pydantic_core": "pydantic-core",
    }
    external = {name.split(".")[0] for name in reached} - {"sim", "meshes"} - sys.stdlib_module_names
    known = {*answers.LIBRARIES, *printed.LAYING_OUT, *printed.MAYBE}
    assert {names.get(name, name) for name in external} <= known
