"""Parts out of files: outlines, axes, cores; the files are written here, volumes are held to closed forms.

STEP by the writer beside this file, DXF by ezdxf, STL, OBJ and GLB by trimesh, 3MF by hand (its core specification).
"""

from __future__ import annotations

import io
import itertools
import math
import struct
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from turned_step import turned_step

from meshes import sides
from meshes.boolean import difference, union
from meshes.placement import placed, translation
from meshes.revolve import volume_by_pappus
from meshes.sides import Arc
from sim.base.errors import NotAvailableError
from sim.part_files import step
from sim.part_files.part import PartShape, Reading, part_of, read_part

Outline = Sequence[tuple[float, float]]
FLANGE = ((20.0, 0.0), (40.0, 0.0), (40.0, 15.0), (60.0, 15.0), (60.0, 25.0), (20.0, 25.0))
# The same with a fillet of 5 mm, a chamfer of 2 mm and a tapered bore; a bulge is the tangent of a quarter of the turn.
BULGE = math.tan(math.pi / 8.0)
ROUNDED = (
    (20.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 10.0, -BULGE), (45.0, 15.0, 0.0), (60.0, 15.0, 0.0),
    (60.0, 23.0, 0.0), (58.0, 25.0, 0.0), (25.0, 25.0, 0.0),
)  # fmt: skip


def frustum(low: float, high: float, height: float) -> float:
    return math.pi * height * (low**2 + low * high + high**2) / 3.0


# Cylinders and frustums; the fillet is a quarter square less a quarter circle, its centroid from its corner at
# r (1 - 2 / 3 (4 - pi)) from the centre's side: r (10 - 3 pi) / (12 - 3 pi) beyond the corner's sides (Pappus).
FILLET = (
    (1.0 - math.pi / 4.0)
    * 25.0
    * 2.0
    * math.pi
    * (40.0 + 5.0 * (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi))
)
ROUNDED_VOLUME = (
    math.pi * 40.0**2 * 15.0
    + FILLET
    + math.pi * 60.0**2 * 8.0
    + frustum(60.0, 58.0, 2.0)
    - frustum(20.0, 25.0, 25.0)
)


def turned(outline: Outline, sides: int = 256) -> trimesh.Trimesh:
    """Corners on the true circles, as programs write them; along the axis each edge of the outline in one piece."""
    found = trimesh.creation.revolve(np.array([*outline, outline[0]]), sections=sides)
    found.merge_vertices()
    if found.volume < 0.0:
        found.invert()
    return found


def exported(solid: trimesh.Trimesh, kind: str, scale: float = 1.0) -> bytes:
    scaled = trimesh.Trimesh(np.asarray(solid.vertices) * scale, solid.faces, process=False)
    data = scaled.export(file_type=kind)
    return data.encode() if isinstance(data, str) else bytes(data)


def three_mf(solid: trimesh.Trimesh, unit: str, transform: str = "", head: str = "") -> bytes:
    corners = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in solid.vertices.tolist())
    sides = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in solid.faces.tolist())
    place = f' transform="{transform}"' if transform else ""
    model = (
        f'<?xml version="1.0"?>{head}<model unit="{unit}" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
        f'<resources><object id="1" type="model"><mesh><vertices>{corners}</vertices>'
        f'<triangles>{sides}</triangles></mesh></object></resources><build><item objectid="1"{place}/></build></model>'
    )
    found = io.BytesIO()
    with zipfile.ZipFile(found, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", model)
    return found.getvalue()


def volume(shape: PartShape | Outline) -> float:
    """Of a full turn by Green's theorem: 2 pi times the integral of r over the half section, edge by edge."""
    corners = shape.outline if isinstance(shape, PartShape) else shape
    total = 0.0
    for (r0, z0), (r1, z1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        total += (z1 - z0) * (r0**2 + r0 * r1 + r1**2) / 3.0
    return abs(math.pi * total)


def off(found: PartShape, outline: Outline) -> float:
    return float(
        shapely.hausdorff_distance(
            shapely.Polygon(found.outline).exterior, shapely.Polygon(outline).exterior, 0.01
        )
    )


@pytest.mark.parametrize("unit", ["mm", "in", "m"])
def test_a_turned_flange_from_a_step_file(unit: str) -> None:
    """The file says its unit; the pose is drawn, and the volume is the closed form's."""
    scale = {"mm": 1.0, "in": 1.0 / 25.4, "m": 1e-3}[unit]
    section = [(r * scale, z * scale, bulge) for r, z, bulge in ROUNDED]
    data = turned_step(
        [section], unit=unit, origin=(13.0 * scale, -7.0 * scale, 2.0 * scale), axis=(1.0, 2.0, 3.0)
    )
    found = part_of(data, "step", Reading("low"))
    assert found.surface is None
    assert volume(found) == pytest.approx(ROUNDED_VOLUME, rel=6e-5)
    assert found.deviation < 0.006
    corners = [(r, z) for r, z, bulge in ROUNDED]
    for r, z in corners:
        assert min(math.dist((r, z), one) for one in found.outline) < 2e-4
    assert "found" in found.axis


def test_the_other_end_faces_the_chuck() -> None:
    low, high = (
        part_of(exported(turned(FLANGE), "stl"), "stl", Reading(end, "mm")) for end in ("low", "high")
    )
    mirrored = [(r, 25.0 - z) for r, z in low.outline]
    assert off(high, mirrored) < 1e-4
    assert min(z for _, z in high.outline) == 0.0


def test_the_face_on_the_jaws_may_stand_back_from_the_end() -> None:
    found = part_of(exported(turned(FLANGE), "stl"), "stl", Reading("low", "mm", back_face=15.0))
    assert off(found, [(r, z - 15.0) for r, z in FLANGE]) < 1e-4


@pytest.mark.parametrize(
    ("kind", "unit", "scale"),
    [("stl", "mm", 1.0), ("stl", "in", 1.0 / 25.4), ("obj", "cm", 0.1), ("glb", "m", 1e-3)],
)
def test_a_flange_from_triangles(kind: str, unit: str, scale: float) -> None:
    solid = turned(FLANGE)
    solid.apply_transform(trimesh.transformations.rotation_matrix(0.7, (0.3, 1.0, 0.2), (5.0, 0.0, 9.0)))
    found = part_of(exported(solid, kind, scale), kind, Reading("low", unit))
    assert found.surface is None
    ends = (FLANGE, [(r, 25.0 - z) for r, z in FLANGE])  # which end is low hangs on the pose
    assert min(off(found, one) for one in ends) < 2e-3
    # Chords of 256 to a turn stand r (1 - cos(pi / 256)) inside of a circle.
    assert found.deviation == pytest.approx(60.0 * (1.0 - math.cos(math.pi / 256.0)), abs=2e-3)


@pytest.mark.parametrize(("unit", "scale"), [("millimeter", 1.0), ("inch", 1.0 / 25.4), ("micron", 1000.0)])
def test_a_flange_from_3mf_says_its_unit(unit: str, scale: float) -> None:
    solid = turned([(r * scale, z * scale) for r, z in FLANGE])
    moved = f"1 0 0 0 1 0 0 0 1 {3.0 * scale} {4.0 * scale} {5.0 * scale}"
    found = part_of(three_mf(solid, unit, moved), "3mf", Reading("low"))
    assert off(found, FLANGE) < 1e-4


def dxf(corners: Sequence[tuple[float, float, float]], header: int = 4) -> bytes:
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = header
    drawing.modelspace().add_lwpolyline(corners, format="xyb", close=True)
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode()


def test_a_half_section_from_a_drawing() -> None:
    """The spindle lies to the right of the drawing, 100 mm up; the arc is in chords that leave it by 6 um at most."""
    section = [(z, 100.0 + r, -bulge) for r, z, bulge in ROUNDED]
    found = part_of(dxf(section), "dxf", Reading("low", "mm", "x", axis_at=100.0))
    assert volume(found) == pytest.approx(ROUNDED_VOLUME, rel=6e-5)
    below = [(z, 100.0 - r, bulge) for r, z, bulge in ROUNDED]
    again = part_of(dxf(below), "dxf", Reading("low", "mm", "x", axis_at=100.0))
    assert volume(again) == pytest.approx(ROUNDED_VOLUME, rel=6e-5)
    upright = [(r, z, bulge) for r, z, bulge in ROUNDED]
    assert volume(part_of(dxf(upright), "dxf", Reading("high", "mm", "y"))) == pytest.approx(
        ROUNDED_VOLUME, rel=6e-5
    )


def lugged() -> trimesh.Trimesh:
    """A flange of 128 sides with one lug, 12 x 20 x 8 mm beyond it, and one hole of 8 mm off its axis."""
    hole = placed(trimesh.creation.cylinder(4.0, 60.0, sections=64), translation(50.0, 0.0, 10.0))
    lug = placed(trimesh.creation.box((20.0, 20.0, 8.0)), translation(-62.0, 0.0, 20.0))
    return union([difference(turned(FLANGE, 128), [hole]), lug])


def test_a_part_with_a_lug_and_a_hole_keeps_its_solid_and_its_turned_core() -> None:
    solid = lugged()
    whole = float(solid.volume)
    solid.apply_transform(trimesh.transformations.rotation_matrix(0.4, (1.0, 0.2, 0.1), (5.0, 0.0, 9.0)))
    found = part_of(exported(solid, "stl"), "stl", Reading("low", "mm"))
    assert found.surface is not None
    assert found.surface.mesh().volume == pytest.approx(whole, rel=1e-5)
    ends = (FLANGE, [(r, 25.0 - z) for r, z in FLANGE])
    sag = 60.0 * (1.0 - math.cos(math.pi / 128.0))
    assert min(off(found, one) for one in ends) < sag + 0.01


def test_a_hexagon_is_no_round_bar() -> None:
    bar = trimesh.creation.cylinder(20.0, 50.0, sections=6)
    found = part_of(exported(bar, "stl"), "stl", Reading("low", "mm", axis="z"))
    assert found.surface is not None
    widest = max(r for r, _ in found.outline)
    assert 20.0 * math.cos(math.pi / 6.0) < widest < 20.0


@pytest.mark.parametrize("sides", [12, 32])
def test_chords_count_against_the_tolerance(sides: int) -> None:
    data = exported(turned(FLANGE, sides), "stl")
    sag = 60.0 * (1.0 - math.cos(math.pi / sides))
    assert part_of(data, "stl", Reading("low", "mm", tolerance=1.01 * sag)).surface is None
    assert part_of(data, "stl", Reading("low", "mm", tolerance=0.99 * sag)).surface is not None


def test_an_axis_that_is_not_there_is_asked_for() -> None:
    for solid in (trimesh.creation.box((30.0, 40.0, 50.0)), trimesh.creation.icosphere(4, 20.0)):
        with pytest.raises(ValueError, match="state axis"):
            part_of(exported(solid, "stl"), "stl", Reading("low", "mm"))


def stl(solid: trimesh.Trimesh | None = None) -> Callable[[], bytes]:
    return lambda: exported(turned(FLANGE) if solid is None else solid, "stl")


def drawing(header: int = 4) -> Callable[[], bytes]:
    return lambda: dxf([(z, r, -b) for r, z, b in ROUNDED], header)


def hollow() -> trimesh.Trimesh:
    return trimesh.util.concatenate([trimesh.creation.icosphere(2, 20.0), trimesh.creation.icosphere(2, 9.0)])


SPLIT = [ROUNDED, [(r, z + 50.0, bulge) for r, z, bulge in ROUNDED]]
BOTH_SIDES = [(0, -9, 0), (30, -9, 0), (30, 10, 0), (0, 10, 0)]


def other_corners(how: str) -> Callable[[], bytes]:
    """A GLB as a flipped bit leaves it: a triangle of no corner, corners of one number, or far off."""

    def made() -> bytes:
        solid = turned(FLANGE)
        if how == "far":
            solid.apply_translation((0.0, 0.0, 1e9))
        data = exported(solid, "glb")
        length = int.from_bytes(data[12:16], "little")
        head, rest = data[20 : 20 + length], data[20 + length :]
        if how == "named":
            faces = np.asarray(solid.faces, dtype=np.uint32).tobytes()
            assert faces in rest
            rest = rest.replace(faces, (10**6).to_bytes(4, "little") + faces[4:])
        elif how == "short":
            assert b'"type":"VEC3"' in head
            head = head.replace(b'"type":"VEC3"', b'"type":"SCALAR"')
        head = head + b" " * (-len(head) % 4)
        whole = 12 + 8 + len(head) + len(rest)
        return (
            data[:8]
            + whole.to_bytes(4, "little")
            + len(head).to_bytes(4, "little")
            + data[16:20]
            + head
            + rest
        )

    return made


MM, LETTER = Reading("low", "mm"), b"a letter to somebody"
BROKEN: dict[str, tuple[str, Callable[[], bytes], Reading, str]] = {
    "empty": ("stl", lambda: b"", MM, "empty"),
    "blank": ("step", lambda: b" \n", Reading("low"), "empty"),
    "words": ("stl", lambda: LETTER, MM, "none that can be read"),
    "words as STEP": ("step", lambda: LETTER, Reading("low"), "ISO-10303-21"),
    "words as OBJ": ("obj", lambda: LETTER, MM, "none that can be read"),
    "words as GLB": ("glb", lambda: b"glTF and no more", MM, "none that can be read"),
    "words as 3MF": ("3mf", lambda: b"PK and no more", Reading("low"), "3MF file"),
    "words as DXF": ("dxf", lambda: LETTER, Reading("low", "mm", "x"), "DXF file"),
    "half a STEP": ("step", lambda: turned_step([ROUNDED])[:6000], Reading("low"), "one solid"),
    "two solids": ("step", lambda: turned_step(SPLIT), Reading("low"), "2 closed"),
    "a hollow": ("stl", lambda: exported(hollow(), "stl"), MM, "hollows"),
    "open": ("stl", stl(trimesh.Trimesh(turned(FLANGE).vertices, turned(FLANGE).faces[1:])), MM, "gaps"),
    "no unit": ("stl", stl(), Reading("low"), "unit must be stated"),
    "two units": ("step", lambda: turned_step([ROUNDED]), MM, "unit must be left out"),
    "too large": ("stl", stl(), Reading("low", "m"), "is the unit right"),
    "other unit of a drawing": ("dxf", drawing(1), Reading("low", "mm", "x"), "drawn in in"),
    "a drawing without axis": ("dxf", drawing(), MM, "axis must be stated"),
    "both sides": ("dxf", lambda: dxf(BOTH_SIDES), Reading("low", "mm", "x"), "on both"),
    "entities": ("3mf", lambda: three_mf(turned(FLANGE), "inch", head="<!DOCTYPE a>"), Reading("low"), "DOCTYPE"),
    "an unknown unit": ("3mf", lambda: three_mf(turned(FLANGE), "span"), Reading("low"), "'span'"),
    "a corner that is not there": ("glb", other_corners("named"), MM, "of a corner that it has not"),
    "corners of one number": ("glb", other_corners("short"), MM, "none that can be read"),
    "far away": ("glb", other_corners("far"), MM, "within 1e.06 mm of its origin"),
    "a layer of a solid": ("stl", stl(), Reading("low", "mm", layer="0"), "DXF"),
    "not a number": (
        "stl", lambda: bytes(80) + struct.pack("<I12fH", 1, *[math.nan] * 12, 0), MM, "finite|none that can be read"
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_file_is_one_sentence(case: str) -> None:
    kind, data, reading, words = BROKEN[case]
    with pytest.raises(ValueError, match=words) as told:
        part_of(data(), kind, reading)
    assert "\n" not in str(told.value)


def test_what_is_too_large_is_not_read(tmp_path: Path) -> None:
    large = tmp_path / "large.stl"
    with large.open("wb") as file:
        file.truncate(3_000_000_000)  # a hole in the disk: nothing is written
    with pytest.raises(ValueError, match="under 50 MB, found 3000000000 bytes"):
        read_part(large, Reading("low", "mm"))
    with pytest.raises(ValueError, match="cannot be read"):
        read_part(tmp_path / "none.stl", Reading("low", "mm"))
    with pytest.raises(ValueError, match=r"one of \.step"):
        read_part(tmp_path / "part.prt", Reading("low", "mm"))


@pytest.mark.parametrize("chuck_end", ["low", "high"])
@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_an_arc_of_a_drawing_stays_an_arc(axis: str, side: float, chuck_end: Any) -> None:
    """However it lies: its radius, its centre over the flange as the part frame has it, and the part's whole volume."""
    flat = [(side * r, z, -side * b) for r, z, b in ROUNDED]
    corners = [(x, y, -b) for x, y, b in flat] if axis == "y" else [(y, x, b) for x, y, b in flat]
    shape = part_of(dxf(corners), "dxf", Reading(chuck_end, "mm", axis))
    (arc,) = (one for one in shape.sides if isinstance(one, Arc))
    assert arc.radius == pytest.approx(5.0)
    assert arc.centre == pytest.approx((45.0, 10.0 if chuck_end == "low" else 15.0))
    assert len(shape.sides) == len(ROUNDED)
    assert sides.volume(shape.sides) == pytest.approx(ROUNDED_VOLUME, rel=1e-9)
    assert volume_by_pappus(shape.outline) == pytest.approx(ROUNDED_VOLUME, rel=1e-9)


def test_a_reader_that_hangs_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    child = tmp_path / "child.py"
    child.write_text("import time\ntime.sleep(60)\n", encoding="utf-8")
    monkeypatch.setattr(step, "_CHILD", child)
    monkeypatch.setattr(step, "LONGEST", 0.3)
    with pytest.raises(ValueError, match="takes longer"):
        step.step_triangles(turned_step([ROUNDED]))


def test_a_reader_that_is_not_there_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step.importlib.util, "find_spec", lambda _: None)
    with pytest.raises(NotAvailableError, match="pip install"):
        step.step_triangles(turned_step([ROUNDED]))


@st.composite
def outlines(draw: Any) -> list[tuple[float, float]]:
    """A stepped and tapered outside over a bore, or over none."""
    size = st.floats(0.5, 30.0)
    heights = np.cumsum([0.0, *draw(st.lists(size, min_size=1, max_size=5))]).tolist()
    bore = draw(st.one_of(st.just(0.0), st.floats(2.0, 20.0)))
    steps = [(bore + draw(size), bore + draw(size)) for _ in heights[1:]]
    found = [(bore, 0.0)]
    for (low, high), (r0, r1) in zip(itertools.pairwise(heights), steps, strict=True):
        found += [(r0, low), (r1, high)]
    found.append((bore, heights[-1]))
    return [p for n, p in enumerate(found) if n == 0 or p != found[n - 1]]


@settings(max_examples=10, deadline=None)
@given(outlines(), st.integers(64, 90), st.tuples(*[st.floats(-1.0, 1.0)] * 3), st.floats(0.1, 3.0))
def test_what_is_revolved_is_recognised_again(
    outline: list[tuple[float, float]], sides: int, axis: tuple[float, float, float], angle: float
) -> None:
    solid = turned(outline, sides)
    direction = (axis[0], axis[1], axis[2] + 1.5)
    turn = trimesh.transformations.rotation_matrix(angle, direction, (3.0, -20.0, 8.0))
    solid.apply_transform(turn)
    sag = max(r for r, _ in outline) * (1.0 - math.cos(math.pi / sides))
    up = turn[:3, 2]
    ends = "low" if up[np.abs(up).argmax()] > 0.0 else "high"
    shape = part_of(exported(solid, "stl"), "stl", Reading(ends, "mm", tolerance=sag + 0.02))
    assert off(shape, outline) < 0.02
    assert volume(shape) == pytest.approx(volume(outline), rel=2e-3)
