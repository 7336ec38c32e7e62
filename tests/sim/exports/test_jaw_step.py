"""STEP files of jaws, opened by another program: volumes by closed forms, quadrature and booleans of triangles."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from meshes import soft_jaw
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.soft_jaw import SoftJawBlank
from sim.base.arrays import Floats
from sim.base.errors import NotAvailableError
from sim.exports.jaw_faces import jaw_faces
from sim.exports.jaw_files import jaw_files, jaw_step
from sim.exports.jaw_sheets import jaw_plan
from sim.exports.step_file import step
from sim.setup.parts import build

DAY = date(2026, 1, 2)
INNER = 30.0  # mm, where the inner end stood
BLOCK = SoftJawBlank(110.0, 50.0, 60.0, 50.0, (60.0, 90.0), 13.0, 20.0, 14.0)


def written(blank: SoftJawBlank, *turned: tuple[float, Floats]) -> bytes:
    plan = jaw_plan(blank, turned)
    return step(jaw_faces(plan), plan.cells, "soft jaw", DAY)


def screw_holes(blank: SoftJawBlank) -> float:
    """Volume of the screws' holes, where nothing else is cut out of them."""
    low = blank.height - blank.counterbore_depth
    hole, bore = 0.5 * blank.hole_diameter, 0.5 * blank.counterbore_diameter
    return len(blank.screws) * math.pi * (hole**2 * low + bore**2 * blank.counterbore_depth)


def disc_in_block(radius: float) -> float:
    """Area of the block's plan within a circle about the spindle axis that cuts both of its long sides, mm2."""
    half = 0.5 * BLOCK.width

    def primitive(y: float) -> float:
        return 0.5 * (y * math.sqrt(radius**2 - y**2) + radius**2 * math.asin(y / radius))

    return primitive(half) - primitive(-half) - INNER * BLOCK.width


def test_a_blank_is_planes_and_cylinders(read_step: Callable[..., Any]) -> None:
    found = read_step(written(BLOCK))
    assert found.mesh.is_watertight
    assert {one["type"] for one in found.faces} == {"plane", "cylinder"}
    assert len(found.kinds("plane")) == 8  # six sides, two seats of screw heads
    radii = sorted({round(1000.0 * one["radius"], 9) for one in found.kinds("cylinder")})
    assert radii == [6.5, 10.0]
    wanted = BLOCK.length * BLOCK.width * BLOCK.height - screw_holes(BLOCK)
    assert found.mesh.volume == pytest.approx(wanted, rel=2e-5)


def test_a_plain_pocket_by_its_closed_form(read_step: Callable[..., Any]) -> None:
    pocket = Pocket(2.0 * 62.0, 20.0)
    found = read_step(written(BLOCK, (INNER, removed_outside((pocket,), BLOCK.height))))
    assert found.mesh.is_watertight
    wanted = BLOCK.length * BLOCK.width * BLOCK.height - screw_holes(BLOCK) - 20.0 * disc_in_block(62.0)
    assert found.mesh.volume == pytest.approx(wanted, rel=2e-5)
    (wall,) = [one for one in found.kinds("cylinder") if one["radius"] > 0.02]
    assert 1000.0 * wall["radius"] == pytest.approx(62.0, abs=1e-9)
    assert np.allclose(1000.0 * np.array(wall["origin"][:2]), (-INNER, 0.0), atol=1e-9)


def test_chamfer_and_relief_groove_by_quadrature(read_step: Callable[..., Any]) -> None:
    """Cones on the flat sides: their edges are hyperbolas, and the volume is that of discs put on each other."""
    pocket = Pocket(2.0 * 62.0, 20.0, groove_width=4.0, groove_depth=1.0, chamfer=1.5)
    content = written(BLOCK, (INNER, removed_outside((pocket,), BLOCK.height)))
    assert content.count(b"HYPERBOLA(") == 4
    found = read_step(content)
    assert found.mesh.is_watertight
    # Each cone by its tip and half angle: the groove's rises to 62 mm at 4 mm over the seat, the chamfer's from there.
    cones = sorted((1000.0 * one["apex"][2], math.degrees(one["semi_angle"])) for one in found.kinds("cone"))
    groove_tip = 44.0 + 62.0 / math.tan(math.radians(30.0))
    assert np.allclose(cones, [(58.5 - 62.0, 45.0), (groove_tip, 30.0)], atol=1e-5)
    flat = 4.0 - 1.0 / math.tan(math.radians(30.0))

    def radius(up: float) -> float:
        """Of what is turned away, so high above the seat: module docstring of meshes.pocket."""
        if up < flat:
            return 63.0
        if up < 4.0:
            return 62.0 + (4.0 - up) * math.tan(math.radians(30.0))
        return 62.0 + max(0.0, up - (20.0 - 1.5))

    turned = quad(lambda up: disc_in_block(radius(up)), 0.0, 20.0, points=(flat, 4.0, 18.5))[0]
    wanted = BLOCK.length * BLOCK.width * BLOCK.height - screw_holes(BLOCK) - turned
    assert found.mesh.volume == pytest.approx(wanted, rel=2e-5)
    # As far apart as chamfer and groove are from nothing, that a wrong sign of either is seen.
    plain = BLOCK.length * BLOCK.width * BLOCK.height - screw_holes(BLOCK) - 20.0 * disc_in_block(62.0)
    assert abs(wanted - plain) > 5e-4 * wanted


def records(content: bytes) -> dict[str, tuple[str, str]]:
    """Return the records of a STEP file by their numbers: each its entity and its text (ISO 10303-21, one a line)."""
    lines = re.findall(r"^(#\d+)=([A-Z0-9_]*)\((.*)\);$", content.decode("ascii"), re.MULTILINE)
    return {number: (entity, text) for number, entity, text in lines}


def normal_of(known: dict[str, tuple[str, str]], surface: str, at: Any) -> Any:
    """Return a surface's normal at points, by its definition in ISO 10303-42: away from an axis, along a plane's."""
    entity, text = known[surface]
    place, axis, _ = re.findall(r"#\d+", known[re.findall(r"#\d+", text)[0]][1])
    origin, up = (
        np.array([float(one) for one in re.findall(r"[-\d.E+]+", known[which][1].partition("(")[2])])
        for which in (place, axis)
    )
    if entity == "PLANE":
        return np.broadcast_to(up, at.shape)
    away = at - origin
    away = away - (away @ up)[:, None] * up
    away /= np.linalg.norm(away, axis=1)[:, None]
    if entity == "CYLINDRICAL_SURFACE":
        return away
    assert entity == "CONICAL_SURFACE"
    half = float(text.rpartition(",")[2])
    return away * math.cos(half) - up * math.sin(half)


@pytest.mark.parametrize("inside", [False, True])
def test_every_face_says_on_which_side_the_metal_is(read_step: Callable[..., Any], *, inside: bool) -> None:
    """The reader above mends a wrong sense; others need not. Its triangles, mended, show where outside is."""
    pocket = Pocket(2.0 * 62.0, 20.0, groove_width=4.0, groove_depth=1.0, chamfer=1.5)
    outline = (
        removed_inside((pocket,), BLOCK.height, 200.0) if inside else removed_outside((pocket,), BLOCK.height)
    )
    blank = replace(BLOCK, screws=(15.0,)) if inside else BLOCK
    content = written(blank, (INNER, outline))
    found = read_step(content)
    known = records(content)
    (shell,) = [text for entity, text in known.values() if entity == "CLOSED_SHELL"]
    faces = [known[one][1] for one in re.findall(r"#\d+", shell)]
    assert len(faces) == len(found.faces)
    assert found.mesh.volume > 0.0
    for number, text in enumerate(faces):
        *_, surface = re.findall(r"#\d+", text)
        ours = found.face_of_triangle == number
        stated = normal_of(known, surface, found.mesh.triangles_center[ours])
        along = np.einsum("ij,ij->i", stated, found.mesh.face_normals[ours])
        assert (along > 0.99).all() if text.endswith(".T.") else (along < -0.99).all(), text


@pytest.mark.parametrize(
    "blank",
    [
        SoftJawBlank(110.0, 60.0, 55.0, 18.0, (70.0,), 13.0, 20.0, 14.0),
        SoftJawBlank(
            90.0, soft_jaw.sector_width(90.0, 40.0, 2.0), 55.0, 40.0, (70.0,), 13.0, 20.0, 14.0, sector_angle=2.0
        ),
    ],
    ids=["pointed", "sector"],
)  # fmt: skip
def test_other_blanks_against_booleans(read_step: Callable[..., Any], blank: SoftJawBlank) -> None:
    pocket = Pocket(2.0 * 55.0, 12.0, chamfer=1.0)
    outline = removed_outside((pocket,), blank.height, 2.0 * 40.0)
    found = read_step(written(blank, (INNER, outline)))
    booleans = soft_jaw.bored(soft_jaw.mesh(blank), outline, INNER)
    assert found.mesh.is_watertight
    assert found.mesh.volume == pytest.approx(booleans.volume, rel=3e-5)
    assert np.allclose(found.mesh.bounds, booleans.bounds, atol=1e-2)


def test_bored_before_and_inside_against_booleans(read_step: Callable[..., Any]) -> None:
    earlier = 33.0, removed_outside((Pocket(2.0 * 50.0, 9.0),), BLOCK.height)
    now = INNER, removed_inside((Pocket(2.0 * 45.0, 20.0),), BLOCK.height, 200.0)
    found = read_step(written(BLOCK, earlier, now))
    booleans = soft_jaw.mesh(BLOCK)
    for inner, outline in (earlier, now):
        booleans = soft_jaw.bored(booleans, outline, inner)
    assert found.mesh.is_watertight
    assert found.mesh.volume == pytest.approx(booleans.volume, rel=3e-5)


def test_faces_of_one_surface_are_one(read_step: Callable[..., Any]) -> None:
    """What is turned below cuts nothing above: the top stays one face, the wall of a pocket too."""
    pocket = Pocket(2.0 * 62.0, 20.0, groove_width=4.0, groove_depth=1.0)
    found = read_step(written(BLOCK, (INNER, removed_outside((pocket,), BLOCK.height))))
    levels = [
        round(1000.0 * one["origin"][2], 6) for one in found.kinds("plane") if abs(one["normal"][2]) > 0.5
    ]
    assert sorted(levels) == [0.0, 40.0, 46.0, 46.0, 60.0]
    assert len([one for one in found.kinds("cylinder") if one["radius"] > 0.02]) == 2


def test_what_has_no_exact_edge_is_refused() -> None:
    through_a_counterbore = Pocket(2.0 * 82.0, 10.0, chamfer=1.0)
    with pytest.raises(NotAvailableError, match="chamfer or a relief groove runs into a screw hole"):
        written(BLOCK, (INNER, removed_outside((through_a_counterbore,), BLOCK.height)))


def test_a_jaw_from_a_model_file_is_refused(varied: Callable[..., Any], tmp_path: Path) -> None:
    parts = build(varied("cast_hub_on_ring"))
    (tmp_path / "jaw.stl").write_bytes(soft_jaw.mesh(parts.sizes.blank).export(file_type="stl"))
    model = {"soft_jaw.model": {"file": str(tmp_path / "jaw.stl"), "unit": "mm", "up": "z"}}
    modelled = build(varied("cast_hub_on_ring", model))
    with pytest.raises(NotAvailableError, match=r"soft_jaw\.model\.file"):
        jaw_step(modelled, DAY, bored=True)
    files, left_out = jaw_files(modelled, DAY)  # what can be made is made, and it is said what is not
    assert [one.name.partition(".")[2] for one in files] == ["stl", "3mf", "stl", "3mf"]
    assert [one.name for one in left_out] == ["soft-jaw-bored.step", "soft-jaw-blank.step"]


@pytest.mark.parametrize(
    "name", ["valve_bonnet_two_steps", "housing_gripped_inside", "thin_ring_in_sector_jaws"]
)
def test_shipped_jaws_are_as_their_triangles(
    varied: Callable[..., Any], read_step: Callable[..., Any], name: str
) -> None:
    parts = build(varied(name))
    found = read_step(jaw_step(parts, DAY, bored=True))
    assert found.mesh.is_watertight
    assert found.mesh.volume == pytest.approx(parts.bored.volume, rel=3e-5)
    assert np.allclose(found.mesh.center_mass, parts.bored.center_mass, atol=2e-3)
