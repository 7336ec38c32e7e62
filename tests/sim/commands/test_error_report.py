"""A mistake of the program leaves a report that can be sent: where it arose, and nothing of what was asked."""

from __future__ import annotations

import http.client
import json
import re
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

from sim import cli
from sim.base.error_report import MOST_PLACES, Reports, WorkerFault, as_fault, report_text, told
from sim.base.errors import DEBUG, ScenarioError
from sim.studies.versions import versions
from sim.studies.workers import Processes, _kept

PRIVATE = "drawing 4711 of a customer"
NAME = re.compile(r"chuckscene-error-\d{8}-\d{6}(-\d+)?\.txt")


def fails(*_: object, **__: object) -> None:
    """End as a mistake of the program does that has texts of the scenario in its message and its variables."""
    kept = {PRIVATE: 118.0}
    try:
        raise ValueError(f"{PRIVATE}: {kept}")
    except ValueError as error:
        raise KeyError(PRIVATE) from error


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder of a test, and a cache of its own; messages are not asked for."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv(DEBUG, raising=False)
    return folder


@pytest.fixture
def private_file(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Path:
    """A setup whose name and title nobody else is to read."""
    text = scenario_file("cast_hub_on_plug").read_text(encoding="utf-8")
    path = tmp_path / f"{PRIVATE}.toml"
    path.write_text(text.replace('title = "', f'title = "{PRIVATE}, ', 1), encoding="utf-8")
    return path


@pytest.fixture
def ended(
    private_file: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Run `check` on that file to its end."""

    def call(*options: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["chuckscene", "check", str(private_file), *options])
        with pytest.raises(SystemExit) as left:
            cli.main()
        return int(left.value.code or 0), *capfd.readouterr()

    return call


def reports(folder: Path) -> list[Path]:
    found = sorted(folder.iterdir())
    assert all(NAME.fullmatch(path.name) for path in found)
    return found


def nothing_of_the_user(text: str, *folders: Path) -> None:
    for word in (*PRIVATE.split(), "4711", "118", *(str(one) for one in folders)):
        if word not in ("of", "a"):
            assert word not in text


def test_a_report_says_where_and_nothing_of_the_scenario(
    ended: Callable[..., tuple[int, str, str]],
    own_folder: Path,
    tmp_path: Path,
    root: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The mistake is planted below real code, so that the places are those of this package."""
    monkeypatch.setattr("sim.assessment.stages.assess", fails)
    monkeypatch.setattr("sim.commands.shared.assess", fails, raising=False)
    status, out, err = ended("--quick", "--json", "--moves")
    (path,) = reports(own_folder)
    assert (status, out) == (3, "")
    assert err.startswith("internal error: ")
    assert err.count("\n") == 1
    assert path.name in err
    text = path.read_text(encoding="utf-8")
    nothing_of_the_user(text, tmp_path, root)
    lines = text.splitlines()
    assert "command: check --quick --json --moves" in lines
    for name in ("numpy", "scipy"):
        assert f"{name}: {version(name)}" in lines
    assert f"python: {sys.version.split()[0]}" in text
    assert "KeyError" in lines
    assert "ValueError" in lines
    assert re.search(r"^  sim/cli\.py, line \d+, in check$", text, re.MULTILINE)
    assert re.search(r"^  sim/commands/shared\.py, line \d+, in assessed$", text, re.MULTILINE)
    assert re.search(r"^  a file elsewhere, line \d+, in fails$", text, re.MULTILINE)


def test_messages_are_in_it_where_the_user_asks_for_them(
    ended: Callable[..., tuple[int, str, str]], own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.cli._assessed", fails)
    monkeypatch.setenv(DEBUG, "1")
    status, _, err = ended()
    (path,) = reports(own_folder)
    assert status == 3
    text = path.read_text(encoding="utf-8")
    assert f"KeyError: '{PRIVATE}'" in text
    assert "Read them before you send this" in text
    assert "nothing of your files" not in err + text


def test_a_second_report_does_not_replace_the_first(
    ended: Callable[..., tuple[int, str, str]], own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.cli._assessed", fails)
    for _ in range(3):
        assert ended()[0] == 3
    assert len(reports(own_folder)) == 3


def test_a_folder_that_takes_no_file_is_passed_over(
    ended: Callable[..., tuple[int, str, str]],
    own_folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of a folder that may not be written (a user of all rights may: so the file's opening is refused here)."""
    monkeypatch.setattr("sim.cli._assessed", fails)
    opened = Path.open

    def refused(self: Path, mode: str = "r", *more: Any, **options: Any) -> Any:
        if mode == "xb" and not self.is_absolute():
            raise PermissionError(13, "Permission denied")
        return opened(self, mode, *more, **options)

    monkeypatch.setattr(Path, "open", refused)
    status, _, err = ended()
    assert status == 3
    (path,) = reports(tmp_path / "cache" / "chuckscene")
    assert str(path) in err
    assert not reports(own_folder)


def test_a_report_that_cannot_be_written_is_said(
    ended: Callable[..., tuple[int, str, str]],
    own_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def full(*_: Any, **__: Any) -> Any:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.cli._assessed", fails)
    with monkeypatch.context() as patched:
        patched.setattr(Path, "open", full)
        status, _, err = ended()
    assert status == 3
    assert "no report of it could be written (No space left on device)" in err
    assert err.count("\n") == 1
    assert not reports(own_folder)


def test_a_report_that_fails_by_a_mistake_of_its_own_hides_nothing(
    ended: Callable[..., tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.cli._assessed", fails)
    monkeypatch.setattr("sim.base.error_report.places", lambda _: 1 / 0)
    status, _, err = ended()
    assert status == 3
    assert "KeyError" in err
    assert "no report of it could be written (ZeroDivisionError)" in err


def test_only_names_that_the_command_knows_are_told(
    own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What follows '--' is no option, and no value of one is told."""
    monkeypatch.setattr(
        sys, "argv", ["chuckscene", "review", "a.toml", "--out=4711.html", "--customer", "--quick", "--4711"]
    )
    cli._report(KeyError(PRIVATE))
    (path,) = reports(own_folder)
    assert "command: review --out --quick" in path.read_text(encoding="utf-8").splitlines()


def test_a_recursion_without_end_is_told_in_short() -> None:
    def again(depth: int) -> int:
        return again(depth + 1) + 1

    with pytest.raises(RecursionError) as raised:
        again(0)
    text = report_text(raised.value, ())
    assert "places more" in text
    assert text.count("again") <= MOST_PLACES


def test_a_mistake_in_a_worker_comes_back_as_words() -> None:
    """Where it arose there is told here; its message is only on the terminal, and what cannot be sent is not."""

    class OwnError(Exception):
        """Cannot be read back by another process: it takes more than its message."""

        def __init__(self, one: str, two: str) -> None:
            super().__init__(one + two)

    def spoils() -> None:
        raise OwnError(PRIVATE, "!")

    with pytest.raises(WorkerFault, match=PRIVATE) as raised:
        _kept(versions(), spoils)
    assert raised.value.__context__ is None
    text = report_text(raised.value, ("study",))
    nothing_of_the_user(text)
    assert "OwnError in another process" in text
    assert re.search(r"^ +a file elsewhere, line \d+, in .*spoils$", text, re.MULTILINE)
    with pytest.raises(ScenarioError, match="wrong"):
        _kept(versions(), _refuses)


def _refuses() -> None:
    raise ScenarioError("wrong")


def test_a_worker_of_another_process_tells_where() -> None:
    """The one test with a process: places come through, the text of the message does not reach the report."""
    pool = Processes(1)
    try:
        future = pool.submit(json.loads, f'"{PRIVATE}')
        with pytest.raises(WorkerFault) as raised:
            future.result(timeout=60)
    finally:
        pool.close()
    text = report_text(raised.value, ("study",))
    nothing_of_the_user(text)
    assert "json.decoder.JSONDecodeError in another process" in text
    assert re.search(r"json/decoder\.py, line \d+, in JSONDecoder\.", text)
    assert "sim/studies/workers.py" in text


def test_a_page_tells_of_a_mistake_once_a_place(own_folder: Path) -> None:
    kept = Reports(("open",))
    assert kept(ScenarioError("wrong")) == ""
    assert not reports(own_folder)
    found = set()
    for _ in range(5):
        try:
            fails()
        except KeyError as error:
            found.add(kept(error))
    assert len(found) == len(reports(own_folder)) == len(kept.words) == 1


def test_the_page_goes_on_and_the_command_ends_in_3(
    private_file: Path, own_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file is saved again and judging it ends in a mistake: not the status of the last good figures."""
    from sim.views.web import live
    from sim.views.web.server import LiveServer

    nothing: Any = None
    monkeypatch.setattr(live, "_shown", lambda _, version: live.Shown(version, nothing, b"", b"", ""))
    monkeypatch.setattr("sim.commands.views.assessed", lambda *_, **__: nothing)

    def run(self: LiveServer) -> None:
        monkeypatch.setattr("sim.commands.views.assessed", fails)
        private_file.write_text(private_file.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        assert self.watched.look()
        assert "chuckscene-error-" in self.watched.shown.mistake
        self.server_close()
        raise KeyboardInterrupt

    monkeypatch.setattr(LiveServer, "run", run)
    monkeypatch.setattr(sys, "argv", ["chuckscene", "open", str(private_file), "--no-browser", "--quick"])
    with pytest.raises(SystemExit) as left:
        cli.main()
    (path,) = reports(own_folder)
    err = capsys.readouterr().err
    assert left.value.code == 3
    assert err.startswith("internal error: ")
    assert err.count("\n") == 1
    assert path.name in err
    text = path.read_text(encoding="utf-8")
    nothing_of_the_user(text)
    assert "command: open --no-browser --quick" in text
    assert "sim/views/web/live.py" in text


def test_a_question_of_a_page_that_ends_in_a_mistake_names_the_report(
    own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from threading import Thread
    from types import SimpleNamespace

    from sim.views.web import server as served

    made = served.LiveServer(served.Begin(own_folder, {}, fails, fails, fails), 0, (), Reports(("open",)))  # type: ignore[arg-type]
    made._watched = SimpleNamespace(shown=SimpleNamespace(version=1, ready=None))  # type: ignore[assignment]
    monkeypatch.setattr(served, "answer", fails)
    thread = Thread(target=made.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
    thread.start()
    try:
        link = http.client.HTTPConnection(served.HOST, made.port, timeout=5.0)
        link.request("POST", f"/{made.secret}/state", "{}", {"Content-Type": "application/json"})
        reply = link.getresponse()
        assert reply.status == 500
        (path,) = reports(own_folder)
        assert path.name in reply.read().decode()
        link.close()
    finally:
        made.shutdown()
        made.server_close()
        thread.join()


@pytest.mark.usefixtures("own_folder")
def test_words_of_a_report_never_fail() -> None:
    class Unreadable(Exception):  # noqa: N818
        def __str__(self) -> str:
            raise RuntimeError

    assert "can be sent" in told(Unreadable(), ())
    assert "Unreadable" in report_text(as_fault(KeyError("x")), ()) + report_text(Unreadable(), ())
