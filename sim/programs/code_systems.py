"""Codes that mean one thing in one code system of lathes and another in another.

Three systems are common. In the commonest one G90, G92 and G94 are single cycles (turning, thread, facing) that stay
in force until another motion is given, G98 and G99 are feed per minute and per revolution, and increments are U and
W. In a second one, near to ISO 6983-1, G90 and G91 choose absolute and incremental coordinates, G92 sets a speed
limit or a coordinate system, G94 and G95 are feed per minute and per revolution, and G98 and G99 say how far cycles
return. In a third one G20, G21 and G24 are the single cycles. (Common practice, no source.)

Which one is meant is stated, or follows from words of the program (`sim.programs.system_words`). Where several are
left and a word moves an axis or sets a feed or a speed in another way in each, the program is refused with a question.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple, get_args

from sim.programs.code_groups import CodeSystem, single_cycle
from sim.programs.words import Block, ProgramError, Word

_G90: CodeSystem = "G90 cycles"
_G20: CodeSystem = "G20 cycles"
_CYCLES: dict[float, CodeSystem] = {90.0: _G90, 92.0: _G90, 94.0: _G90, 20.0: _G20, 21.0: _G20}
_WHERE: dict[CodeSystem, str] = {
    _G90: "in the commonest code system of lathes G90, G92 and G94",
    _G20: "in one code system of lathes G20, G21 and G24",
}
_METRIC_OR_INCH = (20.0, 21.0)
_AXES = "XZUW"
_MOTIONS = frozenset((0.0, 1.0, 2.0, 3.0))  # the same in all of them


class Place(NamedTuple):
    """Where a code stood."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Doubts:
    """What the codes in force can also mean.

    Attributes
    ----------
    motion : Place, optional
        A code that may have made the next motion without G0 to G3 a cycle.
    feed : Place, optional
        A G94 in force that may be no feed per minute.
    limit : Place, optional
        A G92 S that may be no speed limit.
    per_minute : Place, optional
        A G98 in force that was read as feed per minute and may be none.
    dropped : Place, optional
        A G98 or G99 that may have left the feed before it in force, or not.
    by_g94 : bool
        Feed per minute is in force by G94.
    """

    motion: Place | None = None
    feed: Place | None = None
    limit: Place | None = None
    per_minute: Place | None = None
    dropped: Place | None = None
    by_g94: bool = False


def question(systems: frozenset[CodeSystem]) -> str:
    """Ask which of several code systems is meant."""
    return "code_system must state " + " or ".join(
        repr(system) for system in get_args(CodeSystem) if system in systems
    )


def only(system: CodeSystem, systems: frozenset[CodeSystem]) -> bool:
    """Tell whether a system is the only one left."""
    return len(systems) == 1 and system in systems


def told(block: Block, doubts: Doubts, systems: frozenset[CodeSystem]) -> Doubts:
    """Return what is in doubt after the codes of a block, in one of several systems.

    Raises
    ------
    ProgramError
        If the block moves an axis by a code that is a cycle in one of the systems, or mixes code systems.
    """
    codes = {word.value: word for word in block.words if word.letter == "G"}
    if codes.keys() <= _MOTIONS:
        return doubts
    axis = next((word for word in block.words if word.letter in _AXES), None)
    for code, system in _CYCLES.items():
        if code in codes and axis is not None and system in systems and len(systems) > 1:
            text = codes[code].text
            raise ProgramError(
                block.line, text,
                f"stands in a block with {axis.text}: {_WHERE[system]} with an axis word are single cycles; "
                f"{question(systems)}, or write cycles out by G0, G1, G2, G3, and {text} on a line without axis words",
            )  # fmt: skip
    if 95.0 in codes and axis is not None and _G90 in systems and not any(code in codes for code in _MOTIONS):
        text = codes[95.0].text
        raise ProgramError(
            block.line, text,
            f"stands in a block with {axis.text} and no motion: it is a tapping cycle on some controls; "
            f"{question(systems)}, or write {text} on a line without axis words",
        )  # fmt: skip
    _one_system(block, codes, axis, systems)
    return _feeds(block, codes, _motions(block, codes, doubts, systems), systems)


def moves(
    block: Block,
    doubts: Doubts,
    axis: Word,
    systems: frozenset[CodeSystem],
    *,
    stated: bool,
    feeds: bool,
) -> Doubts:
    """Return what is in doubt after a block that moves an axis.

    Parameters
    ----------
    block, doubts
        The block, and what was in doubt before its motion.
    axis : Word
        That moves.
    systems : frozenset of CodeSystem
        That the program can be written in.
    stated : bool
        The block holds its motion, G0 to G3.
    feeds : bool
        It moves at feed.

    Raises
    ------
    ProgramError
        If the motion, its feed or its speed would be another in another code system.
    """
    asked = f"{question(systems)}, or " if len(systems) > 1 else ""
    if doubts.motion is not None and not stated:
        raise ProgramError(
            block.line, axis.text,
            f"moves an axis without G0, G1, G2 or G3 after {doubts.motion.text} of line {doubts.motion.line}, which is "
            f"a cycle in {'this' if not asked else 'one'} code system of lathes; {asked}write the motion into this "
            "block",
        )  # fmt: skip
    if doubts.limit is not None:
        raise ProgramError(
            doubts.limit.line, doubts.limit.text,
            f"with S is a speed limit in one code system of lathes and a thread cycle in another; {asked}write G50 S",
        )  # fmt: skip
    if feeds and doubts.feed is not None:
        raise ProgramError(
            doubts.feed.line, doubts.feed.text,
            f"is feed per minute in one code system of lathes and a facing cycle in another; {asked}write G95 and "
            "feeds per revolution",
        )  # fmt: skip
    if feeds and doubts.dropped is not None:
        raise ProgramError(
            block.line, axis.text,
            f"feeds without F after {doubts.dropped.text} of line {doubts.dropped.line}, which changes how feeds are "
            f"meant in one code system of lathes only; {asked}write F beside it",
        )  # fmt: skip
    return replace(doubts, motion=None) if stated and doubts.motion is not None else doubts


def _one_system(
    block: Block, codes: dict[float, Word], axis: Word | None, systems: frozenset[CodeSystem]
) -> None:
    """Refuse what the one code system that is left has another code for."""
    if only(_G20, systems):
        for code in _METRIC_OR_INCH:
            if code in codes and axis is None:
                raise ProgramError(
                    block.line, codes[code].text,
                    "is a single cycle where code_system is 'G20 cycles': write G70 for inches and G71 for mm, or "
                    "state another code_system",
                )  # fmt: skip
    if only(_G90, systems) and 92.0 in codes and axis is None:
        raise ProgramError(
            block.line, codes[92.0].text,
            "is the thread cycle where code_system is 'G90 cycles', and no axis moves: write a speed limit as G50 S, "
            "or state another code_system",
        )  # fmt: skip


def _motions(
    block: Block, codes: dict[float, Word], doubts: Doubts, systems: frozenset[CodeSystem]
) -> Doubts:
    """Note a cycle's code without an axis word, and a speed limit by G92."""
    for code, word in codes.items():
        known = len(systems) == 1 and single_cycle(code, next(iter(systems))) is not None
        if known or (code in _CYCLES and _CYCLES[code] in systems):
            doubts = replace(doubts, motion=Place(block.line, word.text))
    if 92.0 in codes and _G90 in systems:
        doubts = replace(doubts, limit=Place(block.line, codes[92.0].text))
    return doubts


def _feeds(block: Block, codes: dict[float, Word], doubts: Doubts, systems: frozenset[CodeSystem]) -> Doubts:
    """Note which code says how feeds are meant, and refuse those of another code system."""
    several = len(systems) > 1
    asked = f"; {question(systems)}, or write " if several else "; write "
    if 98.0 in codes and several:
        if _G90 not in systems:
            raise ProgramError(
                block.line, codes[98.0].text,
                "says how far a cycle returns where G91 and G95 are used, and is feed per minute in another code "
                f"system{asked}G94",
            )  # fmt: skip
        return replace(doubts, per_minute=Place(block.line, codes[98.0].text), by_g94=False, feed=None)
    if 99.0 in codes and several:
        if doubts.by_g94:
            raise ProgramError(
                block.line, codes[99.0].text,
                "says how far a cycle returns where G94 is feed per minute, and is feed per revolution in another code "
                f"system{asked}G95",
            )  # fmt: skip
        return replace(doubts, per_minute=None)
    if 94.0 in codes and not only(_G90, systems):
        doubt = Place(block.line, codes[94.0].text) if _G90 in systems else None
        return replace(doubts, by_g94=True, feed=doubt)
    if 95.0 in codes:
        return replace(doubts, by_g94=False, feed=None)
    return doubts
