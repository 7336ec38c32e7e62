"""Which tool a T word calls, where it can mean one tool only."""

from __future__ import annotations

from collections.abc import Collection

from sim.programs.tool_digits import Digits, ToolWord, as_ruled, digits
from sim.programs.words import Block, ProgramError, Word

TOOL_CHANGE = 6.0


class ToolNotStatedError(ProgramError):
    """A T word calls a tool that the table of tools does not have."""


def one_block(block: Block) -> None:
    """Refuse T and M6 apart: a T word then only makes a tool ready, and M6 changes to it later.

    Raises
    ------
    ProgramError
        Names the one that stands alone.
    """
    tool = next((word for word in block.words if word.letter == "T"), None)
    change = next((word for word in block.words if word.letter == "M" and word.value == TOOL_CHANGE), None)
    if (tool is None) != (change is None):
        word = tool or change
        assert word is not None  # noqa: S101 - one of them is there
        raise ProgramError(
            block.line, word.text, "leaves open when the tool changes: T and M6 must stand in one block"
        )


def takes_offset_off(word: Word, known: Collection[int], rule: ToolWord | None = None) -> bool:
    """Tell whether a T word calls offset 0; a whole number that is stated as a tool's calls no offset."""
    number = int(word.value)
    if rule is not None:
        return number == 0 or digits(number, rule).offset == 0
    return number == 0 or (number >= 100 and number % 100 == 0 and number not in known)


def called(
    block: Block,
    word: Word,
    before: int | None,
    known: Collection[int],
    notes: list[str],
    rule: ToolWord | None = None,
) -> int | None:
    """Return the tool that a T word calls: by its whole number, or by its station.

    Parameters
    ----------
    block, word
    before : int or None
        The tool in force.
    known : collection of int
        Stated tools; without any the word's number counts.
    notes : list of str
        Is told where an offset is taken off, or another one called than that of the station.
    rule : ToolWord, optional
        What the digits name; without it the last two of three or four are the offset.

    Raises
    ------
    ProgramError
        If the word can mean two tools, or none that is stated.
    """
    if word.value < 0.0 or word.value != int(word.value):
        raise ProgramError(block.line, word.text, "must be a whole number of 0 or more")
    number = int(word.value)
    station, offset = _as_usual(block, word, known) if rule is None else as_ruled(block, word, rule)
    if takes_offset_off(word, known, rule):
        notes.append(
            f"line {block.line}: {word.text} takes the offset off; moves are judged as if it stayed on"
        )
    if offset not in (None, 0, station):
        where = f"in station {station}" if station else "for the tool that stands at the cut"
        notes.append(
            f"line {block.line}: {word.text} calls offset {offset} {where}: the tip is judged where the station's own "
            "offset has it"
        )
    if station == 0 and (known or rule is not None):
        return before  # another offset or none, no other tool
    if not known:
        return number
    found = number if number in known and (rule is None or number >= 100) else station
    if found not in known:
        stated = ", ".join(str(one) for one in sorted(known))
        raise ToolNotStatedError(
            block.line, word.text, f"calls a tool that is not among those stated: {stated}"
        )
    return found


def _as_usual(block: Block, word: Word, known: Collection[int]) -> Digits:
    """Return station and offset of a T word of usual length, where it is not stated what its digits name."""
    number, written = int(word.value), word.text[1:].lstrip("+").split(".")[0]
    if len(written) > 2 and 0 < number < 100:
        raise ProgramError(
            block.line, word.text,
            f"can mean tool {number}, or offset {number} without a station; tool_word must state which digits name "
            f"the station, or write T{number} or T{number:02d}{number:02d}",
        )  # fmt: skip
    if len(written) > 4:
        return Digits(number, None)
    named = 100 <= number < 10_000 and number not in known
    return Digits(number // 100 if number >= 100 else number, number % 100 if named else None)
