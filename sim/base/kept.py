"""Answers kept in this process: what was worked out of the very same values is not worked out again.

Only for functions of frozen values alone that return frozen values. The key is a digest of all that the function is
given, bit by bit, so an answer can only stand in for itself: a value that differs in its last bit is another question.
Nothing goes to disk, nothing outlives the process, and errors are not kept.
"""

from __future__ import annotations

import functools
import hashlib
import pickle
import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar

_Asked = ParamSpec("_Asked")
_Answer = TypeVar("_Answer")

_LOCK = threading.Lock()
_STORES: list[OrderedDict[bytes, Any]] = []


def kept(count: int) -> Callable[[Callable[_Asked, _Answer]], Callable[_Asked, _Answer]]:
    """Return a decorator that keeps the last `count` answers of a function; it may be called from several threads."""

    def decorate(function: Callable[_Asked, _Answer]) -> Callable[_Asked, _Answer]:
        store: OrderedDict[bytes, Any] = OrderedDict()
        _STORES.append(store)

        @functools.wraps(function)
        def answer(*args: _Asked.args, **kwargs: _Asked.kwargs) -> _Answer:
            asked = pickle.dumps((args, kwargs), protocol=pickle.HIGHEST_PROTOCOL)
            key = hashlib.blake2b(asked, digest_size=32).digest()
            with _LOCK:
                if key in store:
                    store.move_to_end(key)
                    known: _Answer = store[key]
                    return known
            found = function(*args, **kwargs)
            with _LOCK:
                store[key] = found
                while len(store) > count:
                    store.popitem(last=False)
            return found

        return answer

    return decorate


def forget() -> None:
    """Drop all answers kept, as a process that begins: for tests and measurements of the work itself."""
    with _LOCK:
        for store in _STORES:
            store.clear()
