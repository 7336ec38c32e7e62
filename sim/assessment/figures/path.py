"""A cutting path with its tools and what the clearance check found.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Self

from shapely.geometry.base import BaseGeometry

from meshes.turning_tool import TurningTool
from sim.clearance.result import Body, ClearanceResult
from sim.clearance.runs import Run
from sim.clearance.tool import Tool
from sim.programs.machine_words import AtWork
from sim.programs.path import Move


@dataclass(frozen=True, slots=True)
class BarFigures:
    """A boring bar in the cut that bends it most.

    Attributes
    ----------
    tool : str
    shank : str
        What it is made of.
    diameter, reach : float
        mm.
    move : int or None
        Number of the move; None if it cuts nothing.
    tangential, radial : float
        Cutting force, and the larger of feed and passive force, N.
    bend, push : float
        Of the tip under both, and under the radial one alone, mm.
    """

    tool: str
    shank: str
    diameter: float
    reach: float
    move: int | None
    tangential: float
    radial: float
    bend: float
    push: float

    @property
    def slenderness(self) -> float:
        """Reach over diameter."""
        return self.reach / self.diameter


@dataclass(frozen=True, slots=True, eq=False)
class PathFigures:
    """A cutting path with everything that turns, and what the clearance check found.

    Attributes
    ----------
    file : str
        The program that it was read from; empty for a path that was made from the pockets.
    runs : tuple of Run
        The path, one run for each tool in force; at least one.
    drawn : tuple of TurningTool
        Dimensions of the tool of each run.
    moves : tuple of Move
        Of all runs.
    bodies, stock, wanted : images, (rho, z) in mm
        What must not be touched; what may be cut, before the first move; what must remain of it, None if not stated.
    stock_name : str
    clearance : ClearanceResult
    zero : float
        z of the program's zero point, chuck frame, mm.
    swing : float
        Largest diameter that turns, mm.
    safe_plane : float
        z above which a tip may run across at rapid, with the clearance wanted, mm.
    notes : tuple of str
        What was assumed in reading the program, and what moves no axis.
    bars : tuple of BarFigures
        Each boring bar of the path.
    at_work : AtWork or None
        Spindle, chuck and turret along a program; None for a path that was made.
    reading : str
        Which optional blocks were run and skipped, in words; empty for a program without any.
    others : tuple of PathFigures
        The same program with other optional blocks run and skipped, where that makes another path.
    """

    file: str
    runs: tuple[Run, ...]
    drawn: tuple[TurningTool, ...]
    moves: tuple[Move, ...]
    bodies: tuple[Body, ...]
    stock: BaseGeometry
    wanted: BaseGeometry | None
    stock_name: str
    clearance: ClearanceResult
    zero: float
    swing: float
    safe_plane: float
    notes: tuple[str, ...]
    bars: tuple[BarFigures, ...]
    at_work: AtWork | None = field(default=None, kw_only=True)
    reading: str = field(default="", kw_only=True)
    others: tuple[Self, ...] = field(default=(), kw_only=True)

    @property
    def readings(self) -> tuple[Self, ...]:
        """The path as shown, and as its program runs with other optional blocks."""
        return (self, *self.others)

    def run_of(self, move: int) -> int:
        """Return the number of the run that a move belongs to."""
        for number, run in enumerate(self.runs):
            if move < len(run.moves):
                return number
            move -= len(run.moves)
        return len(self.runs) - 1

    def tool_of(self, move: int) -> Tool:
        """Return the tool of a move."""
        return self.runs[self.run_of(move)].tool

    @property
    def tool(self) -> Tool:
        """The first tool."""
        return self.runs[0].tool

    @property
    def tools(self) -> tuple[Tool, ...]:
        """The tool of each move."""
        return tuple(run.tool for run in self.runs for _ in run.moves)
