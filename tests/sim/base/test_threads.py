"""Threads share one heap. What glibc tells of its heaps is outside of the program (malloc_info of its malloc.h)."""

from __future__ import annotations

import platform
import subprocess
import sys
from pathlib import Path

import pytest

# Threads that are there at the same time and take more than fits into their caches.
TAKEN = """
import ctypes, sys, threading
from sim.base import threads
threads.workers = lambda: 4
both = threading.Barrier(3)
def take(_):
    both.wait()
    return [bytes(600) for _ in range(1000)]
{first}
kept = [threads.each(take, range(3)), threads.beside(lambda: 1, lambda: 2)]
libc = ctypes.CDLL(None)
libc.fopen.restype = ctypes.c_void_p
told = ctypes.c_void_p(libc.fopen(sys.argv[1].encode(), b"w"))
libc.malloc_info(0, told)
libc.fclose(told)
"""


def heaps(told: Path, first: str = "") -> int:
    command = [sys.executable, "-c", TAKEN.format(first=first), str(told)]
    subprocess.run(command, check=True, timeout=120)  # noqa: S603 - our own interpreter
    return told.read_text().count("<heap nr=")


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="no other C library gives each thread a heap")
def test_threads_share_one_heap(tmp_path: Path) -> None:
    """Else there would be several, and what is free in one is of no use to another."""
    assert heaps(tmp_path / "shared") == 1
    assert heaps(tmp_path / "own", "threads._share_one_heap = lambda: None") > 1
