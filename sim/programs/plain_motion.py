"""Blocks that say no more than where a move ends: X, Z, U and W, at most with G0 to G3, R, I, K, F and its number.

Most lines of a long program are such blocks. What else a block can say they do not, so they need not be asked for it:
once nothing is open that the next block must answer, their number, their motion, their feed and their end are all there
is. A block that could say more, or would be refused, is left to the way that all others go.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from meshes.points import Point
from sim.programs.axis_words import LARGEST_COORDINATE, zero_z
from sim.programs.compensation import Programmed
from sim.programs.feed_words import INCH
from sim.programs.modal import State
from sim.programs.motion import Pace, move_of, pace_of
from sim.programs.path import Move
from sim.programs.plain_lines import PlainLine
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, block_of

_LETTERS = frozenset("NGXZUW")


def block_at(line: Block | PlainLine) -> Block:
    """Return a block with its words."""
    if isinstance(line, Block):
        return line
    return block_of(line.line, line.text)._replace(ordinal=line.ordinal)


def plain_moves(
    found: Sequence[Block | PlainLine],
    first: int,
    state: State,
    reading: Reading,
    feeds: Mapping[str, float],
    programmed: list[Programmed],
) -> tuple[int, State]:
    """Follow blocks of plain motion as far as they surely are followed.

    Parameters
    ----------
    found, first
        The blocks in the order in which they run, and the place of the first.
    state : State
    reading : Reading
    feeds : mapping of str to float
        Feeds as in `State` by the number of their F word, as far as such words have been followed in this mode.
    programmed : list of Programmed
        Moves are put behind it.

    Returns
    -------
    place : int
        Of the first block that is not followed so.
    state : State

    Raises
    ------
    ProgramError
        If a move feeds at a speed, a feed or with an offset that the program leaves open.
    """
    if not nothing_open(state):
        return first, state
    lengths = _lengths(found[first].line, state, reading)
    reaches = state.absolute and state.without_offset is None
    told = state.increments_told or "G90 cycles" in state.systems  # what U and W mean, where it is to be
    beside = state.side != "none"
    compensating = beside or (bool(programmed) and programmed[-1].side != "none")
    at, motion, number, reached = state.at, state.motion, state.block, state.reached
    steady: Pace | None = None  # of feed moves, as long as F is the same
    place = first
    while place < len(found):
        one = found[place]
        line = one if isinstance(one, PlainLine) else _plain(one, reading)
        if line is None or not (told or (line.u is None and line.w is None)):
            break
        way = motion if line.motion is None else line.motion
        feed = feeds.get(line.feed) if line.feed else state.feed
        end = _end(line, at, lengths)
        if way is None or (way > 1) is not line.arc or (line.feed and feed is None) or end is None:
            break
        if feed != state.feed:
            state, steady = state._replace(feed=feed), None
        if line.arc:
            move = _arc(line, state.moved(at, way, line.number, reached=reached), end, reading)
        else:
            pace = steady if way == 1 else None
            if pace is None:
                pace = pace_of(line, "feed" if way else "rapid", state, reading, (at[0], end[0]))
                steady = pace if way == 1 and not state.constant_cut else steady
            # With numbers of its own, a move keeps none of the memory in which its line was: that is given back.
            move = Move(
                "feed" if way else "rapid", at, end, block=line.number, line=line.line + 0, speed=pace.speed,
                feed=pace.feed, surface_speed=pace.surface_speed, ordinal=line.ordinal + 0,
            )  # fmt: skip
        if move.speed == math.inf:
            break
        if compensating or line.arc or end != at:
            programmed.append(Programmed(move, state.side, state.tool))
            compensating = beside
        at, motion, number = end, way, line.number
        reached = reached or (reaches and line.z is not None)
        place += 1
    return place, state.moved(at, motion, number, reached=reached)


class _Lengths(NamedTuple):
    """How the lengths of plain lines count.

    Attributes
    ----------
    unit : float
        mm.
    share : float
        Of X in the radius, no unit.
    zero : float or None
        z of the zero point in the frame of the chuck, mm; None where it is open which one that is.
    absolute : bool
    """

    unit: float
    share: float
    zero: float | None
    absolute: bool


def _lengths(line: int, state: State, reading: Reading) -> _Lengths:
    try:
        zero = zero_z(Block(line, (), ""), state, reading)
    except ProgramError:
        zero = None
    return _Lengths(INCH if state.inch else 1.0, 0.5 if reading.diameter else 1.0, zero, state.absolute)


def _end(line: PlainLine, at: Point, lengths: _Lengths) -> Point | None:
    """Return where a line ends, (x, z) in mm; None where it may be refused."""
    unit, share, zero, absolute = lengths
    x, z = at
    if line.x is not None:
        far = line.x * unit
        if not -LARGEST_COORDINATE <= far <= LARGEST_COORDINATE:
            return None
        x = share * far + 0.0 if absolute else x + share * far
    elif line.u is not None:
        far = line.u * unit
        if not -LARGEST_COORDINATE <= far <= LARGEST_COORDINATE:
            return None
        x += share * far
    if line.z is not None:
        far = line.z * unit
        if zero is None or not -LARGEST_COORDINATE <= far <= LARGEST_COORDINATE:
            return None
        z = far + zero if absolute else z + far
    elif line.w is not None:
        far = line.w * unit
        if not -LARGEST_COORDINATE <= far <= LARGEST_COORDINATE:
            return None
        z += far
    return (x, z) if max(abs(x), abs(z)) <= 2.0 * LARGEST_COORDINATE else None


def _arc(line: PlainLine, state: State, end: Point, reading: Reading) -> Move:
    """Return the move of a line with R, I or K."""
    block = block_at(line)
    words = {word.letter: word for word in block.words if word.letter != "G"}
    return move_of(block, words, state, end, reading)


def _plain(block: Block, reading: Reading) -> PlainLine | None:
    """Return a block whose numbers are computed, say, as a plain line without an arc or a feed, if it surely is one."""
    words = {word.letter: word for word in block.words}
    axes = [word for word in block.words if word.letter in "XUZW"]
    if len(words) < len(block.words) or not words.keys() <= _LETTERS or not axes:
        return None
    if words.keys() >= {"X", "U"} or words.keys() >= {"Z", "W"}:
        return None
    if reading.points_count and not all(word.decimal for word in axes):
        return None
    x, u, z, w, number, motion = (words[letter].value if letter in words else None for letter in "XUZWNG")
    if motion is not None and motion not in (0.0, 1.0):
        return None
    return PlainLine(
        block.line,
        "",
        block.ordinal,
        number=None if number is None else int(number),
        motion=None if motion is None else int(motion),
        x=x,
        u=u,
        z=z,
        w=w,
        arc=False,
        feed="",
    )


def nothing_open(state: State) -> bool:
    """Tell whether nothing of earlier blocks is left that a block of plain motion would have to answer or end."""
    doubts = state.doubts
    return (
        state.cycle is None
        and state.corner is None
        and state.open_line is None
        and state.line_corner is None
        and state.motion_left is None
        and state.side_left is None
        and state.unit_told
        and doubts.motion is None
        and doubts.limit is None
        and doubts.feed is None
        and doubts.dropped is None
    )
