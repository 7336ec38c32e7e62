"""When to look for no garbage: while very many objects are made that all stay, and none refers back to another."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def left_alone() -> Iterator[None]:
    """Look for no garbage meanwhile: to go through all that stays takes longer the more of it there is."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
