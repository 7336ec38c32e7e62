"""Libraries that another library loads at once, and that most runs never ask: loaded when they are first asked."""

from __future__ import annotations

import importlib
import importlib.util
import sys
from types import ModuleType
from typing import Any


class _Later(ModuleType):
    """Stands where a library would; whatever is asked of it, the library itself answers.

    Python's own way to do so (`importlib.util.LazyLoader`) loads the library at the next `import` of it.
    """

    def __getattr__(self, asked: str) -> Any:
        if sys.modules.get(self.__name__) is self:
            del sys.modules[self.__name__]
        return getattr(importlib.import_module(self.__name__), asked)


def loaded_late(name: str) -> None:
    """Let a library be loaded when something in it is first asked for; nothing happens where it is not installed."""
    if name in sys.modules:
        return
    spec = importlib.util.find_spec(name)
    if spec is None:
        return
    later = _Later(name)
    later.__spec__ = spec
    sys.modules[name] = later
