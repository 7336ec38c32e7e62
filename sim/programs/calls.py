"""What a block calls: another program (M98), a part of its own (M97), or a macro with arguments (G65).

Letters give local variables as in the usual table (common practice, no source): A #1, B #2, C #3, I J K #4 to #6, D E F
#7 to #9, H #11, M #13, Q R S T U V W X Y Z #17 to #26.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

PROGRAM, PART, MACRO = ("M", 98.0), ("M", 97.0), ("G", 65.0)
_SHORT = 10_000  # a program's number has four digits where those before them say how often it is run
ARGUMENTS = {
    "A": 1, "B": 2, "C": 3, "I": 4, "J": 5, "K": 6, "D": 7, "E": 8, "F": 9, "H": 11, "M": 13, "Q": 17, "R": 18,
    "S": 19, "T": 20, "U": 21, "V": 22, "W": 23, "X": 24, "Y": 25, "Z": 26,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Called:
    """A call.

    Attributes
    ----------
    line : int
    text : str
        The word that names what is called.
    what : {'program', 'part', 'macro'}
    number : int
        Of an O word, or of the N word of a part.
    times : int
        How often it is run, no unit.
    arguments : mapping of str to float
        Plain numbers by the name of the variable, no unit.
    note : str
        How the call was read, where that could be another one in another file; empty where not.
    """

    line: int
    text: str
    what: Literal["program", "part", "macro"]
    number: int
    times: int = 1
    arguments: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    note: str = ""


def called(block: Block, programs: Collection[int], reading: Reading) -> Called | None:
    """Return what a block calls, if it calls anything.

    Parameters
    ----------
    block : Block
    programs : collection of int
        Numbers of the programs in the text.
    reading : Reading

    Raises
    ------
    ProgramError
        If the call can mean two things, or what it calls is not there.
    """
    call = next((word for word in block.words if (word.letter, word.value) in (PROGRAM, PART, MACRO)), None)
    if call is None:
        return None
    kind = (call.letter, call.value)
    place = next((word for word in block.words if word.letter == "P"), None)
    if place is None:
        if kind == PART:
            return None  # it then ends an interruption by M96
        raise ProgramError(block.line, call.text, "calls a subprogram and must name it by P")
    if kind != MACRO:
        _nothing_else(block, call)
    number, times = whole_name(block, place), _times(block)
    if kind == PART:
        return Called(block.line, place.text, "part", number, times or 1)
    if kind == MACRO:
        if times not in (None, 1):
            raise ProgramError(
                block.line,
                call.text,
                "repeats a macro by L: whether it gets its arguments anew differs; call it again",
            )
        _in_text(block, place, number in programs, f"O{number}")
        return Called(block.line, place.text, "macro", number, 1, _arguments(block, call, reading))
    return _program(block, place, number, times, programs)


def _program(block: Block, place: Word, number: int, times: int | None, programs: Collection[int]) -> Called:
    """Tell a program's number from digits before it that say how often."""
    ways = [(number, times or 1)]
    if number >= _SHORT and times is None:
        ways.append((number % _SHORT, number // _SHORT))
    held = [way for way in ways if way[0] in programs]
    _in_text(block, place, bool(held), " or ".join(f"O{way[0]}" for way in ways))
    if len(held) > 1:
        raise ProgramError(
            block.line, place.text,
            f"can be program O{number}, or O{held[1][0]} run {held[1][1]} times: write the number of times as L",
        )  # fmt: skip
    (found, often) = held[0]
    note = ""
    if len(ways) > 1:
        note = (
            f"line {block.line}: {place.text} is read as program O{found}, run {often} time{'s'[: often > 1]}"
        )
    return Called(block.line, place.text, "program", found, often, note=note)


def _in_text(block: Block, place: Word, there: bool, what: str) -> None:  # noqa: FBT001 - one fact
    if not there:
        raise ProgramError(
            block.line,
            place.text,
            f"calls {what}, which this file does not hold: write it behind the first program",
        )


def _nothing_else(block: Block, call: Word) -> None:
    seen: set[str] = set()
    for word in block.words:
        if word is call:
            continue
        if word.letter not in "NPLO" or word.letter in seen:
            raise ProgramError(
                block.line,
                word.text,
                f"stands in a block with {call.text}, which takes P and L only: write it apart",
            )
        seen.add(word.letter)


def whole_name(block: Block, word: Word) -> int:
    """Return the number by which a word names a block or a program, or how often one runs.

    Raises
    ------
    ProgramError
        If it is no whole number of 1 or more.
    """
    if word.decimal or word.value < 1.0 or word.value != int(word.value):
        raise ProgramError(
            block.line, word.text, "must be a whole number of 1 or more, without a decimal point"
        )
    return int(word.value)


def _times(block: Block) -> int | None:
    word = next((word for word in block.words if word.letter == "L"), None)
    return None if word is None else whole_name(block, word)


def _arguments(block: Block, call: Word, reading: Reading) -> Mapping[str, float]:
    given: dict[str, float] = {}
    for word in block.words:
        if word is call or word.letter in "NPLO":
            continue
        if word.letter not in ARGUMENTS:
            raise ProgramError(block.line, word.text, f"is no argument of {call.text}")
        name = f"#{ARGUMENTS[word.letter]}"
        if name in given:
            raise ProgramError(block.line, word.text, f"gives {word.letter} a second time in the block")
        if not word.decimal and word.value != 0.0 and reading.points_count:
            raise ProgramError(
                block.line, word.text,
                f"has no decimal point: what an argument of {call.text} then counts differs by letter and control; "
                "write the point",
            )  # fmt: skip
        given[name] = word.value
    return given
