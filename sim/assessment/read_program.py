"""What a program says, as read from its file; also of the path that is made where the shop has no program."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.turning_tool import TurningTool
from sim.clearance.runs import Run
from sim.programs.machine_words import AtWork


@dataclass(frozen=True, slots=True)
class ReadProgram:
    """A program as read.

    Attributes
    ----------
    file : str
        As the scenario names it.
    runs : tuple of Run
        At least one; the whole program.
    tools : tuple of TurningTool
        Of each run.
    notes : tuple of str
        What was assumed, and what moves no axis.
    at_work : AtWork
        Spindle, chuck and turret.
    reading : str
        Which optional blocks are run and skipped, in words; empty without any.
    others : tuple of ReadProgram
        The program with other optional blocks run and skipped, where that makes a difference.
    """

    file: str
    runs: tuple[Run, ...]
    tools: tuple[TurningTool, ...]
    notes: tuple[str, ...]
    at_work: AtWork
    reading: str = ""
    others: tuple[ReadProgram, ...] = ()

    @property
    def readings(self) -> tuple[ReadProgram, ...]:
        """The program as shown, and in its other ways."""
        return (self, *self.others)
