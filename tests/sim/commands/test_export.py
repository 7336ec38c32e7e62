"""`chuckscene export`: the folder, its manifest, and the assembly as a reader of glTF finds it."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.views.export import assembly_glb
from sim.views.face_patches import face_patches

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(command: Callable[[str], Run]) -> Run:
    return command("export")


def test_writes_a_folder_with_its_manifest(
    run: Run, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    place = tmp_path / "out"
    status, out, err = run(str(scenario_file("thin_ring_distorts")), "--out", str(place), "--quick")
    assert (status, err) == (1, "")
    assert "Not released" in out
    stated = json.loads((place / "manifest.json").read_text(encoding="utf-8"))
    assert stated["status"] == "fail"
    named = {one["file"]: one for one in stated["files"]}
    assert {*named, "manifest.json"} == {path.name for path in place.iterdir()}
    for name, one in named.items():
        content = (place / name).read_bytes()
        assert one["size_bytes"] == len(content)
        assert one["sha256"] == hashlib.sha256(content).hexdigest()
    report = json.loads((place / "figures.json").read_text(encoding="utf-8"))
    jsonschema.validate(report, json.loads((place / "figures.schema.json").read_text(encoding="utf-8")))
    rows = list(csv.DictReader(io.StringIO((place / "verdicts.csv").read_text("utf-8"), newline="")))
    assert [row["key"] for row in rows] == [v["key"] for v in report["verdicts"]]
    assert rows[0]["status"] == "fail"
    asked = list(csv.DictReader(io.StringIO((place / "not-judged.csv").read_text("utf-8"), newline="")))
    assert [row["question"] for row in asked] == [one["question"] for one in report["not_judged"]]
    status, out, err = run(str(scenario_file("thin_ring_distorts")), "--out", str(place), "--quick")
    assert (status, out) == (2, "")
    assert "is there already" in err


def chunks(content: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the JSON and the binary chunk of a GLB (glTF 2.0, 4.4)."""
    magic, version, size = struct.unpack_from("<4sII", content)
    assert (magic, version, size) == (b"glTF", 2, len(content))
    (length,) = struct.unpack_from("<I", content, 12)
    return json.loads(content[20 : 20 + length]), content[20 + length + 8 :]


def values(tree: dict[str, Any], binary: bytes, number: int) -> Any:
    accessor = tree["accessors"][number]
    view = tree["bufferViews"][accessor["bufferView"]]
    kind = {5121: "u1", 5125: "<u4", 5126: "<f4"}[accessor["componentType"]]
    width = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}[accessor["type"]]
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    found = np.frombuffer(binary, kind, accessor["count"] * width, start)
    return found.reshape(-1, width)


def test_the_assembly_carries_names_materials_and_pressures(
    quickly_judged: Callable[[str], Assessment],
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    tree, binary = chunks(assembly_glb(judged, 0))
    nodes = {node["name"]: node for node in tree["nodes"] if "mesh" in node}
    assert {"chuck body", "soft jaw 1", "soft jaw 3", "workpiece"} <= set(nodes)
    extras = {name: tree["meshes"][node["mesh"]].get("extras", {}) for name, node in nodes.items()}
    assert extras["workpiece"]["material"] == judged.scenario.operations[0].workpiece.material
    assert extras["soft jaw 1"]["material"] == judged.scenario.soft_jaw.material
    whole = tree["scenes"][tree["scene"]]["extras"]
    assert (whole["units"], whole["released"]) == ("m", False)
    patches = face_patches(judged.operations[0], judged.parts)
    highest = max(float(pressures.max()) for _, pressures in patches)
    for number, (patch, pressures) in enumerate(patches, start=1):
        mesh = tree["meshes"][nodes[f"contact pressure {number}"]["mesh"]]
        (primitive,) = mesh["primitives"]
        stated = values(tree, binary, primitive["attributes"]["_PRESSURE_MPA"])[:, 0]
        kept = np.unique(patch.faces)
        assert np.array_equal(stated, pressures[kept].astype(np.float32))
        assert mesh["extras"]["unit"] == "MPa"
        assert mesh["extras"]["range_MPa"] == pytest.approx([stated.min(), stated.max()])
        assert mesh["extras"]["colours_MPa"] == pytest.approx([0.0, highest])
        colours = values(tree, binary, primitive["attributes"]["COLOR_0"])
        assert len(colours) == len(stated)
        # Darker where it presses more, in linear light (Rec. 709 weights).
        light = colours[:, :3] @ np.array([0.2126, 0.7152, 0.0722])
        assert light[stated.argmin()] > light[stated.argmax()] + 5.0
        # Places are metres, the spindle along x: as the jaws' faces in the chuck, mm with the spindle along z.
        matrix = np.array(nodes[f"contact pressure {number}"]["matrix"]).reshape(4, 4).T
        at = values(tree, binary, primitive["attributes"]["POSITION"]) @ matrix[:3, :3].T + matrix[:3, 3]
        assert np.allclose(1000.0 * at[:, [1, 2, 0]], np.asarray(patch.vertices)[kept], atol=1e-4)
