"""Work on independent things side by side; shapely and LAPACK release the interpreter while they compute."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Item = TypeVar("Item")
Result = TypeVar("Result")
FEW = 64  # parts; fewer are not worth a thread


def workers() -> int:
    """Return the number of processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def each(function: Callable[[Item], Result], items: Sequence[Item]) -> list[Result]:
    """Return the results of a function for all items, in their order."""
    if workers() == 1 or len(items) < 2:
        return [function(item) for item in items]
    with ThreadPoolExecutor(workers()) as pool:
        return list(pool.map(function, items))


def shares(count: int) -> list[NDArray[np.int64]]:
    """Return the numbers 0 .. count - 1 in as many runs as there are processors (one if they are few)."""
    return np.array_split(np.arange(count), workers() if count >= FEW else 1)
