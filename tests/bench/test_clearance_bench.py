"""Speed of the clearance check, and of a general-purpose 3D collision library on the same question.

    pytest tests/bench/test_clearance_bench.py --benchmark-enable

The path is that of two pockets, cut into as many feed moves as asked for; the bodies are those of a full
assembly. The peer (FCL) measures the same tool against one jaw-sized body at one position and one angle of
the spindle; `extra_info` says how many such questions it would have to answer for the same tolerance.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import fcl
import numpy as np
import pytest
import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes import insert as inserts
from meshes import soft_jaw
from meshes.boring_bar import BoringBar
from meshes.placement import jaw_placement, placed
from meshes.pocket import Pocket, removed_outside
from meshes.soft_jaw import SoftJawBlank
from sim.clearance import image
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import check
from sim.clearance.path import Move
from sim.clearance.result import Body
from sim.clearance.tool import Tool, boring_tool


@pytest.fixture(scope="module")
def jaw() -> trimesh.Trimesh:
    blank = SoftJawBlank(110.0, 50.0, 50.0, 50.0, (60.0, 90.0), 13.0, 20.0, 30.0)
    return placed(soft_jaw.mesh(blank), jaw_placement(0, 30.0))


@pytest.fixture(scope="module")
def jaws(jaw: trimesh.Trimesh) -> BaseGeometry:
    return image.of_mesh(jaw)


@pytest.fixture(scope="module")
def wanted(jaws: BaseGeometry) -> BaseGeometry:
    pockets = [Pocket(120.0, 12.0, 2.0, 0.5, 1.0), Pocket(100.0, 25.0, 2.0, 0.5, 1.0)]
    return shapely.difference(jaws, shapely.Polygon(removed_outside(pockets, 50.0)))


@pytest.fixture(scope="module")
def tool() -> Tool:
    return boring_tool(BoringBar(16.0, 120.0, 11.0), inserts.parse("VCMT 110302"), math.radians(107.5))


@pytest.fixture(scope="module")
def bodies() -> list[Body]:
    """Eight bodies of eighty corners each, as images of meshes have them."""
    sizes = {
        "boring ring": (65.0, 50.0, 120.0, 65.0),
        "pins": (92.0, 42.0, 108.0, 50.0),
        "plug": (0.0, 5.0, 33.0, 20.0),
        "inner screws": (82.0, -20.0, 98.0, 20.0),
        "outer screws": (112.0, -20.0, 128.0, 20.0),
        "T-nuts": (75.0, -22.0, 135.0, -3.0),
        "master jaws": (40.0, -50.0, 130.0, 0.0),
        "chuck body": (20.0, -80.0, 125.0, -2.0),
    }
    return [
        Body(
            name,
            shapely.segmentize(shapely.box(*size), (size[2] - size[0] + size[3] - size[1]) / 40.0),
            "chuck",
        )
        for name, size in sizes.items()
    ]


@pytest.fixture(scope="module")
def path(jaws: BaseGeometry, wanted: BaseGeometry, tool: Tool) -> Any:
    """Return a maker of paths of about n moves."""

    def make(count: int) -> list[Move]:
        moves = boring_path(jaws, wanted, tool, BoringPlan("outside", 0.5, 0.1, 80.0))
        whole = sum(math.dist(move.start, move.end) for move in moves if move.kind == "feed")
        cut: list[Move] = []
        for move in moves:
            parts = (
                max(1, round(math.dist(move.start, move.end) * count / whole)) if move.kind == "feed" else 1
            )
            points = np.linspace(move.start, move.end, parts + 1).tolist()
            cut += [Move(move.kind, tuple(a), tuple(b)) for a, b in itertools.pairwise(points)]
        return cut

    return make


@pytest.mark.parametrize("count", [1_000, 10_000, 100_000])
def test_check(
    benchmark: Any,
    count: int,
    path: Any,
    jaws: BaseGeometry,
    wanted: BaseGeometry,
    tool: Tool,
    bodies: list[Body],
) -> None:
    """Cost grows linearly: three decades of moves."""
    if count > 10_000 and benchmark.disabled:
        pytest.skip("the longest program runs with --benchmark-enable only")
    moves = path(count)
    benchmark.extra_info["moves"] = len(moves)
    rounds = 5 if count <= 10_000 else 1
    result = benchmark.pedantic(
        check, (moves, tool, bodies, jaws, wanted, 1.0), rounds=rounds, warmup_rounds=1
    )
    assert result.passes


def test_image_of_a_bored_jaw(benchmark: Any, jaw: trimesh.Trimesh) -> None:
    outline = removed_outside([Pocket(120.0, 12.0, 2.0, 0.5, 1.0), Pocket(100.0, 25.0, 2.0, 0.5, 1.0)], 50.0)
    bored = placed(
        soft_jaw.bored(placed(jaw, jaw_placement(0, -30.0)), outline, 30.0), jaw_placement(0, 30.0)
    )
    benchmark.extra_info["triangles"] = len(bored.faces)
    assert benchmark(image.of_mesh, bored).area > 0.0


def test_peer_collision_library(benchmark: Any, jaw: trimesh.Trimesh) -> None:
    """One position and one angle; at 0.01 mm a move of 1 mm needs 100 positions and 0.6 rad of the jaw 6000 angles."""
    mesh = fcl.BVHModel()
    mesh.beginModel(len(jaw.vertices), len(jaw.faces))
    mesh.addSubModel(np.array(jaw.vertices), np.array(jaw.faces))
    mesh.endModel()
    bar = trimesh.creation.cylinder(8.0, 110.0, sections=128)
    faces = np.column_stack([np.full(len(bar.faces), 3), bar.faces]).ravel()
    tool = fcl.CollisionObject(fcl.Convex(np.array(bar.vertices), len(bar.faces), faces))
    tool.setTranslation(np.array([15.0, 0.0, 70.0]))
    body = fcl.CollisionObject(mesh)
    benchmark.extra_info["questions for one move of 1 mm"] = 100 * 6000
    assert benchmark(fcl.distance, tool, body) > 0.0
