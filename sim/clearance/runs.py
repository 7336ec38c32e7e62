"""A path that changes tools: runs of moves with one tool each, judged one after the other on what is left."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.base.answers import written
from sim.base.kept import kept
from sim.clearance.check import clearance_of_sweep
from sim.clearance.result import Body, ClearanceResult, Touch
from sim.clearance.shapes import areal, region
from sim.clearance.sweep import ToolSweep, along_path, swept
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move, steps


@dataclass(frozen=True, slots=True)
class Run:
    """Moves with one tool.

    Attributes
    ----------
    tool : Tool
    moves : tuple of Move
    depth_limit : float, optional
        Largest depth of cut of the tool, mm.
    spindle : {'forward', 'backward'}, optional
        Which way the spindle shall turn under the tool, where it is stated.
    """

    tool: Tool
    moves: tuple[Move, ...]
    depth_limit: float | None = None
    spindle: Literal["forward", "backward"] | None = None


def sweeps(runs: Sequence[Run]) -> tuple[ToolSweep, ...]:
    """Return each tool along its moves."""
    return tuple(along_path(run.moves, run.tool) for run in runs)


def check_runs(
    runs: Sequence[Run],
    bodies: Sequence[Body],
    stock: BaseGeometry,
    wanted: BaseGeometry | None,
    required_clearance: float,
    *,
    stock_name: str = "soft jaws",
) -> ClearanceResult:
    """Check all runs in their order; moves are numbered through.

    Parameters
    ----------
    runs : sequence of Run
        At least one; it may be without moves.
    bodies, stock, wanted, required_clearance, stock_name
        As for `sim.clearance.check.check`.

    Raises
    ------
    ValueError
        Without a run, or if the clearance required is negative or not finite.
    """
    if not runs:
        raise ValueError("a path needs at least one run, found none")
    bare = tuple(_without_speeds(run) for run in runs)
    return _checked(bare, tuple(bodies), stock, wanted, required_clearance, stock_name)


def _without_speeds(run: Run) -> Run:
    """Return a run without what says how fast and which way it turns and feeds: where it passes is the same."""
    return dataclasses.replace(run, moves=tuple(move.without_speeds() for move in run.moves), spindle=None)


@written
@kept(32)  # pressures, speeds, cuts and frictions vary far more often than paths and what stands around them
def _checked(
    runs: tuple[Run, ...],
    bodies: tuple[Body, ...],
    stock: BaseGeometry,
    wanted: BaseGeometry | None,
    required_clearance: float,
    stock_name: str,
) -> ClearanceResult:
    results: list[ClearanceResult] = []
    for number, (run, sweep) in enumerate(zip(runs, sweeps(runs), strict=True), 1):
        found = clearance_of_sweep(
            sweep,
            bodies,
            stock,
            wanted,
            required_clearance,
            stock_name=stock_name,
            depth_limit=run.depth_limit,
            last=number == len(runs),
        )
        results.append(found)
        stock = found.stock_left
    if len(results) == 1:
        return results[0]
    return _joined(results)


def _joined(results: Sequence[ClearanceResult]) -> ClearanceResult:
    last = results[-1]
    starts = np.cumsum([0, *(len(result.clearance) for result in results[:-1])]).tolist()
    return ClearanceResult(
        clearance=np.concatenate([result.clearance for result in results]),
        part=tuple(name for result in results for name in result.part),
        body=tuple(name for result in results for name in result.body),
        approach=np.concatenate([result.approach for result in results]),
        astray=np.concatenate([result.astray for result in results]),
        removed=np.concatenate([result.removed for result in results]),
        depth_of_cut=np.concatenate([result.depth_of_cut for result in results]),
        touches=_touches(results, starts),
        stock_left=last.stock_left,
        gouge=last.gouge,
        leftover=last.leftover,
        gouge_depth=last.gouge_depth,
        leftover_depth=last.leftover_depth,
        required=last.required,
    )


def _touches(results: Sequence[ClearanceResult], starts: Sequence[int]) -> tuple[Touch, ...]:
    """Touches in the order of the path, numbered through."""
    return tuple(
        dataclasses.replace(touch, move=touch.move + start)
        for result, start in zip(results, starts, strict=True)
        for touch in result.touches
    )


def stock_at(runs: Sequence[Run], stock: BaseGeometry, move: int, tip: Point, begin: int = 0) -> BaseGeometry:
    """Return what is left of the stock with the tip at a point (x, z) of a move, moves numbered through.

    `begin` is the first move that has not cut it yet, or has in part.
    """
    left, first = stock, 0
    for run in runs:
        moves = list(run.moves[: max(0, move + 1 - first)])
        last = move - first
        if 0 <= last < len(moves):
            moves[last] = _cut_short(moves[last], tip)
        moves = moves[max(0, begin - first) :]
        cuts = [
            image
            for part in run.tool.parts
            if part.kind == "insert"
            for image in _feeds(part, [one for one in moves if one.kind == "feed"])
        ]
        left = region(shapely.difference(left, shapely.union_all(cuts)))
        first += len(run.moves)
    return left


def _feeds(part: ToolPart, moves: Sequence[Move]) -> NDArray[np.object_]:
    chords = steps(moves)
    return areal(shapely.make_valid(swept(part, chords.starts, chords.ends)))


def _cut_short(move: Move, tip: Point) -> Move:
    """End a move at a point of it; a circular one ends where it is nearest to the point."""
    if move.centre is None or math.dist(move.start, tip) < 1e-9:
        return dataclasses.replace(move, end=tip, centre=None, clockwise=False)
    spoke = (tip[0] - move.centre[0], tip[1] - move.centre[1])
    share = math.dist(move.start, move.centre) / math.hypot(*spoke)
    end = (move.centre[0] + share * spoke[0], move.centre[1] + share * spoke[1])
    return dataclasses.replace(move, end=end)
