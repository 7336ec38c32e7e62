"""Codes that mean one thing in one code system of lathes and another in another.

Three systems are common. In the commonest one G90, G92 and G94 are single cycles (turning, thread, facing) that stay
in force until another motion is given, G98 and G99 are feed per minute and per revolution, and increments are U and
W. In a second one, near to ISO 6983-1, G90 and G91 choose absolute and incremental coordinates, G92 sets a speed
limit or a coordinate system, G94 and G95 are feed per minute and per revolution, and G98 and G99 say how far cycles
return. In a third one G20, G21 and G24 are the single cycles. (Common practice, no source.)

Which one a program is written in cannot be stated yet, so nothing is followed that differs between them: what moves
an axis under such a code is refused. G91 and G95 do not exist in the first system: a control of that system stops
there, so from there on a program is taken to be of the others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from sim.programs.words import Block, ProgramError, Word

_CYCLES = {
    90.0: "in the commonest code system of lathes G90, G92 and G94",
    92.0: "in the commonest code system of lathes G90, G92 and G94",
    94.0: "in the commonest code system of lathes G90, G92 and G94",
    20.0: "in one code system of lathes G20, G21 and G24",
    21.0: "in one code system of lathes G20, G21 and G24",
}
_METRIC_OR_INCH = (20.0, 21.0)
_ELSEWHERE = (91.0, 95.0)  # do not exist where G90, G92 and G94 are cycles
_AXES = "XZUW"
_UNSTATED = "which code system is meant cannot be stated yet"


class Place(NamedTuple):
    """Where a code stood."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Doubts:
    """What the codes in force can also mean.

    Attributes
    ----------
    modes : bool
        The program has proved that G90, G92 and G94 are no cycles in it.
    motion : Place, optional
        A code that may have made the next motion without G0 to G3 a cycle.
    feed : Place, optional
        A G94 in force that may be no feed per minute.
    limit : Place, optional
        A G92 S that may be no speed limit.
    per_minute : Place, optional
        A G98 in force that was read as feed per minute.
    by_g94 : bool
        Feed per minute is in force by G94.
    """

    modes: bool = False
    motion: Place | None = None
    feed: Place | None = None
    limit: Place | None = None
    per_minute: Place | None = None
    by_g94: bool = False


def told(block: Block, doubts: Doubts) -> Doubts:
    """Return what is in doubt after the codes of a block.

    Raises
    ------
    ProgramError
        If the block moves an axis by a code that is a cycle in some code system, or mixes code systems.
    """
    codes = {word.value: word for word in block.words if word.letter == "G"}
    axis = next((word for word in block.words if word.letter in _AXES), None)
    for code, where in _CYCLES.items():
        if code in codes and axis is not None:
            text = codes[code].text
            raise ProgramError(
                block.line, text,
                f"stands in a block with {axis.text}: {where} with an axis word are single cycles, and {_UNSTATED}; "
                f"write cycles out by G0, G1, G2, G3, and {text} on a line without axis words",
            )  # fmt: skip
    modes = doubts.modes or any(code in codes for code in _ELSEWHERE)
    if doubts.per_minute is not None:
        for code in (*_ELSEWHERE, 94.0):
            if code in codes:
                raise ProgramError(
                    block.line, codes[code].text,
                    f"does not go with {doubts.per_minute.text} of line {doubts.per_minute.line}, a feed per minute in "
                    f"another code system only; {_UNSTATED}",
                )  # fmt: skip
    if modes and not doubts.modes:
        kept = doubts.motion if doubts.motion is not None and _metric_or_inch(doubts.motion) else None
        doubts = replace(doubts, motion=kept, feed=None, limit=None)
    return _feeds(block, codes, _motions(block, codes, replace(doubts, modes=modes)))


def moves(block: Block, doubts: Doubts, axis: Word, *, stated: bool, feeds: bool) -> Doubts:
    """Return what is in doubt after a block that moves an axis.

    Parameters
    ----------
    block, doubts
        The block, and what was in doubt before its motion.
    axis : Word
        That moves.
    stated : bool
        The block holds its motion, G0 to G3.
    feeds : bool
        It moves at feed.

    Raises
    ------
    ProgramError
        If the motion, its feed or its speed would be another in another code system.
    """
    if doubts.motion is not None and not stated:
        raise ProgramError(
            block.line, axis.text,
            f"moves an axis without G0, G1, G2 or G3 after {doubts.motion.text} of line {doubts.motion.line}, which is "
            f"a cycle in one code system of lathes; {_UNSTATED}, so write the motion into this block",
        )  # fmt: skip
    if doubts.limit is not None:
        raise ProgramError(
            doubts.limit.line, doubts.limit.text,
            f"with S is a speed limit in one code system of lathes and a thread cycle in another, and {_UNSTATED}; "
            "write G50 S, or G95 before it",
        )  # fmt: skip
    if feeds and doubts.feed is not None:
        raise ProgramError(
            doubts.feed.line, doubts.feed.text,
            f"is feed per minute in one code system of lathes and a facing cycle in another, and {_UNSTATED}; write "
            "G95 and feeds per revolution",
        )  # fmt: skip
    return replace(doubts, motion=None) if stated else doubts


def _metric_or_inch(place: Place) -> bool:
    return float(place.text[1:]) in _METRIC_OR_INCH


def _motions(block: Block, codes: dict[float, Word], doubts: Doubts) -> Doubts:
    """Note a cycle's code without an axis word, and a speed limit by G92."""
    for code in _CYCLES:
        if code in codes and (code in _METRIC_OR_INCH or not doubts.modes):
            doubts = replace(doubts, motion=Place(block.line, codes[code].text))
    if 92.0 in codes and not doubts.modes:
        doubts = replace(doubts, limit=Place(block.line, codes[92.0].text))
    return doubts


def _feeds(block: Block, codes: dict[float, Word], doubts: Doubts) -> Doubts:
    """Note which code says how feeds are meant, and refuse those of another code system than the one proved."""
    if 98.0 in codes:
        if doubts.modes:
            raise ProgramError(
                block.line, codes[98.0].text,
                "says how far a cycle returns where G91 and G95 are used, and is feed per minute in another code "
                "system; write G94",
            )  # fmt: skip
        return replace(doubts, per_minute=Place(block.line, codes[98.0].text), by_g94=False, feed=None)
    if 99.0 in codes:
        if doubts.by_g94:
            raise ProgramError(
                block.line, codes[99.0].text,
                "says how far a cycle returns where G94 is feed per minute, and is feed per revolution in another code "
                "system; write G95",
            )  # fmt: skip
        return replace(doubts, per_minute=None)
    if 94.0 in codes:
        doubt = None if doubts.modes else Place(block.line, codes[94.0].text)
        return replace(doubts, by_g94=True, feed=doubt)
    if 95.0 in codes:
        return replace(doubts, by_g94=False, feed=None)
    return doubts
