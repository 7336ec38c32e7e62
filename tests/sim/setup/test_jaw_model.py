"""A jaw from a model file is the same jaw: image, mass, verdicts; what is no such jaw is refused by field.

The files are written here by trimesh from the block with holes that stands in a scenario without a model.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh

from meshes.boolean import difference
from meshes.placement import placed, translation
from sim.assessment.images import jaws_image
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup import parts
from sim.setup.jaw_place import jaw_place
from sim.setup.jaw_solid import metal
from sim.setup.parts import Parts

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
    built: Build, varied: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment], tmp_path: Path
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
        quickly_judged(HUB).operations[0].grip,
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


def hollowed(
    outer: trimesh.Trimesh, low: tuple[float, float, float], high: tuple[float, float, float]
) -> trimesh.Trimesh:
    """Return a jaw with a box cut out of it."""
    sides = [b - a for a, b in zip(low, high, strict=True)]
    middle = [0.5 * (a + b) for a, b in zip(low, high, strict=True)]
    return difference(outer, [placed(trimesh.creation.box(sides), translation(*middle))])


def plain(scenario: Scenario) -> trimesh.Trimesh:
    """Return the stated block without holes, jaw's frame."""
    jaw = scenario.soft_jaw
    box = trimesh.creation.box((jaw.length, jaw.width, jaw.height))
    return placed(box, translation(0.5 * jaw.length, 0.0, 0.5 * jaw.height))


@pytest.mark.parametrize(
    ("wall", "opened", "what"),
    [
        (5.0, None, "must hold one solid body, found 2 closed surfaces"),
        (12.0, None, "must hold one solid body, found 2 closed surfaces"),
        (5.0, "floor", "must hold a solid jaw, at least 60\u00a0% of the stated block's"),
        (12.0, "floor", "with at least 90\u00a0% of the stated block's base, on which it is clamped, found "),
        (5.0, "back", "must hold a solid jaw, at least 60\u00a0% of the stated block's"),
    ],
)
def test_a_closed_shell_is_no_jaw(
    built: Build, varied: Callable[..., Scenario], tmp_path: Path, wall: float, opened: str | None, what: str
) -> None:
    """Watertight, wound outward and as large as stated, and yet walls round a hollow."""
    jaw = varied(HUB).soft_jaw
    far = jaw.length + 1.0 if opened == "back" else jaw.length - wall
    low = -1.0 if opened == "floor" else wall
    shell = hollowed(
        plain(varied(HUB)),
        (wall, -0.5 * jaw.width + wall, low),
        (far, 0.5 * jaw.width - wall, jaw.height - wall),
    )
    assert shell.is_watertight
    assert shell.volume > 0.0
    with pytest.raises(ScenarioError, match=r"soft_jaw\.model\.file") as caught:
        built(saved(shell, tmp_path / "shell.stl"))
    assert what in str(caught.value)


def test_a_thin_wall_behind_the_gripping_face_is_named(
    built: Build, varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    """A slot from the side, 4 mm behind the bored face, leaves four fifths of the volume."""
    scenario = varied(HUB)
    jaw, pocket = scenario.soft_jaw, scenario.pockets[0]
    face = 0.5 * pocket.diameter - jaw_place(scenario).bored
    slotted = hollowed(
        built().blank,
        (face + 4.0, 5.0, jaw.height - pocket.depth + 2.0),
        (face + 14.0, jaw.width, jaw.height - 3.0),
    )
    with pytest.raises(
        ScenarioError, match=r"behind the gripping face before a hollow, found a wall of 4\.0 mm"
    ):
        built(saved(slotted, tmp_path / "slotted.stl"))


def test_a_thin_floor_is_named(built: Build, varied: Callable[..., Scenario], tmp_path: Path) -> None:
    jaw = varied(HUB).soft_jaw
    low = (0.6 * jaw.length, -0.5 * jaw.width - 1.0, 6.0)
    hollow = hollowed(built().blank, low, (jaw.length - 5.0, 0.5 * jaw.width + 1.0, 30.0))
    with pytest.raises(ScenarioError, match=r"on its base before a hollow, found a floor of 6\.0 mm"):
        built(saved(hollow, tmp_path / "floor.stl"))


def test_key_and_t_slots_of_a_jaw_are_no_hollows(
    built: Build, varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    """A key-way of 14 mm along the base and one of 20 mm across, 6 mm deep."""
    jaw = varied(HUB).soft_jaw
    keyed = hollowed(built().blank, (-1.0, -7.0, -1.0), (jaw.length + 1.0, 7.0, 6.0))
    keyed = hollowed(keyed, (50.0, -0.5 * jaw.width - 1.0, -1.0), (70.0, 0.5 * jaw.width + 1.0, 6.0))
    built(saved(keyed, tmp_path / "keyed.stl"))


def test_rays_find_the_metal_of_a_block_with_a_hole() -> None:
    """A box of 40 x 20 x 10 with a square hole of 6 along z: by hand."""
    box = hollowed(trimesh.creation.box((40.0, 20.0, 10.0)), (-3.0, -3.0, -9.0), (3.0, 3.0, 9.0))
    assert np.allclose(metal(box, 0, 1.0, 0.5), [(-20.0, -3.0), (3.0, 20.0)])
    assert np.allclose(metal(box, 0, 5.0, 0.5), [(-20.0, 20.0)])
    assert np.allclose(metal(box, 2, 10.0, 2.0), [(-5.0, 5.0)])
    assert metal(box, 2, 0.5, 0.4) == []
    assert metal(box, 2, 30.0, 0.0) == []


def test_a_model_opens_no_other_file(built: Build, tmp_path: Path) -> None:
    """A GLB whose triangles lie in a file of their own: it may name a device that has no end."""
    whole = trimesh.exchange.gltf.export_gltf(trimesh.Scene(built().blank))
    names = {name for name in whole if name.endswith(".bin")}
    for name in names:
        (tmp_path / name).write_bytes(whole[name])
    text = whole["model.gltf"] + b" " * (-len(whole["model.gltf"]) % 4)
    head = struct.pack("<4sIIII", b"glTF", 2, 20 + len(text), len(text), 0x4E4F534A)
    (tmp_path / "a.glb").write_bytes(head + text)
    assert names
    with pytest.raises(ScenarioError, match="must carry all its data in itself, found buffers"):
        built(tmp_path / "a.glb")


def test_a_model_without_its_screw_holes_is_named(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    own = parts.build(varied(HUB))
    jaw = own.scenario.soft_jaw
    block = placed(
        trimesh.creation.box((jaw.length, jaw.width, jaw.height)),
        translation(0.5 * jaw.length, 0.0, 0.5 * jaw.height),
    )
    missing = []
    for solid in (block, own.blank):
        model = {"file": str(saved(solid, tmp_path / "jaw.stl")), "unit": "mm"}
        found = assess(varied(HUB, {"soft_jaw.model": model}), contact_model="foundation").not_judged
        missing.append([one for one in found if "screws pass" in one.question])
    assert len(missing[0]) == 1
    assert missing[0][0].matters
    assert missing[1] == []
