"""Speed of the clearance check on a full assembly, and of a general-purpose 3D collision library on the same question.

    pytest tests/bench/test_clearance_bench.py --benchmark-enable

The assembly is that of a scenario: jaws, screws, T-nuts, master jaws, chuck body and the boring ring with its pins, as
images of their meshes. The path is the one that turns its pocket, cut into as many feed moves as asked for.

The peer (FCL, Flexible Collision Library; Pan, Chitta, Manocha, ICRA 2012) is given the same solids and a search that
is as good as we know: it splits the move and the turn of the spindle only where the distance found, less what it can
change within a cell, is not yet known to the tolerance (Lipschitz branch and bound). Its answer must agree with ours.
"""

from __future__ import annotations

import heapq
import itertools
import json
import math
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import fcl
import numpy as np
import pytest
import shapely
import trimesh
from shapely.geometry.base import BaseGeometry

from meshes import turning_tool
from meshes.placement import jaw_placement, placed
from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.base.kept import forget
from sim.clearance import image
from sim.clearance.check import clearance_of
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.scenario import Scenario
from sim.setup import parts, pose
from sim.setup.parts import Parts

SCENARIO = "cast_hub_on_ring"
FILE = Path(__file__).parents[2] / "scenarios" / f"{SCENARIO}.toml"
TOLERANCE = 0.25  # mm, of the peer, so that it ends; ours keeps to 0.005 mm
NOWHERE = shapely.Polygon()
PEER_MOVES = 2
PEER_BUDGET = 20_000  # questions for one move; what is not known by then took the peer longer than is stated


@pytest.fixture(scope="module")
def built(varied: Callable[..., Scenario]) -> Parts:
    return parts.build(varied(SCENARIO))


@pytest.fixture(scope="module")
def boring(built: Parts) -> BoringFigures:
    return bore(built)


def cut_into(moves: tuple[Move, ...], count: int) -> list[Move]:
    """Return the path with its feed moves cut into about `count`."""
    whole = sum(math.dist(move.start, move.end) for move in moves if move.kind == "feed")
    cut: list[Move] = []
    for move in moves:
        share = math.dist(move.start, move.end) * count / whole
        points = np.linspace(move.start, move.end, (max(1, round(share)) if move.kind == "feed" else 1) + 1)
        cut += [Move(move.kind, tuple(a), tuple(b)) for a, b in itertools.pairwise(points.tolist())]
    return cut


@pytest.mark.parametrize("count", [1_000, 10_000, 100_000])
def test_check(benchmark: Any, count: int, boring: BoringFigures) -> None:
    """Cost grows linearly: three decades of moves; memory as the process's peak."""
    if count > 10_000 and benchmark.disabled:
        pytest.skip("the longest program runs with --benchmark-enable only")
    moves = cut_into(boring.moves, count)
    rounds = 5 if count <= 10_000 else 1
    before = time.process_time()
    result = benchmark.pedantic(
        clearance_of,
        (moves, boring.tool, boring.bodies, boring.stock, boring.wanted, 1.5),
        rounds=rounds,
        warmup_rounds=1,
    )
    benchmark.extra_info["moves"] = len(moves)
    benchmark.extra_info["processor seconds"] = round((time.process_time() - before) / (rounds + 1), 2)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    benchmark.extra_info["peak memory of the process, MB"] = round(peak / 1024)
    assert result.passes


def down_the_wall(kind: str, count: int) -> list[Move]:
    """Return about `count` moves down the wall of a pocket bored to 57.2 mm; each leaves a corner that stays."""
    top, bottom, wall = 50.5, 28.0, 58.0
    if kind == "chords":
        z = np.linspace(top, bottom, count)
        points = np.column_stack([wall + 0.4 * np.sin(2.0 * np.pi * z / 11.0), z])
    else:
        z = np.repeat(np.linspace(top, bottom, count // 2), 2)
        points = np.column_stack([np.where(np.arange(len(z)) % 2, wall - 1.0, wall), z])
    path = [(44.0, 67.0), (44.0, top), *map(tuple, points.tolist())]
    return [Move("feed", a, b) for a, b in itertools.pairwise(path)]


def written(moves: list[Move]) -> str:
    """Return a program with four decimals."""
    lines = [
        f"{'G1' if move.kind == 'feed' else 'G0'} X{2.0 * move.end[0]:.4f} Z{move.end[1]:.4f} F.1"
        for move in moves
    ]
    return "\n".join(["G90 G95 G97 S500 M3", *lines])


ROUGHED = shapely.box(0.0, 27.9, 57.2, 200.0)  # without it the bar stands in metal at nearly every move


@pytest.mark.parametrize("count", [1_000, 10_000, 100_000])
@pytest.mark.parametrize("kind", ["cusps", "chords"])
def test_check_of_a_stock_of_many_corners(
    benchmark: Any, kind: str, count: int, built: Parts, boring: BoringFigures
) -> None:
    """As `test_check`, where the outline of the stock grows with the moves; with reading, and beside the peer."""
    if benchmark.disabled and count > 1_000:
        pytest.skip("long programs run with --benchmark-enable only")
    if benchmark.disabled:
        count = 100
    moves, stock = down_the_wall(kind, count), shapely.difference(boring.stock, ROUGHED)
    text = written(moves)
    before = time.process_time()
    program = read(text, Reading(start=moves[0].start, code_system="ISO"))
    benchmark.extra_info["reading, processor seconds"] = round(time.process_time() - before, 2)
    assert len(program.moves) == len(moves)
    before = time.process_time()
    result = benchmark.pedantic(
        clearance_of, (moves, boring.tool, boring.bodies, stock, boring.wanted, 1.5), rounds=1
    )
    benchmark.extra_info["processor seconds"] = round(time.process_time() - before, 2)
    benchmark.extra_info["corners left"] = int(shapely.get_num_coordinates(result.stock_left))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    benchmark.extra_info["peak memory of the process, MB"] = round(peak / 1024)
    assert not result.gouge_area
    assert not result.touches
    assert benchmark.extra_info["corners left"] > count // 4
    if not benchmark.disabled and count == 10_000:
        own = benchmark.extra_info["processor seconds"] / len(moves)
        before = time.process_time()
        peer_of(built, boring).least(moves[len(moves) // 2])
        each = time.process_time() - before
        benchmark.extra_info["peer, s a move, against bodies that stay as they are"] = round(each, 3)
        benchmark.extra_info["ratio of processor time, at least"] = round(each / own)


IN_A_PROCESS = """
import json, resource, sys, time
import shapely
from sim import load
from sim.assessment.boring import bore
from sim.clearance.check import clearance_of
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.setup import parts
scenario, program, start, cut_away, rounds = json.loads(sys.argv[1])
boring = bore(parts.build(load(scenario)))
stock = shapely.difference(boring.stock, shapely.from_wkt(cut_away))
spent = []
for _ in range(rounds):
    before = time.process_time()
    moves = read(open(program).read(), Reading(start=tuple(start), code_system="ISO")).moves
    clearance_of(moves, boring.tool, boring.bodies, stock, boring.wanted, 1.5)
    spent.append(time.process_time() - before)
print(json.dumps([min(spent), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


@pytest.mark.parametrize("kind", ["axis", "cusps", "chords"])
def test_growth_and_memory(benchmark: Any, kind: str, boring: BoringFigures, tmp_path: Path) -> None:
    """Reading included, each in a process of its own: ten times the moves, by the processor; and what that keeps."""
    if benchmark.disabled:
        pytest.skip("long programs run with --benchmark-enable only")

    def processor_and_peak(count: int, rounds: int) -> tuple[float, float]:
        moves = cut_into(boring.moves, count) if kind == "axis" else down_the_wall(kind, count)
        (tmp_path / "program").write_text(written(moves))
        cut_away = NOWHERE if kind == "axis" else ROUGHED
        asked = [str(FILE), str(tmp_path / "program"), moves[0].start, shapely.to_wkt(cut_away), rounds]
        command = [sys.executable, "-c", IN_A_PROCESS, json.dumps(asked)]
        done = subprocess.run(command, check=True, capture_output=True)  # noqa: S603 - our own interpreter
        seconds, peak = json.loads(done.stdout)
        return seconds, peak

    short, _ = processor_and_peak(10_000, 3)
    long, peak = benchmark.pedantic(processor_and_peak, (100_000, 1), rounds=1)
    power = math.log10(long / short)
    benchmark.extra_info["processor seconds of 10,000 and 100,000"] = [round(short, 2), round(long, 2)]
    benchmark.extra_info["grows with the power"] = round(power, 3)
    benchmark.extra_info["peak memory of the process, MB"] = round(peak)
    assert power <= 1.05
    assert peak < 300.0


@pytest.mark.parametrize("kind", ["cusps", "chords"])
def test_check_of_a_bar_in_metal(benchmark: Any, kind: str, boring: BoringFigures) -> None:
    """The same path in jaws that nobody has bored: the head stands in metal at most moves, the slowest kind of path."""
    moves = down_the_wall(kind, 100 if benchmark.disabled else 1_000)
    before = time.process_time()
    result = benchmark.pedantic(
        clearance_of, (moves, boring.tool, boring.bodies, boring.stock, boring.wanted, 1.5), rounds=1
    )
    benchmark.extra_info["processor seconds"] = round(time.process_time() - before, 2)
    (touch,) = result.touches
    assert touch.count > len(moves) // 2


ROD = shapely.box(0.0, 16.0, 32.0, 316.0)
RHOMBUS = np.array([(0.0, 0.0), (9.0, 0.8), (9.8, 9.8), (0.8, 9.0)])
OUTSIDE = Tool("outside", (ToolPart("insert", "insert", RHOMBUS),), 0.0)
CYCLE, FACED = 5.0, 1.6  # times as long as the plain path, at most


def seconds(text: str) -> tuple[float, int]:
    """Return the processor time of reading and checking a program on the rod, least of three, and its moves."""
    found = []
    for _ in range(3):
        before = time.process_time()
        moves = read(text, Reading(start=(60.0, 330.0), code_system="G90 cycles")).moves
        result = clearance_of(moves, OUTSIDE, [], ROD, None, 1.5)
        found.append(time.process_time() - before)
        assert not result.touches
    return min(found), len(moves)


def told(benchmark: Any, text: str, plain: str) -> float:
    """Return how many times as long a program takes as a plain one, a move, and tell it."""
    own, moves = seconds(text)
    other, as_many = seconds(plain)
    ratio = (own / moves) / (other / as_many)
    benchmark.extra_info["moves"] = moves
    benchmark.extra_info["processor seconds"] = round(own, 2)
    benchmark.extra_info["times the plain path, a move"] = round(ratio, 2)
    benchmark.pedantic(lambda: None)
    return ratio


def test_a_roughing_cycle_beside_the_same_passes_in_longhand(benchmark: Any) -> None:
    """The cycle escapes rapidly along what it has just cut, longhand at feed: over ten times as long before, a move."""
    passes = 20 if benchmark.disabled else 500
    depth = 14.0 / passes
    cycle = [f"G71 U{depth:.4f} R.1", "G71 P1 Q2 U.2 W.1 F.2", "N1 G0 X36.", "G1 Z240.", "N2 X64."]
    plain = [
        line
        for k in range(1, passes)
        for line in (
            f"G0 X{64.0 - 2.0 * depth * k:.4f}",
            "G1 Z240.1 F.2",
            f"X{65.0 - 2.0 * depth * k:.4f}",
            "G0 Z317.",
        )
    ]
    head = ["G21 G99 G97 S500 M3", "T0101", "G0 X64. Z317."]
    ratio = told(benchmark, "\n".join([*head, *cycle]), "\n".join([*head, *plain]))
    assert benchmark.disabled or ratio <= CYCLE


def test_one_facing_cut_past_the_middle_before_a_contour(benchmark: Any) -> None:
    """The contour alone, and with the front faced to 1.6 mm beyond the axis before."""
    z = np.linspace(315.0, 80.0, 100 if benchmark.disabled else 3_000)
    contour = [f"G1 X{x:.4f} Z{h:.4f} F.1" for x, h in zip(63.0 - 0.6 * np.sin(z / 1.75), z, strict=True)]
    head = ["G21 G99 G97 S500 M3", "T0101"]
    facing = ["G0 X80. Z316.", "G1 X-1.6 F.1", "G0 Z318.", "X70."]
    ratio = told(
        benchmark, "\n".join([*head, *facing, *contour]), "\n".join([*head, "G0 X70. Z318.", *contour])
    )
    assert benchmark.disabled or ratio <= FACED


def test_image_of_a_bored_jaw(benchmark: Any, built: Parts) -> None:
    inner = built.place.bored
    bored = placed(built.bored, jaw_placement(0, inner))
    benchmark.extra_info["triangles"] = len(bored.faces)

    def anew() -> BaseGeometry:
        forget()
        return image.of_mesh(bored)

    assert benchmark(anew).area > 0.0


@dataclass(frozen=True)
class Peer:
    """The solids of tool and assembly for the collision library; `questions` counts what it was asked."""

    tool: list[fcl.CollisionObject]
    bodies: list[fcl.CollisionObject]
    reach: float
    questions: list[int]

    def distance(self, tip: tuple[float, float], angle: float) -> float:
        """Least distance of all pairs at one place and one angle of the spindle."""
        turned = np.array(
            [
                [math.cos(angle), -math.sin(angle), 0.0],
                [math.sin(angle), math.cos(angle), 0.0],
                [0.0, 0.0, 1.0],
            ]
        )
        self.questions[0] += 1
        for body in self.bodies:
            body.setRotation(turned)
        for piece in self.tool:
            piece.setTranslation(np.array([tip[0], 0.0, tip[1]]))
        return max(0.0, min(float(fcl.distance(piece, body)) for piece in self.tool for body in self.bodies))

    def least(self, move: Move) -> float | None:
        """Least distance along a move over a third of a turn, known to `TOLERANCE`; None if the budget is used up.

        Within a cell of half widths ds and da the distance differs by ds + r da at most, r the tool's largest radius.
        """
        (x0, z0), (x1, z1) = move.start, move.end
        length = math.dist(move.start, move.end)
        third = 2.0 * math.pi / 3.0

        def cell(
            share: float, angle: float, ds: float, da: float
        ) -> tuple[float, float, float, float, float, float]:
            tip = (x0 + share * (x1 - x0), z0 + share * (z1 - z0))
            found = self.distance(tip, angle)
            return found - ds * length - self.reach * da, found, share, angle, ds, da

        cells = [cell(0.5, 0.5 * third, 0.5, 0.5 * third)]
        best = cells[0][1]
        start = self.questions[0]
        while cells[0][0] < best - TOLERANCE and self.questions[0] - start < PEER_BUDGET:
            _, _, share, angle, ds, da = heapq.heappop(cells)
            halves = (
                [(share - 0.5 * ds, angle, 0.5 * ds, da), (share + 0.5 * ds, angle, 0.5 * ds, da)]
                if ds * length > self.reach * da
                else [(share, angle - 0.5 * da, ds, 0.5 * da), (share, angle + 0.5 * da, ds, 0.5 * da)]
            )
            for half in halves:
                heapq.heappush(cells, cell(*half))
                best = min(best, cells[0][1])
        return best if cells[0][0] >= best - TOLERANCE else None


def shape(solid: trimesh.Trimesh) -> fcl.CollisionObject:
    mesh = fcl.BVHModel()
    mesh.beginModel(len(solid.vertices), len(solid.faces))
    mesh.addSubModel(np.array(solid.vertices), np.array(solid.faces))
    mesh.endModel()
    return fcl.CollisionObject(mesh)


def peer_of(built: Parts, boring: BoringFigures) -> Peer:
    """Return the solids of the boring tool and of all that turns but the jaws that it cuts."""
    cutter = turning_tool.mesh(boring.drawn[0])
    solids = [s for s in pose.boring_scene(built, "bored") if s.jaw in (None, 0) and s.kind != "soft jaw"]
    far = np.asarray(cutter.vertices) + np.array([60.0, 0.0, 0.0])
    reach = float(np.hypot(far[:, 0], far[:, 1]).max())
    return Peer([shape(cutter)], [shape(s.mesh) for s in solids], reach, [0])


def test_ratio_to_a_3d_collision_library(benchmark: Any, built: Parts, boring: BoringFigures) -> None:
    """Rapid moves beside the ring, which stands in nobody's way: both ask for the least distance to every body."""
    if benchmark.disabled:
        pytest.skip("the peer takes its time: with --benchmark-enable only")
    peer = peer_of(built, boring)
    moves = [Move("rapid", (56.0 + k, 70.0), (56.5 + k, 68.0)) for k in range(PEER_MOVES)]
    many = [Move("rapid", (54.0, 70.0 - 1e-4 * k), (56.0, 68.0)) for k in range(2_000)]
    ours = benchmark(clearance_of, many, boring.tool, boring.bodies, NOWHERE, None, 0.0)
    assert len(ours.clearance) == len(many)
    found = clearance_of(moves, boring.tool, boring.bodies, NOWHERE, None, 0.0).clearance
    before = time.process_time()
    theirs = [peer.least(move) for move in moves]
    each = (time.process_time() - before) / len(moves)
    for mine, other in zip(found.tolist(), theirs, strict=True):
        assert other is not None
        assert abs(mine - other) < TOLERANCE + 0.05
    before = time.process_time()
    clearance_of(many, boring.tool, boring.bodies, NOWHERE, None, 0.0)
    own = (time.process_time() - before) / len(many)
    benchmark.extra_info["questions for one move"] = peer.questions[0] // len(moves)
    benchmark.extra_info["moves answered within the budget"] = sum(other is not None for other in theirs)
    benchmark.extra_info["peer, s a move"] = round(each, 4)
    benchmark.extra_info["ours, s a move"] = round(own, 7)
    benchmark.extra_info["ratio of processor time, at least"] = round(each / own)
