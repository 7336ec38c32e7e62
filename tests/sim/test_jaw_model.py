"""A jaw from a model file is the same jaw: image, mass, verdicts; what is no such jaw is refused by field.

The files are written here by trimesh from the block with holes that stands in a scenario without a model.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

from meshes.boolean import difference
from meshes.placement import placed, translation
from sim import parts
from sim.assess import assess
from sim.assess.images import jaws_image
from sim.errors import ScenarioError
from sim.parts import Parts
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"
Build = Callable[..., Parts]


@pytest.fixture
def built(varied: Callable[..., Scenario]) -> Build:
    def build(path: Path | None = None, **keys: Any) -> Parts:
        changes = {} if path is None else {"soft_jaw.model": {"file": str(path), "unit": "mm", **keys}}
        return parts.build(varied(HUB, changes))

    return build


def saved(solid: trimesh.Trimesh, path: Path, scale: float = 1.0) -> Path:
    trimesh.Trimesh(np.asarray(solid.vertices) * scale, solid.faces, process=False).export(path)
    return path


@pytest.mark.parametrize(
    ("name", "unit", "scale", "up"),
    [
        ("a.stl", "mm", 1.0, "z"),
        ("A.STL", "in", 1.0 / 25.4, "z"),
        ("a.glb", "m", 1e-3, "z"),
        ("a.glb", "m", 1e-3, "y"),
    ],
)
def test_the_same_jaw_from_a_file(
    built: Build, tmp_path: Path, name: str, unit: str, scale: float, up: str
) -> None:
    """Binary STL and GLB keep coordinates in single precision: 4 micrometres at 81 mm are far more than is lost."""
    own = built()
    solid = own.blank
    if up == "y":  # as a file with y up has it: (x, z, -y)
        solid = trimesh.Trimesh(
            np.asarray(solid.vertices)[:, [0, 2, 1]] * [1.0, 1.0, -1.0], solid.faces, process=False
        )
    read = built(saved(solid, tmp_path / name, scale), unit=unit, up=up)
    assert read.bored.volume == pytest.approx(own.bored.volume, rel=1e-6)
    assert np.asarray(read.bored.center_mass) == pytest.approx(np.asarray(own.bored.center_mass), abs=1e-4)
    images = [jaws_image(one, 3.0, "bored") for one in (own, read)]
    assert shapely.hausdorff_distance(*images) < 0.01
    assert shapely.symmetric_difference(*images).area < 0.02


def test_what_the_file_shows_is_what_the_tool_meets(
    built: Build, varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    """A jaw milled down to 30 mm over its outer half leaves that room in the image, and weighs less."""
    own = built()
    cutter = placed(trimesh.creation.box((60.0, 80.0, 40.0)), translation(45.0 + 30.0, 0.0, 30.0 + 20.0))
    milled = difference(own.blank, [cutter])
    path = saved(milled, tmp_path / "milled.stl")
    read = built(path)
    image = jaws_image(read, 3.0, "bored")
    # Inner end at 45 - 3 = 42 mm; beyond 42 + 45 + a corner's way nothing stands higher than 30 mm.
    outer = shapely.intersection(image, shapely.box(np.hypot(42.0 + 45.0, 25.0) + 0.1, 0.0, 200.0, 100.0))
    assert outer.bounds[3] == pytest.approx(30.0, abs=0.01)
    assert read.bored.volume < own.bored.volume
    found = assess(
        varied(HUB, {"soft_jaw.model": {"file": str(path), "unit": "mm"}}), contact_model="foundation"
    )
    lighter, heavier = (
        found.operations[0].grip,
        assess(varied(HUB), contact_model="foundation").operations[0].grip,
    )
    assert lighter.centrifugal_moment < heavier.centrifugal_moment


def test_modelled_serrations_may_reach_below_their_plane(built: Build, tmp_path: Path) -> None:
    solid = built().blank.copy()
    vertices = np.array(solid.vertices)
    vertices[vertices[:, 2] < 1e-6, 2] = -1.5
    built(saved(trimesh.Trimesh(vertices, solid.faces, process=False), tmp_path / "teeth.stl"))


def test_what_is_no_such_jaw_is_refused(built: Build, tmp_path: Path) -> None:
    own = built().blank
    for path, keys, what in (
        (tmp_path / "none.stl", {}, "must name a model file, found none at"),
        (saved(own, tmp_path / "jaw.ply"), {}, "must be an STL or GLB file"),
        (saved(own, tmp_path / "small.stl", 1.0 / 25.4), {}, "must have its outer end at x = 81 mm"),
        (saved(own, tmp_path / "large.stl"), {"unit": "in"}, "read as in"),
        (
            saved(placed(own, translation(0.0, 5.0, 0.0)), tmp_path / "aside.stl"),
            {},
            "right side at y = -25 mm",
        ),
        (saved(own, tmp_path / "lying.stl"), {"up": "y"}, "in the jaw's frame"),
    ):
        with pytest.raises(ScenarioError, match=r"soft_jaw\.model\.file") as caught:
            built(path, **keys)
        assert what in str(caught.value)
        assert "\n" not in str(caught.value)


def test_open_and_broken_files_are_refused(built: Build, tmp_path: Path) -> None:
    own = built().blank
    holed = trimesh.Trimesh(own.vertices, np.asarray(own.faces)[1:], process=False)
    inverted = trimesh.Trimesh(own.vertices, np.asarray(own.faces)[:, ::-1], process=False)
    (tmp_path / "text.stl").write_text("no solid at all", encoding="utf-8")
    (tmp_path / "noise.glb").write_bytes(bytes(range(256)) * 9)
    (tmp_path / "empty.stl").write_bytes(b"")
    for path, what in (
        (saved(holed, tmp_path / "holed.stl"), "must be a closed surface"),
        (saved(inverted, tmp_path / "inverted.stl"), "wound outward"),
        (tmp_path / "text.stl", "none that can be read"),
        (tmp_path / "noise.glb", "none that can be read"),
        (tmp_path / "empty.stl", "none that can be read"),
    ):
        with pytest.raises(ScenarioError) as caught:
            built(path)
        assert what in str(caught.value), path.name
