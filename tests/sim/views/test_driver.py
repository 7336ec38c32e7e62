from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from sim.base.answers import pieces_in
from sim.views import driver

LOADS = "import sys\nsys.stdout.write({!r})"
linux = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere every process tries")


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.delenv("DISPLAY", raising=False)
    return tmp_path


def loading(monkeypatch: pytest.MonkeyPatch, *files: Path) -> list[str]:
    """Let the trial be a child that loads some files; return its trials so far."""
    tried: list[str] = []
    real = driver._tried

    def counted() -> tuple[str, list[str]]:
        tried.append("tried")
        return real()

    monkeypatch.setattr(driver, "TRIAL", LOADS.format("\0".join(map(str, files))))
    monkeypatch.setattr(driver, "_tried", counted)
    return tried


def asked(folder: Path) -> str:
    with pieces_in(folder / "pages", "a page"):
        return driver.problem_of_driver()


@linux
@pytest.mark.parametrize(
    "change", ["nothing", "other text", "written again", "gone", "variable", "display", "no page"]
)
def test_a_driver_is_tried_again_once_anything_of_it_has_changed(
    cache: Path, monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    library = cache / "libdriver.so"
    library.write_text("drawn by this", encoding="utf-8")
    tried = loading(monkeypatch, Path(sys.executable), library)
    assert asked(cache) == ""
    if change == "other text":
        library.write_text("drawn by that", encoding="utf-8")
    elif change == "written again":
        (cache / "new").write_text("drawn by this", encoding="utf-8")
        (cache / "new").replace(library)
    elif change == "gone":
        library.unlink()
    elif change == "variable":
        monkeypatch.setenv("LIBGL_ALWAYS_SOFTWARE", "another value")
    elif change == "display":
        monkeypatch.setenv("DISPLAY", ":0")
    found = driver.problem_of_driver() if change == "no page" else asked(cache)
    assert found == ""
    assert len(tried) == (1 if change == "nothing" else 2)


@linux
def test_a_driver_that_could_not_draw_is_tried_each_time(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = loading(monkeypatch)
    monkeypatch.setattr(driver, "TRIAL", "import os; os.kill(os.getpid(), 11)")
    for _ in range(2):
        assert asked(cache) == "the trial ended with signal 11"
    assert len(tried) == 2


def test_what_is_no_list_of_files_is_no_driver() -> None:
    for text in ("", "[]", "7", "[7]", json.dumps([["/no/such/file", [1, 2, 3, 4, 5]]])):
        assert not driver.unchanged(text)


@linux
@pytest.mark.usefixtures("rendering")
def test_the_files_of_the_trial_are_those_that_draw() -> None:
    problem, loaded = driver._tried()
    assert problem == ""
    assert any("vtkRenderingOpenGL2" in path for path in loaded)
    assert any("libEGL" in path or "libGL" in path for path in loaded)
