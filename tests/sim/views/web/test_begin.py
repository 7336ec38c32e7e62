"""The page before there is a setup: answers are judged one by one, a file is made where nothing stands."""

from __future__ import annotations

import http.client
import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.commands import first_questions
from sim.commands.asking import READERS, asked
from sim.views.web.begin import Begin
from sim.views.web.live import Watched
from sim.views.web.server import HOST, LiveServer

CAP = {
    "chuck": "210", "smallest": "89.9 mm", "largest": "90 mm", "length": "36 mm", "beyond": "88 mm",
    "material": "cast iron GJL-250", "surface": "turned", "cut": "facing", "depth-of-cut": "1.5 mm",
    "feed": "0.25 mm/rev", "cutting-speed": "160 m/min",
}  # fmt: skip


def begin(folder: Path, made: list[Path]) -> Begin:
    nothing: Any = None

    def watched(path: Path) -> Watched:
        made.append(path)
        return nothing  # type: ignore[no-any-return]

    return Begin(
        folder,
        first_questions.questions(),
        first_questions.wrong,
        lambda answers: json.dumps(answers),
        watched,
    )


def test_every_question_of_new_is_asked() -> None:
    keys = {one["key"] for group in first_questions.questions()["groups"] for one in group["questions"]}
    assert {f"--{key}" for key in keys} == set(READERS)


def test_right_answers_are_what_new_takes() -> None:
    assert first_questions.wrong(CAP) == {}
    given = {option: CAP.get(option.removeprefix("--")) for option in READERS}
    assert asked(given, asks=False).part.material == CAP["material"]


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"smallest": "89,9 mm", "feed": "fast"}, {"smallest": "point", "feed": "must be a feed"}),
        ({"chuck": "", "material": "cheese"}, {"chuck": "is missing", "material": "cheese"}),
        ({"cut": "boring"}, {"cut-diameter": "is missing"}),
        ({"smallest": "91 mm"}, {"largest": "rise"}),
        ({"bore": "95 mm"}, {"bore": "bore"}),
        ({"colour": "red"}, {"colour": "no question"}),
    ],
)
def test_each_wrong_answer_is_told_at_its_question(changes: dict[str, str], fields: dict[str, str]) -> None:
    answers = {key: text for key, text in {**CAP, **changes}.items() if text}
    found = first_questions.wrong(answers)
    assert set(found) == set(fields)
    for key, words in fields.items():
        assert words in found[key]


@pytest.mark.parametrize("left_out", sorted(first_questions.NEEDED))
def test_what_is_needed_is_asked_for(left_out: str) -> None:
    answers = {key: text for key, text in CAP.items() if key != left_out}
    assert first_questions.wrong(answers) == {left_out: "is missing"}


@pytest.fixture
def made() -> list[Path]:
    return []


@pytest.fixture
def server(tmp_path: Path, made: list[Path]) -> Iterator[LiveServer]:
    found = LiveServer(begin(tmp_path, made))
    thread = threading.Thread(target=found.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    yield found
    found.shutdown()
    found.server_close()
    thread.join(10.0)


def ask(server: LiveServer, path: str, body: Any = None) -> tuple[int, Any]:
    link = http.client.HTTPConnection(HOST, server.port, timeout=30.0)
    data = None if body is None else json.dumps(body).encode()
    link.request("GET" if body is None else "POST", path, data, {"Content-Type": "application/json"})
    reply = link.getresponse()
    text = reply.read()
    link.close()
    return reply.status, text if body is None else json.loads(text)


@pytest.mark.parametrize(
    "name",
    ["../cap.toml", "/tmp/cap.toml", "sub/cap.toml", "cap", "", ".cap.toml", "a\nb.toml", "~.toml"],  # noqa: S108
)
def test_a_file_is_made_in_the_folder_only(server: LiveServer, tmp_path: Path, name: str) -> None:
    status, said = ask(server, f"/{server.secret}/begin", {"answers": {**CAP, "file": name}})
    assert status == 422
    assert set(said["fields"]) == {"file"}
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_over(server: LiveServer, tmp_path: Path, made: list[Path]) -> None:
    (tmp_path / "cap.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "link.toml").symlink_to(tmp_path / "elsewhere")
    for name in ("cap.toml", "link.toml"):
        status, said = ask(server, f"/{server.secret}/begin", {"answers": {**CAP, "file": name}})
        assert (status, "exists already" in said["fields"]["file"]) == (422, True)
    assert (tmp_path / "cap.toml").read_text(encoding="utf-8") == "mine"
    assert not made
    status, said = ask(server, f"/{server.secret}/begin", {"answers": {**CAP, "file": "my cap.toml"}})
    assert (status, made) == (500, [tmp_path / "my cap.toml"])  # judged here by nobody
    assert json.loads(made[0].read_text(encoding="utf-8")) == CAP


def test_before_there_is_a_setup_nothing_else_is_answered(server: LiveServer) -> None:
    status, page = ask(server, f"/{server.secret}/")
    assert status == 200
    assert b"Begin a setup" in page
    assert ask(server, "/wrong/")[0] == 404
    for name in ("scene", "draft", "events", "form"):
        assert ask(server, f"/{server.secret}/{name}")[0] == 404
    for name in ("edit", "save", "make", "state"):
        assert ask(server, f"/{server.secret}/{name}", {})[0] == 404


def test_the_command_without_a_file_asks_in_its_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from sim.commands.views import open_page

    served: list[LiveServer] = []

    def run(self: LiveServer) -> None:
        served.append(self)
        self.server_close()
        raise KeyboardInterrupt

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(LiveServer, "run", run)
    open_page(browser=False)
    (server,) = served
    assert not server.shows
    assert server.begin is not None
    assert server.begin.folder == tmp_path.resolve()


def test_ended_with_changes_that_are_not_saved_it_says_so() -> None:
    """The exit status must not be that of what was only typed, nor of the file as if nothing had been."""
    from types import SimpleNamespace

    from sim.base.errors import ScenarioError
    from sim.commands.views import _ended

    shown = SimpleNamespace(judging=False, mistake="")
    server: Any = SimpleNamespace(unsaved=True, watched=SimpleNamespace(file=Path("a.toml"), shown=shown))
    with pytest.raises(ScenarioError, match="not saved"):
        _ended(server)
