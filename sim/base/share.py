"""How much of long work is done, told by what does it to whoever shows it, past functions that only compute."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from sim.base.unit_words import percent

Tell = Callable[[str], None]  # says what is being done

_Item = TypeVar("_Item")
_TOLD: ContextVar[Callable[[float], None] | None] = ContextVar("told", default=None)


@contextmanager
def shares_to(tell: Tell) -> Iterator[None]:
    """Hand shares to a function, as "38 %", until the end; to nobody in other threads."""
    token = _TOLD.set(lambda share: tell(percent(share)))
    try:
        yield
    finally:
        _TOLD.reset(token)


@contextmanager
def part_of(done: float, part: float, whole: float) -> Iterator[None]:
    """Take shares until the end as those of a part after what is done already, all three in one unit."""
    tell = _TOLD.get()
    token = _TOLD.set(None if tell is None else lambda share: tell((done + share * part) / whole))
    try:
        yield
    finally:
        _TOLD.reset(token)


def tell_share(done: float, whole: float) -> None:
    """Tell how much of a whole is done, both in one unit."""
    tell = _TOLD.get()
    if tell is not None and whole > 0:
        tell(min(1.0, max(0.0, done / whole)))


def counted(items: Sequence[_Item]) -> Iterator[_Item]:
    """Go through items and tell, as each begins, the share of those before it."""
    for number, item in enumerate(items):
        tell_share(number, len(items))
        yield item
