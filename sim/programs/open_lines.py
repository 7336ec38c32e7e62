"""A straight block with an angle alone: its line runs to where the line of the next block crosses it.

The next block states where it ends in X and Z, and its own angle, so that both lines are known (common practice, no
source). Angles count from z, counter-clockwise with x up; which way along a line does not count.
"""

from __future__ import annotations

import math

from meshes.points import Point
from sim.programs import code_systems
from sim.programs.axis_words import LARGEST_COORDINATE, target, told_of_lengths
from sim.programs.compensation import Programmed
from sim.programs.corner_words import CornerWords, corner_of
from sim.programs.corners import Corner
from sim.programs.modal import OpenLine, State
from sim.programs.motion import move_of
from sim.programs.read_block import ReadBlock
from sim.programs.words import Word

_NONE = 1e-6  # mm, of a line without a length
_LEAST_TURN = 1e-3  # sine of the least turn between lines whose crossing an angle of three places still tells
_NEEDS = "stands alone and needs a next block by G1 with X, Z and an angle, whose line it meets"


def require_met(state: State) -> None:
    """Refuse a line that waits for another one where none follows.

    Raises
    ------
    ProgramError
        Names its angle.
    """
    if state.open_line is not None:
        raise state.open_line.error(_NEEDS)


def begun(one: ReadBlock, words: CornerWords) -> State:
    """Keep a block that has an angle and no axis.

    Raises
    ------
    ProgramError
        If the block before it has no end yet, or its motion is open.
    """
    state = one.state
    require_met(state)
    assert words.angle is not None  # noqa: S101 - the caller asked
    doubts = code_systems.moves(
        one.block, state.doubts, words.angle, state.systems, stated="motion" in one.codes, feeds=True
    )
    state = state._replace(doubts=doubts)
    return state._replace(open_line=OpenLine(one.block, words.angle, words.size, state))


def met(one: ReadBlock, words: CornerWords) -> tuple[ReadBlock, CornerWords, Corner | None]:
    """Run the line that waits to where the line of this block crosses it.

    Returns
    -------
    one : ReadBlock
        This block, from the crossing on.
    words : CornerWords
        Of this block, without its angle.
    corner : Corner, optional
        Between both lines.

    Raises
    ------
    ProgramError
        If this block does not say where its line lies, or the lines do not cross.
    """
    line = one.state.open_line
    assert line is not None  # noqa: S101 - the caller asked
    if one.state.motion != 1 or words.angle is None or not ("X" in one.words and "Z" in one.words):
        raise line.error(_NEEDS)
    if not one.state.absolute:
        raise line.error("needs the end of the next line as coordinates: write G90 before it")
    state = told_of_lengths(one.block, one.words, one.state, one.notes)
    end = target(one.block, one.words, state, one.reading)
    at = crossing(line, words.angle, end)
    before = line.state._replace(at=state.at)
    one.programmed.append(
        Programmed(move_of(line.block, {}, before, at, one.reading), before.side, before.tool)
    )
    corner = corner_of(line.block, CornerWords(line.size), before, one.reading, at)
    return one.after(state._replace(at=at, open_line=None)), words._replace(angle=None), corner


def crossing(line: OpenLine, angle: Word, end: Point) -> Point:
    """Return where a line that waits meets the one that ends at (x, z), mm, at an angle.

    Raises
    ------
    ProgramError
        If they are parallel, meet where one of them has no length, or beyond any lathe.
    """
    start = line.state.at
    (ux, uz), (vx, vz) = (
        (math.sin(a), math.cos(a)) for a in (math.radians(word.value) for word in (line.angle, angle))
    )
    across = ux * vz - uz * vx
    if abs(across) < _LEAST_TURN:
        raise line.error(f"is the angle of a line that {angle.text} of the next block never meets")
    along = ((end[0] - start[0]) * vz - (end[1] - start[1]) * vx) / across
    found = (start[0] + along * ux, start[1] + along * uz)
    if min(math.dist(found, start), math.dist(found, end)) <= _NONE:
        raise line.error("meets the line of the next block where one of them has no length")
    if max(map(abs, found)) > LARGEST_COORDINATE:
        raise line.error(f"meets the line of the next block beyond {LARGEST_COORDINATE:g} mm")
    return found
