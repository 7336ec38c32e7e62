"""The live server: only this computer, only who knows the address, every request with its own state."""

from __future__ import annotations

import http.client
import json
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.state import at, states
from sim.base.errors import NotAvailableError, ScenarioError
from sim.views.web import live
from sim.views.web.live import Shown, Watched
from sim.views.web.making import Maker
from sim.views.web.server import HOST, LiveServer

NAME = "thin_ring_distorts"


@pytest.fixture
def judge(
    judge_copy: Callable[..., Assessment],
    first_shown: Callable[[Assessment, int], Shown],
    monkeypatch: pytest.MonkeyPatch,
) -> Callable[[Path], Assessment]:
    monkeypatch.setattr(live, "_shown", first_shown)
    return lambda file: judge_copy(file, "foundation")


@pytest.fixture
def file(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Path:
    copy = tmp_path / f"{NAME}.toml"
    copy.write_text(scenario_file(NAME).read_text(encoding="utf-8"), encoding="utf-8")
    return copy


def _written_by(words: str) -> Callable[[Path, Path, str], None]:
    return lambda file, to, chosen: (
        to.write_text(f"{words} of {file.name} {chosen}".strip(), "utf-8") and None
    )


MAKERS = (
    Maker("sheet", "setup sheet", "-sheet.pdf", _written_by("sheet")),
    Maker("program", "boring program", ".nc", _written_by("program"), "code system", ("A", "B")),
)


@pytest.fixture
def server(file: Path, judge: Callable[[Path], Assessment]) -> Iterator[LiveServer]:
    made = LiveServer(Watched(file, judge), makers=MAKERS)
    thread = threading.Thread(target=made.run, daemon=True)
    thread.start()
    yield made
    made.close()
    thread.join(10.0)
    assert not thread.is_alive()


def _ask(
    server: LiveServer, path: str, body: Any = None, headers: dict[str, str] | None = None
) -> tuple[int, bytes, http.client.HTTPMessage]:
    link = http.client.HTTPConnection(HOST, server.port, timeout=30.0)
    data = None if body is None else json.dumps(body).encode()
    sent = {"Content-Type": "application/json"} if data is not None else {}
    link.request("GET" if body is None else "POST", path, data, {**sent, **(headers or {})})
    reply = link.getresponse()
    found = reply.status, reply.read(), reply.headers
    link.close()
    return found


def _told(reply: http.client.HTTPResponse) -> dict[str, Any]:
    """Read one event of a stream of changes."""
    name, data, end = reply.readline(), reply.readline(), reply.readline()
    assert (name, end) == (b"event: shown\n", b"\n")
    found: dict[str, Any] = json.loads(data.removeprefix(b"data: "))
    return found


def _state(server: LiveServer, **changes: Any) -> dict[str, Any]:
    stage = json.loads(server.watched.shown.scene)["stages"][1]
    return {"stage": "0", **stage["values"], **changes}


def test_it_listens_on_this_computer_only(server: LiveServer) -> None:
    assert server.server_address[0] == "127.0.0.1"
    assert len(server.secret) >= 32


def test_the_page_and_its_data_stand_behind_the_secret(server: LiveServer) -> None:
    status, page, headers = _ask(server, f"/{server.secret}/")
    assert status == 200
    assert b"<!doctype html>" in page
    assert headers["Cache-Control"] == "no-store"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "Access-Control-Allow-Origin" not in headers
    status, data, _ = _ask(server, f"/{server.secret}/scene")
    assert status == 200
    assert json.loads(data)["title"] == server.watched.shown.ready.assessment.scenario.title


@pytest.mark.parametrize("path", ["/", "/scene", "/wrong/", "/wrong/scene", "//", "/../etc/passwd"])
def test_without_the_secret_there_is_nothing(server: LiveServer, path: str) -> None:
    assert _ask(server, path)[0] == 404
    assert _ask(server, f"/{server.secret}/../../etc/passwd")[0] == 404


@pytest.mark.parametrize(
    "headers", [{"Host": "example.org"}, {"Origin": "http://example.org"}, {"Origin": "null"}]
)
def test_a_page_from_elsewhere_gets_no_answer(server: LiveServer, headers: dict[str, str]) -> None:
    """A foreign name that leads to this computer, and a foreign page in the same browser."""
    assert _ask(server, f"/{server.secret}/scene", headers=headers)[0] == 404
    assert _ask(server, f"/{server.secret}/state", {"stage": "0"}, headers)[0] == 404


def test_each_request_carries_its_own_state(
    server: LiveServer, quickly_judged: Callable[[str], Assessment]
) -> None:
    ready = states(quickly_judged(NAME))
    answers: dict[float, float] = {}

    def ask(speed: float) -> None:
        status, body, _ = _ask(server, f"/{server.secret}/state", _state(server, speed_rpm=speed))
        assert status == 200
        answers[speed] = json.loads(body)["total_N"]

    threads = [threading.Thread(target=ask, args=(100.0 * k,)) for k in range(1, 9)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for speed, total in answers.items():
        assert total == pytest.approx(at(ready, 0, speed=speed).total, rel=1e-9)
    assert len(answers) == 8


@pytest.mark.parametrize(
    ("body", "status", "said"),
    [
        ([1], 400, "one JSON object"),
        ({"stage": "9"}, 422, "stage must be one of"),
        ({"stage": "0"}, 422, "must be a finite number"),
        ({"stage": "x" * 20_000}, 400, "must be under"),
    ],
)
def test_a_wrong_question_is_one_sentence(server: LiveServer, body: Any, status: int, said: str) -> None:
    found, text, _ = _ask(server, f"/{server.secret}/state", body)
    assert found == status
    assert said in json.loads(text)["mistake"]


def test_an_edit_is_taken_over_and_a_mistake_told_over_the_last_good_scene(
    file: Path, judge: Callable[[Path], Assessment]
) -> None:
    watched = Watched(file, judge)
    good = file.read_text(encoding="utf-8")
    assert not watched.look()
    file.write_text(good.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    assert watched.look()
    assert (watched.shown.version, watched.shown.mistake) == (2, "")
    assert watched.shown.ready.assessment.scenario.title.startswith("Edited: ")
    file.write_text(good.replace('speed_high = "', 'speed_high = "-'), encoding="utf-8")
    assert watched.look()
    assert watched.shown.version == 2
    assert "speed_high" in watched.shown.mistake
    assert watched.shown.ready.assessment.scenario.title.startswith("Edited: ")
    file.unlink()
    assert watched.look()
    assert "cannot be read" in watched.shown.mistake
    file.write_text(good, encoding="utf-8")
    assert watched.look()
    assert (watched.shown.version, watched.shown.mistake) == (3, "")


def test_pages_hear_of_changes(server: LiveServer, file: Path) -> None:
    link = http.client.HTTPConnection(HOST, server.port, timeout=30.0)
    link.request("GET", f"/{server.secret}/events")
    reply = link.getresponse()
    assert reply.headers.get_content_type() == "text/event-stream"
    assert _told(reply) == {"version": 1, "mistake": "", "judging": False, "revision": 0, "outside": False}
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    while (told := _told(reply))["version"] == 1:
        assert not told["mistake"]
    assert told == {"version": 2, "mistake": "", "judging": False, "revision": 0, "outside": False}
    link.close()


def test_a_taken_port_is_one_sentence(file: Path, judge: Callable[[Path], Assessment]) -> None:
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        with pytest.raises(NotAvailableError, match=r"port \d+ of this computer cannot be used"):
            LiveServer(Watched(file, judge), taken.getsockname()[1])


def test_an_included_file_is_looked_at_and_named(file: Path, judge: Callable[[Path], Assessment]) -> None:
    fit = file.with_name("fit.toml")
    fit.write_text("[chuck]\nefficiency = 0.9\n", encoding="utf-8")
    file.write_text('include = ["fit.toml"]\n' + file.read_text(encoding="utf-8"), encoding="utf-8")
    watched = Watched(file, judge)
    assert not watched.look()
    assert json.loads(watched.shown.scene)["origin"] == [
        "Values taken from fit.toml: chuck.efficiency = 0.9; it does not say whether gauge readings were accepted."
    ]
    fit.write_text("[chuck]\nefficiency = 0.8\n", encoding="utf-8")
    assert watched.look()
    assert json.loads(watched.shown.scene)["origin"] == [
        "Values taken from fit.toml: chuck.efficiency = 0.8; it does not say whether gauge readings were accepted."
    ]
    fit.write_text("[chuck]\nefficiency = 8\n", encoding="utf-8")
    assert watched.look()
    assert "fit.toml, chuck.efficiency must be" in watched.shown.mistake
    assert not watched.look()


def test_a_question_about_a_scene_of_before_is_refused(server: LiveServer, file: Path) -> None:
    """Its answer would be of the new file and stand beside the old scene."""
    status, body, _ = _ask(server, f"/{server.secret}/state", _state(server, version=1))
    assert (status, json.loads(body)["version"]) == (200, 1)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    seen = server.watched.events
    while server.watched.shown.version == 1:
        seen = server.watched.wait(seen, 20.0)
    status, body, _ = _ask(server, f"/{server.secret}/state", _state(server, version=1))
    assert status == 409
    assert "judged anew" in json.loads(body)["mistake"]
    assert json.loads(server.watched.shown.scene)["version"] == 2


def test_an_error_that_nobody_thought_of_is_an_answer_and_no_end(
    server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> Any:
        raise ZeroDivisionError("float division by zero")

    with monkeypatch.context() as patch:
        patch.setattr("sim.views.web.server.answer", broken)
        status, body, _ = _ask(server, f"/{server.secret}/state", _state(server))
        assert status == 500
        assert "ZeroDivisionError" in json.loads(body)["mistake"]
    assert _ask(server, f"/{server.secret}/state", _state(server))[0] == 200


def test_a_page_that_comes_late_hears_what_it_has_missed(server: LiveServer, file: Path) -> None:
    """A change between the loading of a page and its first ear, or while it was cut off."""
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('title = "', 'title = "Edited: '), encoding="utf-8")
    seen = server.watched.events
    while server.watched.shown.version == 1:
        seen = server.watched.wait(seen, 20.0)
    file.write_text(text.replace('speed_high = "', 'speed_high = "-'), encoding="utf-8")
    while not server.watched.shown.mistake:
        seen = server.watched.wait(seen, 20.0)
    link = http.client.HTTPConnection(HOST, server.port, timeout=30.0)
    link.request("GET", f"/{server.secret}/events")
    told = _told(link.getresponse())
    link.close()
    assert told["version"] == 2
    assert "speed_high" in told["mistake"]


def test_a_page_hears_that_the_program_lives(server: LiveServer, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a sign of life for a while it says that it is out of date."""
    monkeypatch.setattr("sim.views.web.server.HEARTBEAT", 0.05)
    link = http.client.HTTPConnection(HOST, server.port, timeout=5.0)
    link.request("GET", f"/{server.secret}/events")
    reply = link.getresponse()
    assert _told(reply) == _told(reply) == _told(reply)
    link.close()


def test_a_mistake_that_stands_at_the_end_is_how_the_command_ends(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not with the status of the last good scene."""
    from sim.commands.views import open_page

    def run(self: LiveServer) -> None:
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace('speed_high = "', 'speed_high = "-'), encoding="utf-8")
        self.watched.look()
        self.server_close()
        raise KeyboardInterrupt

    monkeypatch.setattr(LiveServer, "run", run)
    with pytest.raises(ScenarioError, match="speed_high"):
        open_page(file, browser=False, quick=True)


def test_a_file_not_judged_at_the_end_has_no_status_of_one_before(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dataclasses import replace

    from sim.commands.views import open_page

    def run(self: LiveServer) -> None:
        self.watched.shown = replace(self.watched.shown, judging=True)
        self.server_close()
        raise KeyboardInterrupt

    monkeypatch.setattr(LiveServer, "run", run)
    with pytest.raises(ScenarioError, match="ended before the file as it was saved last had been judged"):
        open_page(file, browser=False, quick=True)


def _typed(server: LiveServer, **more: Any) -> dict[str, Any]:
    """A question that sets the title, on the form as it is."""
    state = json.loads(_ask(server, f"/{server.secret}/draft")[1])
    edits = [{"what": "set", "place": ["title"], "value": "typed"}]
    return {"base": state["base"], "revision": state["revision"], "edits": edits, **more}


def test_a_form_is_answered_judged_and_saved(server: LiveServer, file: Path) -> None:
    status, body, _ = _ask(server, f"/{server.secret}/form")
    assert status == 200
    assert [maker["key"] for maker in json.loads(body)["makers"]] == ["sheet", "program"]
    status, body, _ = _ask(server, f"/{server.secret}/edit", _typed(server))
    state = json.loads(body)
    assert (status, state["unsaved"], state["faults"]) == (200, True, [])
    seen = 0
    while server.watched.shown.revision != state["revision"] or server.watched.shown.judging:
        seen = server.watched.wait(seen, 20.0)
    assert json.loads(server.watched.shown.scene)["title"] == "typed"
    assert "typed" not in file.read_text(encoding="utf-8")
    question = {"base": state["base"], "revision": state["revision"]}
    assert _ask(server, f"/{server.secret}/make", {"what": "sheet"})[0] == 409  # of the file, which lacks it
    assert _ask(server, f"/{server.secret}/save", question)[0] == 200
    assert 'title = "typed"' in file.read_text(encoding="utf-8")
    assert _ask(server, f"/{server.secret}/save", question)[0] == 409


@pytest.mark.parametrize("path", ["edit", "save", "onto_file", "make"])
def test_nothing_is_changed_without_the_secret_or_from_elsewhere(
    server: LiveServer, file: Path, path: str
) -> None:
    before = {one: one.read_bytes() for one in file.parent.iterdir() if one.is_file()}
    question = _typed(server, what="sheet")
    assert _ask(server, f"/wrong/{path}", question)[0] == 404
    assert _ask(server, f"/{server.secret}/{path}", question, {"Origin": "http://example.org"})[0] == 404
    assert _ask(server, f"/{server.secret}/{path}", question, {"Host": "example.org"})[0] == 404
    assert _ask(server, f"/{server.secret}/{path}", question, {"Content-Type": "text/plain"})[0] == 404
    assert _ask(server, f"/{server.secret}/begin", question)[0] == 404  # there is a setup
    assert not server.unsaved
    assert {one: one.read_bytes() for one in file.parent.iterdir() if one.is_file()} == before


@pytest.mark.parametrize(
    ("body", "status", "said"),
    [
        ({"edits": []}, 409, "since this form was filled in"),
        ({"base": "x", "revision": 0, "edits": []}, 409, "since this form was filled in"),
    ],
)
def test_a_change_of_what_was_not_seen_is_refused(
    server: LiveServer, body: Any, status: int, said: str
) -> None:
    found, text, _ = _ask(server, f"/{server.secret}/edit", body)
    assert (found, said in json.loads(text)["mistake"]) == (status, True)


def test_what_is_made_stands_beside_the_file_and_over_nothing(server: LiveServer, file: Path) -> None:
    address = f"/{server.secret}/make"
    sheet = file.with_name(f"{file.stem}-sheet.pdf")
    sheet.write_text("mine", encoding="utf-8")
    status, body, _ = _ask(server, address, {"what": "sheet"})
    assert (status, json.loads(body)["there"], sheet.read_text("utf-8")) == (409, [sheet.name], "mine")
    status, body, _ = _ask(server, address, {"what": "sheet", "over": [sheet.name]})
    assert (status, json.loads(body)) == (200, {"names": [sheet.name]})
    assert sheet.read_text("utf-8") == f"sheet of {file.name}"
    assert _ask(server, address, {"what": "sheet"})[0] == 200  # its own, which it wrote before
    sheet.write_text("changed by hand", encoding="utf-8")
    assert _ask(server, address, {"what": "sheet"})[0] == 409
    for wrong in ({"what": "../sheet"}, {"what": "program"}, {"what": "program", "chosen": "C"}):
        status, body, _ = _ask(server, address, wrong)
        assert status == 422, body
    assert _ask(server, address, {"what": "program", "chosen": "B"})[0] == 200
    assert file.with_suffix(".nc").read_text("utf-8") == f"program of {file.name} B"
