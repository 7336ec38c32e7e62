"""A path that changes tools: runs of moves with one tool each, judged one after the other on what is left."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from sim.clearance.check import judged
from sim.clearance.path import Move
from sim.clearance.result import Body, ClearanceResult, Touch
from sim.clearance.sweep import ToolSweep, along_path
from sim.clearance.tool import Tool


@dataclass(frozen=True, slots=True)
class Run:
    """Moves with one tool.

    Attributes
    ----------
    tool : Tool
    moves : tuple of Move
    depth_limit : float, optional
        Largest depth of cut of the tool, mm.
    """

    tool: Tool
    moves: tuple[Move, ...]
    depth_limit: float | None = None


def sweeps(runs: Sequence[Run]) -> tuple[ToolSweep, ...]:
    """Return each tool along its moves."""
    return tuple(along_path(run.moves, run.tool) for run in runs)


def check_runs(
    runs: Sequence[Run],
    laid: Sequence[ToolSweep],
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
    laid : sequence of ToolSweep
        From `sweeps`.
    bodies, stock, wanted, required_clearance, stock_name
        As for `sim.clearance.check.check`.

    Raises
    ------
    ValueError
        Without a run, or if the clearance required is negative or not finite.
    """
    if not runs:
        raise ValueError("a path needs at least one run, found none")
    results: list[ClearanceResult] = []
    for run, sweep in zip(runs, laid, strict=True):
        found = judged(
            sweep,
            bodies,
            stock,
            wanted,
            required_clearance,
            stock_name=stock_name,
            depth_limit=run.depth_limit,
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
