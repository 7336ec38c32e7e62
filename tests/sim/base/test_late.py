"""A library loaded late: not before it is asked, then whole; one that is not there changes nothing."""

from __future__ import annotations

import importlib.util
import subprocess
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


@pytest.mark.parametrize("known", [True, False])
def test_a_module_inside_a_library_is_not_looked_for_before_its_library_asks(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    known: bool,
) -> None:
    """A library that loads it at once (`from . import`), and one that was there before and gives it when asked."""
    folder = tmp_path / "quick_to_load"
    folder.mkdir()
    asks = "def __getattr__(name):\n    import quick_to_load.slow as slow\n    return slow\n"
    (folder / "__init__.py").write_text(asks if known else "from . import slow\n", encoding="utf-8")
    (folder / "slow.py").write_text("import sys\nsys.slow_has_run = True\nanswer = 42\n", encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delattr(sys, "slow_has_run", raising=False)
    try:
        library = __import__("quick_to_load") if known else None
        loaded_late("quick_to_load.slow")
        assert library is not None or "quick_to_load" not in sys.modules
        library = __import__("quick_to_load")
        slow = library.slow
        assert not hasattr(sys, "slow_has_run")
        assert slow.answer == 42
        assert sys.slow_has_run  # type: ignore[attr-defined]
        assert library.slow is sys.modules["quick_to_load.slow"] is not slow
    finally:
        for name in ("quick_to_load", "quick_to_load.slow"):
            sys.modules.pop(name, None)


def test_a_check_loads_none_of_what_it_does_not_ask_and_still_has_it() -> None:
    code = """
from sim.commands.shared import loading
with loading():
    import sim.assessment.stages
import sys, scipy.linalg, trimesh, numpy
unasked = {"numpy.f2py.crackfortran", "scipy.optimize._linprog", "scipy.ndimage", "trimesh.voxel.base"}
assert not unasked & set(sys.modules), unasked & set(sys.modules)
assert callable(trimesh.path.polygons.enclosure_tree)
from scipy.optimize import linprog
from scipy.spatial.transform import Rotation
assert linprog([1.0], bounds=[(2.0, 3.0)]).fun == 2.0
assert Rotation.identity().magnitude() == 0.0
box = trimesh.creation.box()
assert box.voxelized(0.5).volume > 0.9
assert trimesh.nsphere.minimum_nsphere(box.vertices)[1] > 0.8
assert callable(numpy.f2py.run_main)
"""
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)  # noqa: S603
    assert ended.returncode == 0, ended.stderr


def test_what_is_not_installed_is_as_before() -> None:
    loaded_late("no_such_library_anywhere")
    assert "no_such_library_anywhere" not in sys.modules
    with pytest.raises(ImportError):
        __import__("no_such_library_anywhere")
