"""What holds from block to block of a program."""

from __future__ import annotations

from typing import NamedTuple

from meshes.points import Point
from sim.programs.code_groups import SYSTEMS, CodeSystem
from sim.programs.code_systems import Doubts, Place
from sim.programs.compensation import Side
from sim.programs.corners import Corner
from sim.programs.in_force import Cycle, FirstBlocks
from sim.programs.words import Block, ProgramError, Word


class OpenLine(NamedTuple):
    """A straight block with an angle alone: the next block says where it ends.

    Attributes
    ----------
    block : Block
    angle : Word
    size : Word, optional
        Of the chamfer or rounding behind it.
    state : State
        What holds in it.
    """

    block: Block
    angle: Word
    size: Word | None
    state: State

    def error(self, message: str) -> ProgramError:
        """Return the error that names its angle."""
        return ProgramError(self.block.line, self.angle.text, message)


class State(NamedTuple):
    """What holds from block to block; lengths in mm, x as radius."""

    at: Point
    motion: int | None = None
    block: int | None = None  # N of the block
    reached: bool = False  # z has been reached in coordinates of the program
    inch: bool = False
    absolute: bool = True
    side: Side = "none"
    datum: int | None = None  # G54 to G59 in force
    shift: float = 0.0  # of the zero point along z, mm, by G50 or G92
    local: float = 0.0  # ... by G52
    constant_cut: bool = False
    speed: float | None = None  # S: rev/min, or m/min (ft/min) if constant_cut
    limit: float | None = None
    feed: float | None = None  # F in mm/rev or mm/min
    feed_per_minute: bool = False
    tool: int | None = None
    systems: frozenset[CodeSystem] = SYSTEMS  # that the program can be written in
    doubts: Doubts = Doubts()
    named: int | None = None  # line of the program number
    unit_told: bool = False
    increments_told: bool = False
    speed_told: bool = False
    unsaid: Place | None = None  # word that leaves open what the speed is
    feed_unsaid: Place | None = None  # change of unit that leaves open what the feed is
    without_offset: Place | None = None  # T word that has taken the offset off
    corner: Corner | None = None  # between the last move and the next one
    open_line: OpenLine | None = None  # that the next block ends
    line_corner: Corner | None = None  # between such a line and the move of the block that ended it
    motion_left: Place | None = None  # cycle behind which the next motion must be written out
    side_left: Place | None = None  # cycle behind which G40, G41 or G42 must be written out
    cycle: Cycle | None = None  # that was called last and by no motion ended
    first_blocks: FirstBlocks = FirstBlocks()
    lead: float | None = None  # F of a thread, mm a turn

    def moved(self, at: Point, motion: int | None, block: int | None, *, reached: bool) -> State:
        """Return the state with what most blocks change: place, motion and number; quicker than by name."""
        return State._make((at, motion, block, reached, *self[4:]))
