"""Ctrl-C ends a command within two seconds, also where it is deep in a library that does not look up meanwhile.

Python tells the main thread of a signal only between two of its own steps; a call of a library may take long. The note
that the system takes of the signal is seen by a thread at once, which waits for the command to end by itself, and then
ends the process. What is written goes beside its place and is renamed, so nothing half of it is left there.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterator

STOPPED = 130  # exit status, as shells have it: 128 and the signal's number
LOOK = 0.2  # s for the thread to have seen a signal
GRACE = 1.7  # s for a command to end by itself
_said = ["stopped"]
_heard: list[threading.Event] = []
_asked: list[threading.Event] = []


def say_when_stopped(words: str) -> None:
    """State the sentence with which this process ends where Ctrl-C does not let the command say its own."""
    _said[0] = words


def words_when_stopped() -> str:
    """Return that sentence."""
    return _said[0]


def asked_to_stop() -> bool:
    """Tell whether Ctrl-C was heard: a library that is stopped while it is loaded may tell of another mistake."""
    return any(one.is_set() for one in _asked)


def handled() -> None:
    """Say that a command goes on to its end after Ctrl-C, as a page does that has something to say then."""
    for one in _heard:
        one.set()


@contextlib.contextmanager
def stopped_soon(grace: float = GRACE) -> Iterator[None]:
    """End the process after Ctrl-C where the command within does not by itself.

    Where the command has ended by itself after the signal the process ends there, too: threads of libraries that are at
    work yet would keep it from ending, or crash as Python is taken down under them.

    Parameters
    ----------
    grace : float
        s.
    """
    _said[0] = "stopped"
    if (
        threading.current_thread() is not threading.main_thread()
        or signal.getsignal(signal.SIGINT) is not signal.default_int_handler
    ):
        yield
        return
    read, write = os.pipe()
    os.set_blocking(write, False)
    before = signal.set_wakeup_fd(write, warn_on_full_buffer=False)
    ended, told = threading.Event(), threading.Event()
    _heard.append(ended)
    _asked.append(told)
    threading.Thread(target=_watch, args=(read, ended, told, grace), daemon=True).start()
    stopped = False
    try:
        yield
    except SystemExit as left:
        stopped = left.code == STOPPED
        raise
    finally:
        _heard.remove(ended)
        _asked.remove(told)
        if stopped and told.wait(LOOK):
            for stream in (sys.stdout, sys.stderr):
                with contextlib.suppress(OSError, ValueError, AttributeError):
                    stream.flush()
            os._exit(STOPPED)
        ended.set()
        signal.set_wakeup_fd(before)
        os.close(write)  # the thread reads the end


def _watch(read: int, ended: threading.Event, told: threading.Event, grace: float) -> None:
    while number := os.read(read, 1):
        if number[0] != signal.SIGINT:
            continue
        told.set()
        if not ended.wait(grace):
            with contextlib.suppress(OSError):
                os.write(2, f"{_said[0]}\n".encode())
            os._exit(STOPPED)
    os.close(read)
