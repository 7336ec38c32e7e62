"""A model file takes no more than its kind may: copies of copies, zips that unpack without end, files beside it."""

from __future__ import annotations

import io
import json
import math
import struct
import time
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
import trimesh

from sim.base.limits import INSTANCES, TRIANGLES
from sim.part_files.part import Reading, part_of

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
IN_M = Reading("low", unit="m")


def glb(told: dict[str, Any], data: bytes = b"") -> bytes:
    """A GLB of a JSON and its bytes (ISO/IEC 12113: chunks padded to 4 bytes)."""
    text = json.dumps({"asset": {"version": "2.0"}, **told}).encode()
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    body = struct.pack("<2I", len(text), 0x4E4F534A) + text + struct.pack("<2I", len(data), 0x004E4942) + data
    return struct.pack("<4s2I", b"glTF", 2, 12 + len(body)) + body


def boxed(**changes: Any) -> bytes:
    """A GLB of a box, with parts of its JSON replaced."""
    whole = trimesh.exchange.gltf.export_gltf(trimesh.Scene(trimesh.creation.box((0.1, 0.1, 0.1))))
    told = json.loads(whole["model.gltf"])
    names = [one.pop("uri") for one in told["buffers"]]
    data = b"".join(whole[name] for name in names)
    views, at = told["bufferViews"], 0
    for view in views:
        view["byteOffset"] = at + view.get("byteOffset", 0)
        at += len(whole[names[view["buffer"]]])
        view["buffer"] = 0
    told["buffers"] = [{"byteLength": len(data)}]
    return glb({**told, **changes}, data)


def chain(count: int) -> list[dict[str, Any]]:
    """Nodes each of which places the next one ten times: ten to the power of their number copies of the last."""
    return [{"children": [n + 1] * 10} for n in range(count)] + [{"mesh": 0}]


def three_mf(model: str, packed: int = zipfile.ZIP_DEFLATED) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", packed) as archive:
        archive.writestr("3D/3dmodel.model", f'<model unit="millimeter" xmlns="{CORE}">{model}</model>')
    return file.getvalue()


def components(count: int) -> str:
    """Objects each of which is ten of the next one, and of no triangles at the end."""
    inside = []
    for n in range(count):
        ten = f"<component objectid='{n + 1}'/>" * 10
        inside.append(f'<object id="{n}"><components>{ten}</components></object>')
    last = f'<object id="{count}"><components/></object>'
    return f'<resources>{"".join(inside)}{last}</resources><build><item objectid="0"/></build>'


def many_bulges() -> bytes:
    """A DXF polyline of arcs of half a kilometre, each of which comes to thousands of chords."""
    corner = "10\n{}\n20\n0\n42\n1\n"
    return (
        "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n70\n1\n"
        + "".join(corner.format(500_000 * (n % 2)) for n in range(100_000))
        + "0\nENDSEC\n0\nEOF\n"
    ).encode()


def utf_16() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        text = f'<?xml version="1.0" encoding="utf-16"?><!DOCTYPE a [<!ENTITY b "c">]><model xmlns="{CORE}">&b;</model>'
        archive.writestr("3D/3dmodel.model", text.encode("utf-16"))
    return file.getvalue()


CASES: dict[str, tuple[str, Callable[[], bytes], Reading, str]] = {
    "copies of copies": ("glb", lambda: boxed(nodes=chain(5)), IN_M, f"{INSTANCES.most} copies"),
    "nodes in a ring": ("glb", lambda: boxed(nodes=[{"children": [1]}, {"children": [1], "mesh": 0}]), IN_M, "deep"),
    "a ring alone": ("glb", lambda: boxed(nodes=[{"children": [0], "mesh": 0}]), IN_M, "place themselves"),
    "lists of zeros": ("glb", lambda: boxed(accessors=[{"count": 10**10}] * 3), IN_M, "6000000 entries"),
    "deep": (
        "glb", lambda: boxed(nodes=[*({"children": [n + 1]} for n in range(20)), {"mesh": 0}]), IN_M, "8 deep",
    ),
    "a buffer elsewhere": ("glb", lambda: boxed(buffers=[{"uri": "/dev/zero"}]), IN_M, "name another file"),
    "a buffer in the text": ("glb", lambda: boxed(buffers=[{"uri": "data:;base64,AAAA"}]), IN_M, "another file"),
    "a picture elsewhere": ("glb", lambda: boxed(images=[{"uri": "http://a.invalid/a"}]), IN_M, "another file"),
    "more triangles than it has": (
        "glb", lambda: boxed(accessors=[{"count": 1_800_000}] * 3), IN_M,
        f"at most {TRIANGLES.most} triangles",
    ),
    "no GLB": ("glb", lambda: b"glTF" + b"\0" * 40, IN_M, "must be a GLB file"),
    "components of components": ("3mf", lambda: three_mf(components(7)), Reading("low"), f"{INSTANCES.most} copies"),
    "components in a ring": (
        "3mf", lambda: three_mf(components(1).replace("objectid='1'", "objectid='0'")), Reading("low"), "deep",
    ),
    "a zip that unpacks without end": (
        "3mf", lambda: three_mf("<!--" + " " * 150_000_000 + "-->"), Reading("low"), "must unpack to under 100 MB",
    ),
    "millions of marks": ("3mf", lambda: three_mf("<a/>" * 5_000_000), Reading("low"), "at most 4000000 marks"),
    "entities in another encoding": ("3mf", utf_16, Reading("low"), "null characters"),
    "arcs of many chords": ("dxf", many_bulges, Reading("low", unit="mm", axis="x"), "at most 4000 corners"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_no_more_is_built_than_a_model_may_be(case: str) -> None:
    kind, made, reading, words = CASES[case]
    data = made()
    begin = time.process_time()
    with pytest.raises(ValueError, match="must") as caught:
        part_of(data, kind, reading)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
    assert time.process_time() - begin < 10.0


def test_a_whole_glb_is_read() -> None:
    """What the refusals above are built on: a box as a GLB of one buffer, also placed by a node of its own."""
    found = part_of(boxed(), "glb", Reading("low", unit="m", axis="z"))
    assert found.surface is not None
    assert found.surface.mesh().volume == pytest.approx(100.0**3)
    turned = {"nodes": [{"children": [1]}, {"mesh": 0}], "scenes": [{"nodes": [0]}]}
    again = part_of(boxed(**turned), "glb", Reading("low", unit="m", axis="z"))
    assert again.surface is not None
    assert math.isclose(again.surface.mesh().volume, found.surface.mesh().volume)
