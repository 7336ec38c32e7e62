from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from sim.assessment import Assessment
from sim.errors import NotAvailableError
from sim.views import render
from sim.views.picture import file_name, write_pictures


@pytest.mark.usefixtures("rendering")
def test_pictures_and_models_are_written(blocked: Assessment, tmp_path: Path) -> None:
    told: list[str] = []
    written = write_pictures(blocked, tmp_path / "out", told.append)
    assert [p.name for p in written] == [
        "boring.png",
        "section.png",
        "clearance-boring.png",
        "moment-section-boring.png",
        "moment-boring.png",
        "assembly-1-first-side.png",
        "assembly-1-first-side.glb",
        "pressure-1-first-side.png",
        "roundness-1-first-side.png",
        "turn-1-first-side.png",
        "soft-jaw-bored.stl",
    ]
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == sorted(p.name for p in written)
    assert len(told) == 6
    for path in written:
        assert path.stat().st_size > 5_000
        if path.suffix == ".png":
            with Image.open(path) as picture:
                assert picture.width >= 1000
                assert picture.convert("RGBA").getextrema()[3] == (255, 255)


@pytest.mark.parametrize(
    ("name", "expected"), [("first side", "1-first-side"), ("../..", "1"), ("OP 10 / Ø 118", "1-op-10-118")]
)
def test_names_of_files_hold_only_plain_letters(name: str, expected: str) -> None:
    assert file_name(name, 0) == expected


def test_without_a_driver_nothing_is_written(
    blocked: Assessment, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(render, "_TRIAL", "import os; os.kill(os.getpid(), 11)")
    render._trial.cache_clear()
    try:
        with pytest.raises(NotAvailableError, match=r"signal 11.*libegl1, libgl1-mesa-dri and libx11-6"):
            write_pictures(blocked, tmp_path / "out")
        assert not (tmp_path / "out").exists()
    finally:
        render._trial.cache_clear()
