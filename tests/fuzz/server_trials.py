"""Requests to the live page, cut about: nobody without the secret is answered, and the next good one always is."""

from __future__ import annotations

import atexit
import contextlib
import json
import random
import shutil
import socket
import tempfile
import threading
from functools import cache
from pathlib import Path
from typing import Any

from drawn_scenarios import FOLDER
from trials import FindingError, Kind

from sim.assessment.stages import assess
from sim.setup.loading import load
from sim.views.web.live import Watched
from sim.views.web.server import HOST, LiveServer

_WILD: tuple[Any, ...] = (
    None, True, -1, 0, 1e9, 1e308, float("nan"), float("inf"), "",
    "0", "x" * 3000, "\x00", [], [1], {}, {"a": []}, -0.5, 2**70,
)  # fmt: skip
_HELD: list[Any] = []


@cache
def server() -> LiveServer:
    """Serve one setup until the process ends; mistakes of the program are kept, not printed."""
    folder = tempfile.mkdtemp(prefix="chuckscene-fuzz-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    file = Path(folder) / "setup.toml"
    shutil.copy(FOLDER / "thin_ring_distorts.toml", file)
    mistakes: list[BaseException] = []
    watched = Watched(file, lambda path: assess(load(path), contact_model="foundation"))

    def report(error: BaseException) -> str:
        mistakes.append(error)
        return ""

    made = LiveServer(watched, report=report)
    _HELD.append(mistakes)
    threading.Thread(target=made.serve_forever, daemon=True).start()
    return made


def mistakes() -> list[BaseException]:
    """What the server took for a mistake of its own so far."""
    server()
    found: list[BaseException] = _HELD[-1]
    return found


def sent(data: bytes, *, whole: bool = True) -> bytes:
    """Send bytes and return what is answered, its beginning only where a stream begins."""
    with socket.create_connection((HOST, server().port), timeout=30.0) as link:
        with contextlib.suppress(OSError):  # also of one that has hung up
            link.sendall(data)
            if whole:
                link.shutdown(socket.SHUT_WR)
        answer = b""
        with contextlib.suppress(OSError):
            while len(answer) < 4000 and (more := link.recv(4000)):
                answer += more
        return answer


def _state(draw: random.Random) -> dict[str, Any]:
    stage = json.loads(server().watched.shown.scene)["stages"][1]
    state = {"stage": "0", **stage["values"]}
    for _ in range(draw.choice((0, 1, 2))):
        state[draw.choice([*state, "version", "x"])] = draw.choice(_WILD)
    return state


def _body(draw: random.Random, name: str) -> bytes:
    how = draw.random()
    if how < 0.15:
        return draw.randbytes(draw.randint(0, 60))
    if how < 0.25:
        return json.dumps(draw.choice(_WILD)).encode()
    if name == "state":
        return json.dumps(_state(draw)).encode()
    places = (["title"], ["chuck", "stroke"], ["operations", 0, "cuts", 9], [0], [], ["x"])
    what = draw.choice(("set", "unset", "add", "remove", "x"))
    edit = {"what": what, "place": draw.choice(places), "value": draw.choice(_WILD)}
    asked = {"base": draw.choice(("", "x", 1)), "revision": draw.choice((0, 1, None)), "edits": [edit]}
    known = server().draft.state()
    if draw.random() < 0.5:
        asked |= {"base": known["base"], "revision": known["revision"]}
    return json.dumps(asked | {"names": draw.choice(_WILD), "what": draw.choice(_WILD)}).encode()


def _tried(draw: random.Random) -> str:
    made = server()
    knows = draw.random() < 0.7
    secret = (
        made.secret if knows else draw.choice(("", "x", made.secret[:-1], made.secret + "x", "..", "%00"))
    )
    name = draw.choice(
        ("", "scene", "form", "draft", "state", "edit", "onto_file", "make", "save", "../x", "a" * 5000)
    )
    if name == "save" and knows:
        name = "state"  # the file is the one that all inputs share
    get = name in ("", "scene", "form", "draft") or draw.random() < 0.1
    body = b"" if get else _body(draw, name)
    length = draw.choice((len(body),) * 8 + (0, -1, 10**9, "x"))
    head = {"Host": f"{HOST}:{made.port}", "Content-Type": "application/json", "Content-Length": str(length)}
    foreign = draw.random() < 0.15
    if foreign:
        head |= draw.choice(({"Host": "example.org"}, {"Origin": "http://example.org"}, {"Origin": "null"}))
    lines = [
        f"{'GET' if get else 'POST'} /{secret}/{name} HTTP/1.1",
        *(f"{key}: {value}" for key, value in head.items()),
    ]
    data = "\r\n".join([*lines, "", ""]).encode() + body
    spoilt = draw.random() < 0.2
    if spoilt:
        at = draw.randrange(len(data))
        data = data[:at] + draw.randbytes(draw.randint(0, 4)) + data[at + draw.randint(0, 3) :]
    before = len(mistakes())
    answer = sent(data)
    if len(mistakes()) > before:
        raise FindingError(f"a mistake of its own: {mistakes()[-1]!r}", repr(data))
    status = answer.split(b" ")[1:2]
    if status == [b"200"] and not spoilt and (foreign or not knows):
        raise FindingError("answers somebody who does not know the secret", repr(data))
    if status == [b"500"]:
        raise FindingError(f"an answer that says its own mistake: {answer[-600:]!r}", repr(data))
    if draw.random() < 0.02:
        good = sent(
            f"GET /{made.secret}/draft HTTP/1.1\r\nHost: {HOST}:{made.port}\r\nConnection: close\r\n\r\n".encode()
        )
        if not good.startswith(b"HTTP/1.1 200"):
            raise FindingError("does not answer the next one", repr(data))
    return "answered" if status == [b"200"] else "refused" if status else "closed"


SERVER = Kind("server", _tried, frozenset({"answered", "refused"}))
