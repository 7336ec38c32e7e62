from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sim.assessment.results import CAUTIONS, Assessment
from sim.base.errors import NotAvailableError
from sim.scenario import View
from sim.views import driver, render
from sim.views.picture import Wanted, file_name, write_pictures


@pytest.fixture
def plainly_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw as many pixels as are kept: that more are drawn makes rims smooth, which is not in question here."""
    monkeypatch.setattr(render, "SUPERSAMPLING", 1.0)


@pytest.mark.usefixtures("rendering", "plainly_drawn")
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
        "pocket-1-first-side.png",
        "roundness-1-first-side.png",
        "shape-1-first-side.png",
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
    monkeypatch.setattr(driver, "TRIAL", "import os; os.kill(os.getpid(), 11)")
    render._trial.cache_clear()
    try:
        with pytest.raises(NotAvailableError, match=r"signal 11.*libegl1, libgl1-mesa-dri and libx11-6"):
            write_pictures(blocked, tmp_path / "out")
        assert not (tmp_path / "out").exists()
    finally:
        render._trial.cache_clear()


@pytest.mark.usefixtures("rendering", "plainly_drawn")
def test_svg_transparent_wide_and_named_views(blocked: Assessment, tmp_path: Path) -> None:
    """Only the named views and one scene, which is what this adds: the rest is written as without options."""
    view = View.model_validate({"name": "Cut open / 1", "section": "along"})
    scenario = blocked.scenario.model_copy(update={"views": (view,)})
    wanted = Wanted(width=480, svg=True, transparent=True)
    written = write_pictures(replace(blocked, scenario=scenario), tmp_path, wanted=wanted)
    names = {p.name for p in written}
    assert {
        "boring.png",
        "boring.svg",
        "section.svg",
        "view-1-cut-open-1.png",
        "view-1-cut-open-1.svg",
    } <= names
    with Image.open(tmp_path / "view-1-cut-open-1.png") as picture:
        assert picture.size == (480, wanted.size[1])
        assert picture.mode == "RGBA"
        assert picture.getextrema()[3] == (0, 255)
        assert picture.text["Title"] == "Cut open / 1"
        assert all(caution in picture.text["Description"] for caution in CAUTIONS)
    for name in names:
        if name.endswith(".png"):
            with Image.open(tmp_path / name) as picture:
                # Beside the solids, and between the jaws, the paper shows through.
                assert np.asarray(picture.convert("RGBA"))[4, 4, 3] == 0, name
        if name.endswith(".svg"):
            root = ElementTree.parse(tmp_path / name).getroot()  # noqa: S314
            assert root.tag == "{http://www.w3.org/2000/svg}svg"
    section = (tmp_path / "section.svg").read_text(encoding="utf-8")
    assert "var(--" not in section
    assert "diameter, mm" in section
