"""Work on independent things side by side; shapely and LAPACK release the interpreter while they compute."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import cache
from threading import Lock
from typing import Any, TypeVar

import numpy as np
from threadpoolctl import ThreadpoolController

from sim.base.arrays import Ints

Item = TypeVar("Item")
Result = TypeVar("Result")
Other = TypeVar("Other")
_ARENAS = -8  # M_ARENA_MAX of glibc's malloc.h
FEW = 64  # parts; fewer are not worth a thread

_lock = Lock()
_running: list[object] = []  # computations that keep BLAS to one thread now
_limit: list[Any] = []  # what threadpoolctl gives back after them
_found: dict[
    int, ThreadpoolController
] = {}  # the BLAS libraries of this process, by how many modules it had loaded


def workers() -> int:
    """Return the number of processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def each(function: Callable[[Item], Result], items: Sequence[Item]) -> list[Result]:
    """Return the results of a function for all items, in their order."""
    if workers() == 1 or len(items) < 2:
        return [function(item) for item in items]
    _share_one_heap()
    with ThreadPoolExecutor(workers()) as pool:
        return list(pool.map(function, items))


def beside(one: Callable[[], Result], other: Callable[[], Other]) -> tuple[Result, Other]:
    """Return what two computations give that need nothing of each other; the second has a thread of its own."""
    if workers() == 1:
        return one(), other()
    _share_one_heap()
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(other)
        return one(), waiting.result()


@cache
def _share_one_heap() -> None:
    """Let all threads take their memory from one heap, where the C library is one that else gives each its own.

    What is free in the heap of one is of no use to another: a path of 100,000 moves kept a third more memory, and
    waited for a third more pages, than with one for all. No more waiting for each other was to be seen.
    """
    if sys.platform == "linux":
        limit = getattr(ctypes.CDLL(None), "mallopt", None)  # musl has none
        if limit is not None:
            limit(_ARENAS, 1)


def shares(count: int) -> list[Ints]:
    """Return the numbers 0 .. count - 1 in as many runs as there are processors (one if they are few)."""
    return np.array_split(np.arange(count), workers() if count >= FEW else 1)


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Keep BLAS to one thread while this lasts, whoever loaded it, and give back what was there before.

    The matrices of one setup are small: BLAS threads only wait for each other, and a check takes up to twice as long,
    beside other work far longer. The number of threads is one of the whole process, so computations side by side share
    a limit: the first sets it, the last takes it away.
    """
    this = object()
    with _lock:
        if not _running:
            _limit.append(_libraries().limit(limits=1, user_api="blas"))
        _running.append(this)
    try:
        yield
    finally:
        with _lock:
            _running.remove(this)
            if not _running:
                _limit.pop().restore_original_limits()


def _libraries() -> ThreadpoolController:
    """Return the BLAS libraries of this process, looked for again only where a module has come in since."""
    count = len(sys.modules)
    if count not in _found:
        _found.clear()
        _found[count] = ThreadpoolController()
    return _found[count]
