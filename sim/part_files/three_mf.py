"""Triangles out of a 3MF file (3MF core specification): a ZIP archive with one XML model, its unit and its objects."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator
from xml.etree import ElementTree

import numpy as np

from sim.base.arrays import Floats, Ints
from sim.base.limits import DEEP, INSTANCES, TAGS, TRIANGLES, UNPACKED_PART

_CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
_TO_MM = {"micron": 1e-3, "millimeter": 1.0, "centimeter": 10.0, "meter": 1000.0, "inch": 25.4, "foot": 304.8}
LARGEST_MODEL = UNPACKED_PART.most
DEEPEST, MOST_PLACED, MOST_TAGS, MOST_TRIANGLES = DEEP.most, INSTANCES.most, TAGS.most, TRIANGLES.most


def three_mf_triangles(data: bytes) -> tuple[Floats, Ints]:
    """Return corners (n, 3) in mm and triangles (m, 3) of all objects that are built.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    """
    model = _model(data)
    unit = model.get("unit", "millimeter")
    if unit not in _TO_MM:
        raise ValueError(f"must state one of {', '.join(_TO_MM)} as its unit, found '{unit[:20]}'")
    objects = {one.get("id"): one for one in model.iterfind(f"{_CORE}resources/{_CORE}object")}
    corners: list[Floats] = []
    faces: list[Ints] = []
    count = triangles = 0
    seen = [0]
    for item in model.iterfind(f"{_CORE}build/{_CORE}item"):
        for points, sides in _placed(objects, item, np.eye(4), 0, seen):
            triangles += len(sides)
            if triangles > MOST_TRIANGLES:
                raise ValueError(f"must hold at most {MOST_TRIANGLES} triangles, found more in its copies")
            faces.append(sides + count)
            corners.append(points * _TO_MM[unit])
            count += len(points)
    if not faces:
        raise ValueError("must hold the triangles of one solid, found none in what it builds")
    return np.vstack(corners), np.vstack(faces)


def _model(data: bytes) -> ElementTree.Element:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = [one for one in archive.infolist() if one.filename.lower().endswith(".model")]
            if len(names) != 1:
                raise ValueError(f"must hold one model, found {len(names)}")
            if names[0].file_size > LARGEST_MODEL:
                raise ValueError(
                    f"must unpack to under {UNPACKED_PART.size}, found {names[0].file_size} bytes"
                )
            with archive.open(names[0]) as file:  # its stated size may be a lie: read no more than the limit
                text = file.read(LARGEST_MODEL + 1)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error):
        raise ValueError(
            "must be a 3MF file (a ZIP archive with a model), found none that can be read"
        ) from None
    if len(text) > LARGEST_MODEL:
        raise ValueError(f"must unpack to under {UNPACKED_PART.size}, found more")
    if b"\0" in text:
        raise ValueError("must hold a model as XML in UTF-8, found null characters")
    if b"<!DOCTYPE" in text:
        raise ValueError("must hold a model without a DOCTYPE, found one")
    if text.count(b"<") > MOST_TAGS:
        raise ValueError(f"must hold a model of at most {MOST_TAGS} marks, found {text.count(b'<')}")
    try:
        # Whatever encoding the file claims: in another one it could hide a DOCTYPE.
        return ElementTree.fromstring(text, ElementTree.XMLParser(encoding="utf-8"))  # noqa: S314
    except ElementTree.ParseError:
        raise ValueError("must hold a model as XML, found none that can be read") from None


def _placed(
    objects: dict[str | None, ElementTree.Element],
    item: ElementTree.Element,
    before: Floats,
    depth: int,
    seen: list[int],
) -> Iterator[tuple[Floats, Ints]]:
    """Yield the meshes of an item or component, placed, in the file's unit; `seen` counts what was placed so far."""
    seen[0] += 1
    if seen[0] > MOST_PLACED:
        raise ValueError(f"must place at most {MOST_PLACED} copies of its objects, found more")
    if depth > DEEPEST:
        raise ValueError(f"must have components at most {DEEPEST} deep, found more")
    found = objects.get(item.get("objectid"))
    if found is None:
        raise ValueError("must hold the objects that it builds, found one missing")
    place = _transform(item.get("transform")) @ before
    mesh = found.find(f"{_CORE}mesh")
    if mesh is not None:
        points, sides = _mesh(mesh)
        yield (
            np.column_stack([points, np.ones(len(points))]) @ place[:, :3],
            (sides[:, ::-1] if np.linalg.det(place[:3, :3]) < 0.0 else sides),
        )
    for component in found.iterfind(f"{_CORE}components/{_CORE}component"):
        yield from _placed(objects, component, place, depth + 1, seen)


def _transform(text: str | None) -> Floats:
    """Return a placement as a matrix for rows: 12 numbers, four rows of three."""
    found = np.eye(4)
    if text is not None:
        try:
            found[:, :3] = np.array([float(word) for word in text.split()]).reshape(4, 3)
        except ValueError:
            raise ValueError("must have placements of 12 numbers, found another") from None
    return found


def _mesh(mesh: ElementTree.Element) -> tuple[Floats, Ints]:
    try:
        points = np.array(
            [[float(v.attrib[k]) for k in "xyz"] for v in mesh.iterfind(f"{_CORE}vertices/{_CORE}vertex")]
        ).reshape(-1, 3)
        sides = np.array(
            [
                [int(t.attrib[k]) for k in ("v1", "v2", "v3")]
                for t in mesh.iterfind(f"{_CORE}triangles/{_CORE}triangle")
            ],
            dtype=np.int64,
        ).reshape(-1, 3)
    except (KeyError, ValueError):
        raise ValueError("must have numbers as coordinates and corners, found another") from None
    if len(sides) and not (int(sides.min()) >= 0 and int(sides.max()) < len(points)):
        raise ValueError("must have triangles between its corners, found one with a corner missing")
    return points, sides
