"""A block that calls or repeats a cycle: which words are the cycle's, and its moves with line, speed and feed."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from typing import NamedTuple

from sim.programs import code_systems
from sim.programs.axis_words import told_of_lengths
from sim.programs.code_groups import CodeSystem
from sim.programs.compensation import Programmed
from sim.programs.feed_words import INCH, LARGEST_FEED, require_feed
from sim.programs.modal import State
from sim.programs.modal_words import settings
from sim.programs.motion import feed_per_turn, require_settled
from sim.programs.path import Move
from sim.programs.read_block import ReadBlock
from sim.programs.reading import Reading
from sim.programs.speed_words import speed_between, surface_speed
from sim.programs.words import Block, ProgramError, Word, by_address, require_only

# A lead may be more than any feed of a cut: trapezoidal threads have 12 mm at Tr 100 and more
# beyond (ISO 2901, as an open library of threads has it).
LARGEST_LEAD, LEAST_LEAD = 50.0, 0.05  # mm
LEAST_INCREMENT = 1e-3  # mm, of P and Q, which take no decimal point (common practice, no source)
LEAST_PECK = 0.01  # mm: less is a P or Q that does not count increments
_MOVES_BY_ITSELF = ("motion", "dwell", "home", "limit")


class CycleBlock(NamedTuple):
    """A block that calls a cycle: its own words by letter, and what holds after the other words of the block."""

    block: Block
    name: str
    words: dict[str, Word]
    state: State
    reading: Reading
    notes: list[str]

    def refused(self, letter: str, message: str) -> ProgramError:
        """Return the refusal of one of the cycle's words, or of the block where it has none such."""
        word = self.words.get(letter)
        return ProgramError(self.block.line, self.name if word is None else word.text, message)


def system_of(reading: Reading) -> CodeSystem | None:
    """Return the code system that the control uses, where it is known."""
    return reading.code_system


def called(one: ReadBlock, code: Word | None, name: str, letters: str) -> CycleBlock:
    """Take the words of a cycle out of a block and follow the others.

    Parameters
    ----------
    one : ReadBlock
        Without its words by letter: they are told apart here.
    code : Word or None
        That calls the cycle; None where the block repeats it.
    name : str
        Of the cycle, for messages, as in 'G76'.
    letters : str
        Of the words that are the cycle's.

    Raises
    ------
    ProgramError
        If the block holds a word or a function that does not go with the cycle.
    """
    block, state, programmed = one.block, one.state, one.programmed
    own: dict[str, Word] = {}
    rest = []
    for word in block.words:
        if word is code:
            continue
        if word.letter not in letters:
            rest.append(word)
        elif word.letter in own:
            raise ProgramError(block.line, word.text, f"gives {word.letter} a second time in the block")
        else:
            own[word.letter] = word
    other = block._replace(words=tuple(rest))
    codes, words = by_address(other, state.systems)
    for group in _MOVES_BY_ITSELF:
        if group in codes:
            raise ProgramError(block.line, codes[group].text, f"and {name} exclude each other in a block")
    require_only(block, words, "NFST", name)
    doubts = code_systems.told(other, state.doubts, state.systems)
    axis = next((word for word in own.values() if word.letter in "XZUW"), code)
    state = settings(one._replace(block=other, codes=codes, words=words, state=state._replace(doubts=doubts)))
    if axis is not None:
        state = state._replace(
            doubts=code_systems.moves(other, state.doubts, axis, state.systems, stated=True, feeds=True)
        )
    if state.side != "none" or (programmed and programmed[-1].side != "none"):
        raise ProgramError(
            block.line, name,
            "must not come while G41 or G42 is on: controls differ in what they do with a nose radius in a cycle; end "
            "it by G40 along a straight move first",
        )  # fmt: skip
    state = told_of_lengths(block, own, state, one.notes)
    return CycleBlock(block, name, own, state, one.reading, one.notes)


def finished(asked: CycleBlock, moves: Sequence[Move], programmed: list[Programmed]) -> State:
    """Append the moves of a cycle with line, speed and feed, and return the state at their end.

    Raises
    ------
    ProgramError
        If the program leaves speed or feed open, or the cycle moves nothing.
    """
    block, state = asked.block, asked.state
    if not moves:
        raise ProgramError(block.line, asked.name, "must end at another place than where the tool stands")
    for move in moves:
        speed, feed = speed_between(state, move.start[0], move.end[0]), move.feed
        if move.kind == "feed":
            require_settled(block, state, speed)
            if move.thread is None:
                feed = feed_per_turn(state, [move.start[0], move.end[0]], asked.reading)
            require_feed(block, feed)
        complete = dataclasses.replace(
            move,
            block=state.block,
            line=block.line,
            ordinal=block.ordinal,
            speed=speed,
            surface_speed=surface_speed(state),
            feed=feed,
        )
        programmed.append(Programmed(complete, "none", state.tool))
    if any(one.move.speed == math.inf for one in programmed[-len(moves) :]):
        asked.notes.append(f"line {block.line}: constant cutting speed up to the axis without a speed limit")
    return state._replace(at=moves[-1].end, motion=None)


def lead_of(asked: CycleBlock, word: Word) -> float:
    """Return the lead of a thread, mm a turn.

    Raises
    ------
    ProgramError
        If it is none, or where feeds count by the minute or the cutting speed is constant.
    """
    block, state = asked.block, asked.state
    if state.feed_per_minute:
        raise ProgramError(
            block.line, word.text,
            "is the lead of a thread while feeds count by the minute: controls differ in what it then is; call feed "
            "per revolution first",
        )  # fmt: skip
    if asked.reading.points_count and not word.decimal:
        raise ProgramError(
            block.line, word.text,
            "has no decimal point: which increments of lead it counts differs from control to control; write the point",
        )  # fmt: skip
    lead = word.value * (INCH if state.inch else 1.0)
    if not LEAST_LEAD <= lead <= LARGEST_LEAD:
        raise ProgramError(
            block.line, word.text,
            f"would be a lead of {lead:g} mm; {LEAST_LEAD:g} to {LARGEST_LEAD:g} mm are followed",
        )  # fmt: skip
    if lead > LARGEST_FEED:
        asked.notes.append(f"line {block.line}: {word.text} is read as a lead of {lead:g} mm a turn")
    return lead


def require_steady(asked: CycleBlock) -> None:
    """Refuse a thread at constant cutting speed.

    Raises
    ------
    ProgramError
        If G96 is on.
    """
    if asked.state.constant_cut:
        raise ProgramError(
            asked.block.line, asked.name,
            "cuts a thread at constant cutting speed (G96): the speed changes from pass to pass, and with it where the "
            "thread begins; write G97 with S before it",
        )  # fmt: skip


def with_lead(state: State, lead: float) -> State:
    """Return the state with a lead as F: later cuts without F feed as far, if a cut can."""
    return state._replace(lead=lead, feed=lead if lead <= LARGEST_FEED else None)


def counted(asked: CycleBlock, word: Word, *, least: float = LEAST_PECK) -> float:
    """Return a length by P or Q, mm: in increments, as they take no decimal point; with one in mm or inches.

    Raises
    ------
    ProgramError
        If it is less than `least` (mm).
    """
    unit = INCH if asked.state.inch else 1.0
    if not word.decimal:
        unit *= (asked.reading.least_increment or LEAST_INCREMENT) * (0.1 if asked.state.inch else 1.0)
    value = abs(word.value) * unit
    if value < least:
        raise ProgramError(
            asked.block.line, word.text,
            f"is {value:g} mm: P and Q count increments without a decimal point, and mm or inches with one; at least "
            f"{least:g} mm are followed",
        )  # fmt: skip
    return value
