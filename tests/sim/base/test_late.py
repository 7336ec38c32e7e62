"""A library loaded late: not before it is asked, then whole; one that is not there changes nothing."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from sim.base.late import loaded_late


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    (tmp_path / "slow_to_load.py").write_text(
        "import sys\nsys.slow_has_run = True\ndef answer():\n    return 42\n", encoding="utf-8"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delattr(sys, "slow_has_run", raising=False)
    yield "slow_to_load"
    sys.modules.pop("slow_to_load", None)


def test_it_runs_when_something_in_it_is_asked(library: str) -> None:
    loaded_late(library)
    module = __import__(library)
    assert importlib.util.find_spec(library) is not None
    assert not hasattr(sys, "slow_has_run")
    assert module.answer() == 42
    assert sys.slow_has_run  # type: ignore[attr-defined]
    assert sys.modules[library].answer is module.answer
    with pytest.raises(AttributeError):
        _ = module.question


def test_what_is_loaded_already_stays(library: str) -> None:
    known = __import__(library)
    loaded_late(library)
    assert sys.modules[library] is known


def test_what_is_not_installed_is_as_before() -> None:
    loaded_late("no_such_library_anywhere")
    assert "no_such_library_anywhere" not in sys.modules
    with pytest.raises(ImportError):
        __import__("no_such_library_anywhere")
