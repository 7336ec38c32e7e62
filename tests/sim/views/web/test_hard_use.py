"""The page under hard use: other users of the computer, a second start, many clients, a tab left open, a long sleep."""

from __future__ import annotations

import http.client
import json
import os
import resource
import stat
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlparse
from urllib.request import url2pathname

import pytest

from sim.assessment.results import Assessment
from sim.views.web import live, server
from sim.views.web.draft import OvertakenError
from sim.views.web.live import Shown, Watched
from sim.views.web.server import HOST, LiveServer, shown_in_browser

NAME = "thin_ring_distorts"
MANY = int(os.environ.get("CHUCKSCENE_HARD", "0"))


@pytest.fixture
def file(copied: Callable[[str], Path]) -> Path:
    return copied(NAME)


@pytest.fixture
def begin(
    file: Path,
    judge_copy: Callable[..., Assessment],
    first_shown: Callable[[Assessment, int], Shown],
    monkeypatch: pytest.MonkeyPatch,
    at_work: Callable[[LiveServer], LiveServer],
) -> Callable[[], LiveServer]:
    """Start the page on the file, as often as one likes."""
    monkeypatch.setattr(live, "_shown", first_shown)
    return lambda: at_work(LiveServer(Watched(file, lambda path: judge_copy(path, "foundation"))))


def streams(made: LiveServer) -> http.client.HTTPResponse:
    link = http.client.HTTPConnection(HOST, made.port, timeout=60.0)
    link.request("GET", f"/{made.secret}/events")
    return link.getresponse()


def event(reply: http.client.HTTPResponse) -> dict[str, Any]:
    name, data, end = reply.readline(), reply.readline(), reply.readline()
    assert (name, end) == (b"event: shown\n", b"\n")
    found: dict[str, Any] = json.loads(data.removeprefix(b"data: "))
    return found


def test_the_secret_stands_on_no_command_line_and_in_no_file_that_others_read(
    begin: Callable[[], LiveServer], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever works on the same computer sees what a browser is started with."""
    made = begin()
    given: list[str] = []

    def started(address: str) -> bool:
        given.append(address)
        return True

    monkeypatch.setattr("webbrowser.open", started)
    monkeypatch.setenv("DISPLAY", ":0")
    umask = os.umask(0)
    try:
        with shown_in_browser(made.address) as opened:
            assert opened
            (address,) = given
            assert made.secret not in address
            place = Path(url2pathname(urlparse(address).path))
            assert made.address in place.read_text(encoding="utf-8")
            assert not place.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO)
            assert not place.parent.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO)
    finally:
        os.umask(umask)
    assert not place.parent.exists()
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    with shown_in_browser(made.address) as opened:
        assert not opened
    assert len(given) == 1


def test_the_file_leads_a_browser_to_the_page(
    begin: Callable[[], LiveServer], new_tab: Any, tmp_path: Path
) -> None:
    made = begin()
    page = tmp_path / "page.html"
    page.write_text(server._LEADS.format(address=made.address), encoding="utf-8")
    tab = new_tab(page.as_uri(), wait=False, plain=False)
    tab.page.wait_for_url(made.address)
    assert tab.page.title() != "chuckscene" or made.secret in tab.page.url


def test_a_second_start_on_the_same_file_overwrites_nothing_that_it_has_not_seen(
    begin: Callable[[], LiveServer], file: Path
) -> None:
    one, two = begin(), begin()
    assert one.port != two.port
    assert one.secret != two.secret
    told = [made.draft.state() for made in (one, two)]
    for made, state, title in ((one, told[0], "first"), (two, told[1], "second")):
        edit = {"what": "set", "place": ["title"], "value": title}
        made.draft.edit({"base": state["base"], "revision": state["revision"], "edits": [edit]})
    for made, expected in ((one, ""), (two, "changed by somebody else")):
        state = made.draft.state()
        asked = {"base": state["base"], "revision": state["revision"]}
        if expected:
            with pytest.raises(OvertakenError, match=expected):
                made.draft.save(asked)
        else:
            made.draft.save(asked)
    assert 'title = "first"' in file.read_text(encoding="utf-8")
    assert two.outside


def test_a_hundred_clients_are_answered(begin: Callable[[], LiveServer]) -> None:
    """Each with its stream of events open, all asking at the same moment."""
    made = begin()
    clients = 100 if MANY else 40
    replies = [streams(made) for _ in range(clients)]
    stage = json.loads(made.watched.shown.scene)["stages"][1]
    asked = json.dumps({"stage": "0", **stage["values"]}).encode()
    found: list[int] = []
    together = threading.Barrier(clients)

    def ask() -> None:
        together.wait(30.0)
        link = http.client.HTTPConnection(HOST, made.port, timeout=120.0)
        link.request("POST", f"/{made.secret}/state", asked, {"Content-Type": "application/json"})
        found.append(link.getresponse().status)
        link.close()

    threads = [threading.Thread(target=ask) for _ in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [200] * clients
    for reply in replies:
        assert event(reply)["mistake"] == ""
        reply.close()


def test_a_tab_left_open_for_a_day_costs_no_memory(
    begin: Callable[[], LiveServer], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sign of life every 3 s is 28,800 a day; here they come without a pause."""
    monkeypatch.setattr(server, "HEARTBEAT", 0.0)
    for earlier in threading.enumerate():  # pages of other tests judge to their end, in this process's memory
        if "(_watch)" in earlier.name:
            earlier.join(60.0)
    made = begin()
    reply = streams(made)
    for _ in range(500):
        event(reply)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for _ in range(28_800 if MANY else 10_000):
        assert event(reply)["version"] == 1
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 4_000  # kB
    reply.close()


def test_a_stream_that_broke_while_the_computer_slept_tells_what_was_missed(
    begin: Callable[[], LiveServer], file: Path
) -> None:
    """A browser asks again by itself; the first event says how things stand, whatever came meanwhile."""
    made = begin()
    reply = streams(made)
    assert event(reply)["version"] == 1
    reply.close()
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('title = "', 'title = "Asleep. ', 1), encoding="utf-8")
    for _ in range(200):
        if made.watched.shown.version > 1:
            break
        threading.Event().wait(0.05)
    again = streams(made)
    found = event(again)
    assert found["version"] == made.watched.shown.version == 2
    again.close()
