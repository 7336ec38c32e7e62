"""Where a user's cache is, and that a user without a home has none."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sim.base.user_cache import user_cache
from sim.contact.cache import default_cache, store, stored


def nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    """Be a user whom the system knows no home of, as in a container that runs under any number."""
    import pwd

    def unknown(_: int) -> None:
        raise KeyError("uid not found")

    for name in ("HOME", "XDG_CACHE_HOME", "USERPROFILE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(pwd, "getpwuid", unknown)


@pytest.mark.parametrize("environment", [{}, {"XDG_CACHE_HOME": "relative"}, {"HOME": "relative"}], ids=str)
def test_a_user_without_a_home_keeps_nothing_and_is_told_no_mistake(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import numpy as np

    nobody(monkeypatch)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(tmp_path)
    assert user_cache().is_relative_to(os.devnull)
    store(default_cache(), "key", {"a": np.zeros(2)})
    assert stored(default_cache(), "key", {"a": (2,)}) is None
    assert list(tmp_path.iterdir()) == []  # no folder named ~


def test_a_home_that_is_not_there_is_asked_for_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", "/nonexistent")
    assert user_cache().is_relative_to("/nonexistent")
