"""Which tool a T word calls, where it can mean one tool only."""

from __future__ import annotations

from collections.abc import Collection

from sim.programs.words import Block, ProgramError, Word

TOOL_CHANGE = 6.0


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


def takes_offset_off(word: Word, known: Collection[int]) -> bool:
    """Tell whether a T word calls offset 0; a whole number that is stated as a tool's calls no offset."""
    number = int(word.value)
    return number == 0 or (number >= 100 and number % 100 == 0 and number not in known)


def called(
    block: Block, word: Word, before: int | None, known: Collection[int], notes: list[str]
) -> int | None:
    """Return the tool that a T word calls: by its whole number, or by the station before two digits of offset.

    Parameters
    ----------
    block, word
    before : int or None
        The tool in force.
    known : collection of int
        Stated tools; without any the word's number counts.
    notes : list of str
        Is told where an offset is taken off, or another one called than that of the station.

    Raises
    ------
    ProgramError
        If the word can mean two tools, or none that is stated.
    """
    if word.value < 0.0 or word.value != int(word.value):
        raise ProgramError(block.line, word.text, "must be a whole number of 0 or more")
    number, digits = int(word.value), word.text[1:].lstrip("+").split(".")[0]
    station = number // 100 if number >= 100 else number
    if len(digits) > 2 and 0 < number < 100:
        raise ProgramError(
            block.line, word.text,
            f"can mean tool {number}, or offset {number} without a station; write T{number} or "
            f"T{number:02d}{number:02d}",
        )  # fmt: skip
    if takes_offset_off(word, known):
        notes.append(
            f"line {block.line}: {word.text} takes the offset off; moves are judged as if it stayed on"
        )
    if number not in known and 100 <= number < 10_000 and number % 100 not in (0, station):
        notes.append(
            f"line {block.line}: {word.text} calls offset {number % 100} in station {station}: the tip is judged where "
            "the station's own offset has it"
        )
    if not known:
        return number
    if station == 0:
        return before  # takes the offset off, no other tool
    found = number if number in known or len(digits) > 4 else station
    if found not in known:
        stated = ", ".join(str(one) for one in sorted(known))
        raise ProgramError(block.line, word.text, f"calls a tool that is not among those stated: {stated}")
    return found
