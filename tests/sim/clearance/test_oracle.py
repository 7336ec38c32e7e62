"""Clearance against an independent oracle in three dimensions.

The oracle knows nothing of half-planes: FCL (Flexible Collision Library; Pan, Chitta, Manocha, ICRA 2012)
gives the distance of solids, the tool is moved along its path in small steps and the chuck is turned through
many angles. What it finds is an upper bound of the least distance, refined round the best positions.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import fcl
import manifold3d
import numpy as np
import pytest
import shapely
import trimesh
from how_many import how_many
from hypothesis import given, seed, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from meshes.boolean import from_manifold
from meshes.boring_bar import BoringBar
from meshes.placement import placed, rotation_z, translation
from meshes.revolve import revolve
from sim.clearance import image
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.tool import Tool, ToolPart, cut, pieces
from sim.clearance.tool_outlines import shank_outline
from sim.programs.path import Move

SETUPS = how_many("setups against solids in three dimensions")
MISSED = 2e-3  # mm: images keep to 1e-3 mm, sweeps to 5e-4 mm
AGREEMENT = 0.02  # mm: the oracle has a bar with 64 sides (5 to 15 micrometres inside the circle)
SHEET = 1e-3  # mm of thickness for the rake face, which FCL cannot take as a plane


@dataclass(frozen=True)
class Setup:
    """A random setup: solids about the axis, a tool, a path."""

    bodies: dict[str, list[trimesh.Trimesh]]
    tool: Tool
    solids: list[trimesh.Trimesh]
    moves: list[Move]


def solid_of(part: ToolPart) -> trimesh.Trimesh:
    """Extrude a part's outline over its range of y, on one side of the rake face."""
    levels = (part.near, part.far if part.far > part.near else part.near + SHEET)
    corners = [
        np.column_stack([part.outline[:, 0], np.full(len(part.outline), y), part.outline[:, 1]])
        for y in levels
    ]
    return from_manifold(manifold3d.Manifold.hull_points(np.vstack(corners)))


def random_tool(rng: np.random.Generator) -> tuple[Tool, list[trimesh.Trimesh]]:
    tip = shapely.orient_polygons(
        shapely.MultiPoint(rng.uniform((-8.0, 0.0), (0.0, 8.0), size=(6, 2))).convex_hull
    )
    parts = pieces("insert", "insert", shapely.get_coordinates(tip)[:-1])
    solids = [solid_of(part) for part in parts]
    if rng.random() < 0.7:
        diameter = float(rng.uniform(8.0, 25.0))
        bar = BoringBar(
            diameter, float(rng.uniform(50.0, 120.0)), 0.5 * diameter + float(rng.uniform(0.5, 4.0))
        )
        parts += cut([shank_outline(bar, 9.0)])
        round_bar = trimesh.creation.cylinder(0.5 * diameter, bar.reach - 9.0, sections=64)
        solids.append(placed(round_bar, translation(-bar.functional_offset, 0.0, 0.5 * (bar.reach + 9.0))))
    if rng.random() < 0.5:
        near, far = np.sort(rng.uniform(0.0, 25.0, size=2)) * np.array([rng.random() < 0.5, 1.0])
        points = rng.uniform((-40.0, 3.0), (10.0, 60.0), size=(7, 2))
        hull = shapely.MultiPoint(points).convex_hull
        plate = pieces("holder", "holder", shapely.get_coordinates(hull)[:-1], float(near), float(far))
        parts += plate
        solids += [solid_of(part) for part in plate]
    return Tool("random", parts, 0.0), solids


def random_body(rng: np.random.Generator) -> list[trimesh.Trimesh]:
    kind = rng.choice(["jaws", "leaning block", "pins", "ring"])
    at = float(rng.uniform(0.0, 60.0))
    if kind == "ring":
        inner, height = float(rng.uniform(10.0, 60.0)), float(rng.uniform(2.0, 20.0))
        low = float(rng.uniform(0.0, 60.0))
        return [
            revolve(
                [(inner, low), (inner + 15.0, low), (inner + 15.0, low + height), (inner, low + height)], 40
            )
        ]
    if kind == "pins":
        solid = trimesh.creation.cylinder(
            float(rng.uniform(2.0, 8.0)), float(rng.uniform(5.0, 25.0)), sections=20
        )
    else:
        solid = trimesh.creation.box(rng.uniform(4.0, 30.0, size=3))
        if kind == "leaning block":
            solid = placed(solid, trimesh.transformations.random_rotation_matrix(rng.random(3)))
    solid = placed(
        solid,
        translation(
            at + float(rng.uniform(0.0, 30.0)), float(rng.uniform(-10.0, 10.0)), float(rng.uniform(0.0, 60.0))
        ),
    )
    return [placed(solid, rotation_z(2.0 * math.pi * k / 3.0)) for k in range(3)]


def random_setup(number: int) -> Setup:
    rng = np.random.default_rng(number)
    tool, solids = random_tool(rng)
    bodies = {f"body {k}": random_body(rng) for k in range(int(rng.integers(1, 4)))}
    points = rng.uniform((-5.0, -10.0), (130.0, 110.0), size=(int(rng.integers(2, 4)), 2)).tolist()
    return Setup(
        bodies, tool, solids, [Move("rapid", tuple(a), tuple(b)) for a, b in itertools.pairwise(points)]
    )


def shape(solid: trimesh.Trimesh) -> fcl.CollisionObject:
    vertices, faces = np.array(solid.vertices), np.array(solid.faces)
    if solid.is_convex:
        return fcl.CollisionObject(
            fcl.Convex(vertices, len(faces), np.column_stack([np.full(len(faces), 3), faces]).ravel())
        )
    mesh = fcl.BVHModel()
    mesh.beginModel(len(vertices), len(faces))
    mesh.addSubModel(vertices, faces)
    mesh.endModel()
    return fcl.CollisionObject(mesh)


class Oracle:
    """The least distance in 3D by trying positions and angles."""

    def __init__(self, setup: Setup) -> None:
        self.tools = [shape(solid) for solid in setup.solids]
        # Bodies repeat every 120 deg; the first of three stands for all.
        self.bodies = [shape(solids[0]) for solids in setup.bodies.values()]

    def distance(self, tip: NDArray[np.float64], angle: float) -> float:
        cosine, sine = math.cos(angle), math.sin(angle)
        turned = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
        at = np.array([tip[0], 0.0, tip[1]])
        for body in self.bodies:
            body.setRotation(turned)
        least = math.inf
        for tool in self.tools:
            tool.setTranslation(at)
            for body in self.bodies:
                least = min(least, float(fcl.distance(tool, body)))
                if least <= 0.0:
                    return 0.0
        return least

    def least(self, move: Move, steps: int = 8, angles: int = 24) -> float:
        """Coarse grid over the move and one full turn, then finer grids round the best positions."""
        start, along = np.array(move.start), np.array(move.end) - np.array(move.start)

        def tried(share: float, angle: float) -> tuple[float, float, float]:
            share = min(1.0, max(0.0, share))
            return self.distance(start + share * along, angle), share, angle

        ds, da = 1.0 / (steps - 1), 2.0 * math.pi / angles
        grid = []
        for i, j in itertools.product(range(steps), range(angles)):
            grid.append(tried(i * ds, j * da))
            if grid[-1][0] <= 0.0:
                return 0.0
        grid.sort()
        least = grid[0][0]
        for best in grid[:2]:
            width = 0.5
            for _ in range(10):
                if least <= 0.0:
                    return 0.0
                around = [
                    tried(best[1] + i * width * ds, best[2] + j * width * da)
                    for i in (-1, 0, 1)
                    for j in (-1, 0, 1)
                ]
                if min(around)[0] >= best[0] - 1e-12:
                    width *= 0.4
                best = min(best, *around)
                least = min(least, best[0])
        return max(0.0, least)


def compare(number: int) -> list[tuple[float, float]]:
    """Clearance of every move: ours, and the oracle's."""
    setup = random_setup(number)
    bodies = [
        Body(name, shapely.union_all([image.of_mesh(solid) for solid in solids[:1]]), "fixture")
        for name, solids in setup.bodies.items()
    ]
    clearance = clearance_of(setup.moves, setup.tool, bodies, shapely.Polygon(), None, 0.0).clearance
    oracle, pairs = Oracle(setup), []
    for ours, move in zip(clearance.tolist(), setup.moves, strict=True):
        seen = oracle.least(move)
        if seen > ours + AGREEMENT:  # its search may have ended beside the least distance: search harder
            seen = oracle.least(move, steps=41, angles=360)
        pairs.append((ours, seen))
    return pairs


@seed(4)
@settings(max_examples=SETUPS, deadline=None, database=None)
@given(st.integers(0, 2**32 - 1))
def test_no_touch_is_missed_and_the_least_clearance_agrees(number: int) -> None:
    for ours, seen in compare(number):
        # Nothing in 3D is nearer than we say; where the oracle sees a touch, so do we.
        assert ours <= seen + MISSED
        # And we are not cautious without need.
        assert seen <= ours + AGREEMENT


def test_oracle_knows_a_distance() -> None:
    """A bar of 10 mm radius at 40 mm from a box face at 60 mm: 10 mm; and it sees an overlap."""
    bar = trimesh.creation.cylinder(10.0, 50.0, sections=128)
    box = placed(trimesh.creation.box((20.0, 30.0, 20.0)), translation(70.0, 0.0, 0.0))
    tool = Tool("bar", pieces("insert", "insert", [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]), 0.0)
    oracle = Oracle(Setup({"box": [box]}, tool, [bar], []))
    assert oracle.least(Move("rapid", (40.0, -3.0), (30.0, 3.0))) == pytest.approx(10.0, abs=1e-3)
    assert oracle.least(Move("rapid", (40.0, -3.0), (55.0, 3.0))) == 0.0
