"""The live page's server: on this computer only, one unguessable address, every request with its own state.

Python's own server is enough: a page asks at most one question at a time, an answer takes milliseconds, and nothing
else is served. It listens on 127.0.0.1; a request needs the secret in its path and a host name of this computer, so
that neither another machine nor a page from elsewhere in the same browser gets an answer.
"""

from __future__ import annotations

import contextlib
import html
import json
import os
import secrets
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator, Sequence
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from sim.base.beside import working_folder
from sim.base.errors import ChuckSceneError, NotAvailableError
from sim.base.printable import printable
from sim.setup.loading import load
from sim.views.web.begin import Begin, UnansweredError
from sim.views.web.draft import Draft, OvertakenError
from sim.views.web.figures import StateError, answer
from sim.views.web.form import form
from sim.views.web.live import Shown, Watched
from sim.views.web.making import Maker, Stamp, ThereError, made
from sim.views.web.mending import Mending

HOST = "127.0.0.1"
_LEADS = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>chuckscene</title><meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={address}"></head>
<body><p><a href="{address}">The page of the setup</a></p></body></html>
"""
WAITING_ROOM = 128  # connections that may come at the same moment
LARGEST_QUESTION = 10_000  # bytes
LARGEST_EDIT = 1_000_000  # bytes
WAITING = 0.1  # s between two looks whether a scenario has been begun
HEARTBEAT = (
    3.0  # s between two signs of life to a page, which after some without one says that it is out of date
)


@contextlib.contextmanager
def shown_in_browser(address: str) -> Iterator[bool]:
    """Open an address in the user's browser; False where there is no screen to show one on.

    Whoever works on this computer sees what programs are started with, and the address holds the secret: so the browser
    is given a file that leads there, in a folder that its owner alone can read, until the end.
    """
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        yield False
        return
    with working_folder() as folder:
        page = folder / "page.html"
        page.touch(0o600)
        page.write_text(_LEADS.format(address=html.escape(address)), encoding="utf-8")
        yield webbrowser.open(page.as_uri())


class LiveServer(ThreadingHTTPServer):
    """Serves one watched scenario, or the questions or forms that lead to one; `address` is what a browser opens."""

    daemon_threads = True
    allow_reuse_address = True
    request_queue_size = WAITING_ROOM

    def __init__(
        self,
        shows: Watched | Begin | Mending,
        port: int = 0,
        makers: Sequence[Maker] = (),
        report: Callable[[BaseException], str] = lambda _: "",
    ) -> None:
        """Bind to a port of this computer, a free one if it is 0.

        Parameters
        ----------
        shows : Watched, Begin or Mending
        port : int
        makers : sequence of Maker
            What else can be written of the setup, when a page asks for it.
        report : callable
            Keeps a mistake of the program itself and returns words that say where.

        Raises
        ------
        NotAvailableError
            If the port cannot be had.
        """
        self.begin = shows if isinstance(shows, Begin) else None
        self.mending = shows if isinstance(shows, Mending) else None
        self.makers = tuple(makers)
        self.report = report
        self.making = threading.Lock()
        self.written: dict[str, Stamp] = {}
        self._watched: Watched | None = None
        self._draft: Draft | None = None
        if isinstance(shows, Watched):
            self.show(shows)
        self.secret = secrets.token_urlsafe(24)
        self.stop = threading.Event()
        try:
            super().__init__((HOST, port), _Handler)
        except OSError as error:
            raise NotAvailableError(
                f"port {port} of this computer cannot be used ({error.strerror}); choose another one with --port"
            ) from None

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.server_address[1])

    @property
    def address(self) -> str:
        """The address of the page."""
        return f"http://{HOST}:{self.port}/{self.secret}/"

    @property
    def watched(self) -> Watched:
        """The scenario that it serves."""
        if self._watched is None:
            raise RuntimeError("no scenario has been begun")
        return self._watched

    @property
    def shows(self) -> bool:
        """Whether there is a scenario yet."""
        return self._watched is not None

    @property
    def draft(self) -> Draft:
        """What is typed and not saved."""
        if self._draft is None:
            self._draft = Draft(self.mending if self.mending and not self.shows else self.watched)
        return self._draft

    @property
    def unsaved(self) -> bool:
        """Whether something was typed that is not saved."""
        return self._draft is not None and self._draft.unsaved

    @property
    def outside(self) -> bool:
        """Whether the file has been changed by somebody else since something was typed."""
        return self._draft is not None and self._draft.outside

    def show(self, watched: Watched) -> None:
        """Serve a scenario from now on."""
        self._draft = None
        self._watched = watched

    def run(self) -> None:
        """Serve and watch until `close` is called or the user interrupts."""
        threading.Thread(target=self._watch, daemon=True).start()
        try:
            self.serve_forever(poll_interval=0.2)
        finally:
            self.stop.set()
            self.server_close()

    def _watch(self) -> None:
        while not self.shows:
            if self.stop.wait(WAITING):
                return
        self.watched.watch(self.stop)

    def close(self) -> None:
        """End `run`, from another thread."""
        self.stop.set()
        self.shutdown()

    def handle_error(self, request: Any, client_address: Any) -> None:  # noqa: ARG002  (their names are given)
        """Say in a sentence what went wrong, and nothing of a browser that went away in the middle of an answer."""
        if not isinstance(sys.exception(), ConnectionError | TimeoutError):
            error = sys.exception() or RuntimeError("no error")
            words = f"internal error: a page was not answered ({_told(error, self.report(error))})"
            sys.stderr.write(printable(words) + "\n")


def _told(error: BaseException, report: str) -> str:
    """Return what a mistake of the program is, and what is said of its report."""
    what = f"{type(error).__name__}: {error}"
    return f"{what}; {report}" if report else what


class _Handler(BaseHTTPRequestHandler):
    """Answers the page, its questions and its wish to hear of changes."""

    protocol_version = "HTTP/1.1"
    server: LiveServer
    timeout = 120.0
    # Head and body in one packet, sent at once: else the browser waits 40 ms for the second to acknowledge the first.
    wbufsize = 1 << 16
    disable_nagle_algorithm = True

    def do_GET(self) -> None:
        """Answer the page, its data, or a stream of changes."""
        name = self._asked()
        if name is None:
            return
        if not self.server.shows:
            self._begin_page(name)
            return
        shown = self.server.watched.shown
        if name == "":
            self._send(shown.page, "text/html; charset=utf-8")
        elif name == "scene":
            self._send(shown.scene, "application/json")
        elif name == "form":
            self._send_object({**form(), "makers": [maker.told for maker in self.server.makers]})
        elif name == "draft":
            self._answer(lambda _: self.server.draft.state(), {})
        elif name == "events":
            self._stream()
        else:
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")

    def do_POST(self) -> None:
        """Answer the figures of a state, take over what is typed, write what is asked for."""
        name = self._asked()
        if name is None:
            return
        most = LARGEST_QUESTION if name == "state" else LARGEST_EDIT
        length = self.headers.get("Content-Length", "")
        if not length.isdigit() or int(length) > most:
            self.close_connection = True
            self._refuse(HTTPStatus.BAD_REQUEST, f"a question must be under {most} bytes")
            return
        body = self.rfile.read(int(length))
        if name not in self._answers() or self.headers.get_content_type() != "application/json":
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")
            return
        try:
            asked = json.loads(body)
        except (ValueError, RecursionError):
            self._refuse(HTTPStatus.BAD_REQUEST, "a question must be JSON")
            return
        if not isinstance(asked, dict):
            self._refuse(HTTPStatus.BAD_REQUEST, "a question must be one JSON object")
            return
        self._answers()[name](asked)

    def _answers(self) -> dict[str, Callable[[dict[str, Any]], None]]:
        """Return what answers a question, by its name."""
        typed: dict[str, Callable[[dict[str, Any]], None]] = {
            "edit": lambda asked: self._answer(self.server.draft.edit, asked),
            "save": lambda asked: self._answer(self.server.draft.save, asked),
            "onto_file": lambda asked: self._answer(self.server.draft.onto_file, asked),
        }
        if self.server.mending is not None and not self.server.shows:
            return {**typed, "mended": self._mended}
        if not self.server.shows:
            return {"begin": self._begin}
        return {
            **typed,
            "state": self._state,
            "typical": lambda asked: self._answer(self._typical, asked),
            "make": lambda asked: self._answer(self._made, asked),
        }

    def _state(self, asked: dict[str, Any]) -> None:
        shown = self.server.watched.shown
        if asked.pop("version", shown.version) != shown.version:
            self._refuse(
                HTTPStatus.CONFLICT, "the file has been saved and judged anew since this page was loaded"
            )
            return
        try:
            found = {**answer(shown.ready, asked), "version": shown.version}
            content = json.dumps(found, allow_nan=False).encode("utf-8")
        except StateError as error:
            self._refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error))
        except Exception as error:  # a page must not wait for an answer that never comes
            message = f"this state cannot be computed ({_told(error, self.server.report(error))})"
            self._refuse(HTTPStatus.INTERNAL_SERVER_ERROR, message)
        else:
            self._send(content, "application/json")

    def _answer(self, ask: Callable[[dict[str, Any]], dict[str, Any]], asked: dict[str, Any]) -> None:
        """Send what a question gives, or in one sentence why it gives nothing."""
        try:
            content = json.dumps(ask(asked), allow_nan=False).encode("utf-8")
        except OvertakenError as error:
            self._refuse(HTTPStatus.CONFLICT, str(error))
        except ThereError as error:
            self._refuse(HTTPStatus.CONFLICT, str(error), there=error.names)
        except UnansweredError as error:
            self._refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error), fields=error.fields)
        except ChuckSceneError as error:
            self._refuse(HTTPStatus.UNPROCESSABLE_ENTITY, str(error))
        except Exception as error:  # a page must not wait for an answer that never comes
            message = f"this cannot be done ({_told(error, self.server.report(error))})"
            self._refuse(HTTPStatus.INTERNAL_SERVER_ERROR, message)
        else:
            self._send(content, "application/json")

    def _made(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Write what is asked for of the file as it is saved, one at a time."""
        server = self.server
        if server.unsaved:
            raise OvertakenError(
                "there are changes that are not saved: save them first, what is made is of the file"
            )
        with server.making:
            written = made(server.makers, server.watched.file, asked, server.written)
            server.written |= written
        return {"names": list(written)}

    def _typical(self, _: dict[str, Any]) -> dict[str, Any]:
        """Weigh what nobody has read off, of the file as it is saved."""
        server = self.server
        with server.making:
            state = server.draft.state()
            if state["unsaved"]:
                raise OvertakenError(
                    "there are changes that are not saved: save them first, what is weighed is the file"
                )
            file = server.watched.file
            # The libraries of spreads take longer to load than a page to open.
            from sim.uncertainty.typical import rests_on
            from sim.views.typical import typical_table

            return {"base": state["base"], **typical_table(*rests_on(file, load(file)))}

    def _begin_page(self, name: str) -> None:
        """Answer what there is before a setup can be shown."""
        first, mending = self.server.begin or self.server.mending, self.server.mending is not None
        if name == "" and first is not None:
            self._send(first.page, "text/html; charset=utf-8")
        elif name == "form" and mending:
            self._send_object({**form(), "makers": []})
        elif name == "draft" and mending:
            self._answer(lambda _: self.server.draft.state(), {})
        else:
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")

    def _begin(self, asked: dict[str, Any]) -> None:
        """Make a first setup out of the answers, and show it from then on."""

        def answered(given: dict[str, Any]) -> dict[str, Any]:
            server = self.server
            if server.begin is None:
                raise RuntimeError("nothing was to be begun")
            with server.making:
                if server.shows:
                    raise OvertakenError("a setup has been begun in another tab")
                server.show(server.begin.begun(given))
            return {"file": server.watched.file.name}

        self._answer(answered, asked)

    def _mended(self, asked: dict[str, Any]) -> None:
        """Judge the file as it is saved, and show it from then on."""

        def answered(_: dict[str, Any]) -> dict[str, Any]:
            server = self.server
            with server.making:
                if server.mending is not None and not server.shows:
                    if server.unsaved:
                        raise OvertakenError(
                            "there are changes that are not saved: what is judged is the file"
                        )
                    server.show(server.mending.mended())
            return {"file": server.watched.file.name}

        self._answer(answered, asked)

    def _asked(self) -> str | None:
        """Return what is asked for behind the secret; None (and a refusal) for anyone who does not know it."""
        port = self.server.port
        origin = self.headers.get("Origin")
        own = {f"{HOST}:{port}", f"localhost:{port}"}
        allowed = self.headers.get("Host") in own and origin in {None, *(f"http://{o}" for o in own)}
        path = self.path.split("?")[0]
        secret, slash, name = path.removeprefix("/").partition("/")
        if not (allowed and slash and secrets.compare_digest(secret.encode(), self.server.secret.encode())):
            self.close_connection = True
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")
            return None
        return name

    def _stream(self) -> None:
        """Tell a page of changes as they come (server-sent events)."""
        self.close_connection = True
        self.send_response(HTTPStatus.OK)
        self._headers("text/event-stream")
        self.send_header("Connection", "close")
        self.end_headers()
        self.wfile.flush()
        watched = self.server.watched
        seen = watched.events
        self._tell(watched.shown)  # also what a page has missed that was loaded, or cut off, before a change
        while not self.server.stop.is_set():
            seen = watched.wait(seen, HEARTBEAT)
            self._tell(watched.shown)  # also where nothing has changed, as a sign of life

    def _tell(self, shown: Shown) -> None:
        told = {
            "version": shown.version,
            "mistake": shown.mistake,
            "judging": shown.judging,
            "revision": shown.revision,
            "outside": self.server.outside,
        }
        self._event("shown", json.dumps(told))

    def _event(self, name: str, data: str) -> None:
        self.wfile.write(f"event: {name}\ndata: {data}\n\n".encode())
        self.wfile.flush()

    def _refuse(self, status: HTTPStatus, message: str, **more: Any) -> None:
        self._send(json.dumps({"mistake": message, **more}).encode("utf-8"), "application/json", status)

    def _send_object(self, found: dict[str, Any]) -> None:
        self._send(json.dumps(found, allow_nan=False).encode("utf-8"), "application/json")

    def _send(self, content: bytes, kind: str, status: HTTPStatus = HTTPStatus.OK) -> None:
        self.send_response(status)
        self._headers(kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def _headers(self, kind: str) -> None:
        self.send_header("Content-Type", kind)
        self.send_header("Cache-Control", "no-store")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("Cross-Origin-Opener-Policy", "same-origin")

    def version_string(self) -> str:
        """Give nothing away of what serves."""
        return "chuckscene"

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002  (the name of the base class)
        """Keep the terminal quiet."""
