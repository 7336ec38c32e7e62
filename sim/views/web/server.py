"""The live page's server: on this computer only, one unguessable address, every request with its own state.

Python's own server is enough: a page asks at most one question at a time, an answer takes milliseconds, and nothing
else is served. It listens on 127.0.0.1; a request needs the secret in its path and a host name of this computer, so
that neither another machine nor a page from elsewhere in the same browser gets an answer.
"""

from __future__ import annotations

import json
import os
import secrets
import sys
import threading
import webbrowser
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from sim.base.errors import NotAvailableError
from sim.views.web.figures import StateError, answer
from sim.views.web.live import Shown, Watched

HOST = "127.0.0.1"
LARGEST_QUESTION = 10_000  # bytes
HEARTBEAT = (
    3.0  # s between two signs of life to a page, which after some without one says that it is out of date
)


def show_in_browser(address: str) -> bool:
    """Open an address in the user's browser; False where there is no screen to show one on."""
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        return False
    return webbrowser.open(address)


class LiveServer(ThreadingHTTPServer):
    """Serves one watched scenario; `address` is what a browser opens."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, watched: Watched, port: int = 0) -> None:
        """Bind to a port of this computer, a free one if it is 0.

        Raises
        ------
        NotAvailableError
            If the port cannot be had.
        """
        self.watched = watched
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

    def run(self) -> None:
        """Serve and watch until `close` is called or the user interrupts."""
        threading.Thread(target=self.watched.watch, args=(self.stop,), daemon=True).start()
        try:
            self.serve_forever(poll_interval=0.2)
        finally:
            self.stop.set()
            self.server_close()

    def close(self) -> None:
        """End `run`, from another thread."""
        self.stop.set()
        self.shutdown()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing of a browser that went away in the middle of an answer."""
        if not isinstance(sys.exception(), ConnectionError | TimeoutError):
            super().handle_error(request, client_address)


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
        shown = self.server.watched.shown
        if name == "":
            self._send(shown.page, "text/html; charset=utf-8")
        elif name == "scene":
            self._send(shown.scene, "application/json")
        elif name == "events":
            self._stream()
        else:
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")

    def do_POST(self) -> None:
        """Answer the figures of a state."""
        name = self._asked()
        if name is None:
            return
        length = self.headers.get("Content-Length", "")
        if not length.isdigit() or int(length) > LARGEST_QUESTION:
            self.close_connection = True
            self._refuse(HTTPStatus.BAD_REQUEST, f"a question must be under {LARGEST_QUESTION} bytes")
            return
        body = self.rfile.read(int(length))
        if name != "state" or self.headers.get_content_type() != "application/json":
            self._refuse(HTTPStatus.NOT_FOUND, "there is nothing at this address")
            return
        try:
            asked = json.loads(body)
        except ValueError:
            self._refuse(HTTPStatus.BAD_REQUEST, "a question must be JSON")
            return
        if not isinstance(asked, dict):
            self._refuse(HTTPStatus.BAD_REQUEST, "a question must be one JSON object")
            return
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
            message = f"this state cannot be computed ({type(error).__name__}: {error})"
            self._refuse(HTTPStatus.INTERNAL_SERVER_ERROR, message)
        else:
            self._send(content, "application/json")

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
        told = {"version": shown.version, "mistake": shown.mistake, "judging": shown.judging}
        self._event("shown", json.dumps(told))

    def _event(self, name: str, data: str) -> None:
        self.wfile.write(f"event: {name}\ndata: {data}\n\n".encode())
        self.wfile.flush()

    def _refuse(self, status: HTTPStatus, message: str) -> None:
        self._send(json.dumps({"mistake": message}).encode("utf-8"), "application/json", status)

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
