"""Cycles in the blocks of a program: which blocks call one, and between which N numbers its contour stands.

The contour stands in the blocks behind the cycle, which are then not run where they stand, or before it. What a control
takes where a number stands twice, or where other blocks lie between cycle and contour, differs: that is refused.
"""

from __future__ import annotations

from typing import NamedTuple

from sim.programs.cycle_words import Call, call_of, contour_cycle_of, names_its_contour
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

MOST_BLOCKS = 5000  # of a contour
_GEOMETRY = (0.0, 1.0, 2.0, 3.0, 40.0, 41.0, 42.0, 96.0, 97.0)
SPEEDS = (96.0, 97.0)
_COOLANT = (7.0, 8.0, 9.0)


class ContourCycle(NamedTuple):
    """A cycle in a list of blocks.

    Attributes
    ----------
    call : Call or None
        None for a block that only opens one.
    block : Block
        Without the words of the cycle: what it sets besides.
    contour : tuple of Block
        In order.
    resume : int
        Number of the block that runs after it.
    """

    call: Call | None
    block: Block
    contour: tuple[Block, ...]
    resume: int


def cycle_at(
    found: list[Block],
    number: int,
    reading: Reading,
    places: dict[float, list[int]],
) -> ContourCycle | None:
    """Return the cycle that a block calls or opens; None where it does neither.

    Parameters
    ----------
    found : list of Block
        All of the program, in the order in which they run; none is skipped.
    number : int
        Of the block among them.
    reading : Reading
    places : dict of float to list of int
        Where each N number stands; empty until a cycle asks for the first one.

    Raises
    ------
    ProgramError
        If its words or its contour are not in order.
    """
    block = found[number]
    named = contour_cycle_of(block, reading.code_system)
    if named is None:
        return None
    if not names_its_contour(block):
        follows = found[number + 1] if number + 1 < len(found) else None
        return _opened(block, named[1], follows, number, reading)
    call = call_of(block, found[number - 1] if number else None, reading)
    first, last = _ends(found, call, places)
    if first <= number <= last or first > number + 1:
        raise ProgramError(
            block.line, call.words["P"].text,
            "must name the block behind the cycle, or a contour that stands before it",
        )  # fmt: skip
    contour = tuple(found[first : last + 1])
    _require_contour(contour, call)
    resume = (last if first > number else number) + 1
    return ContourCycle(call, _besides(block, call.code, "PQUWDIKR"), contour, resume)


def _opened(block: Block, code: Word, follows: Block | None, number: int, reading: Reading) -> ContourCycle:
    """Return the first block of a cycle of two, which sets nothing by itself."""
    second = None if follows is None else contour_cycle_of(follows, reading.code_system)
    if follows is None or second is None or second[1].value != code.value:
        raise ProgramError(
            block.line, code.text,
            f"opens a cycle of two blocks: the next one must be {code.text} with P and Q",
        )  # fmt: skip
    if not names_its_contour(follows):
        raise ProgramError(follows.line, second[1].text, f"opens the cycle of line {block.line} again")
    return ContourCycle(None, _besides(block, code, "UWR"), (), number + 1)


def _ends(found: list[Block], call: Call, places: dict[float, list[int]]) -> tuple[int, int]:
    """Return the places of the first and the last block of a contour."""
    block = call.block
    if not places:
        for number, one in enumerate(found):
            for word in one.words:
                if word.letter == "N":
                    places.setdefault(word.value, []).append(number)
    first, last = (
        _numbered(found, call.words[letter], block, places.get(call.words[letter].value, []))
        for letter in "PQ"
    )
    if last < first:
        raise ProgramError(
            block.line, call.words["Q"].text,
            f"must stand behind block {call.words['P'].text[1:]}, found it in line {found[last].line}",
        )  # fmt: skip
    if last - first >= MOST_BLOCKS:
        raise ProgramError(block.line, call.code.text, f"has a contour of over {MOST_BLOCKS} blocks")
    return first, last


def _numbered(found: list[Block], name: Word, block: Block, places: list[int]) -> int:
    """Return the place of the one block with an N number."""
    number = f"N{int(name.value)}"
    if not places:
        raise ProgramError(block.line, name.text, f"names a block {number} that is not in the program")
    if len(places) > 1:
        lines = " and ".join(str(found[place].line) for place in places[:2])
        raise ProgramError(
            block.line, name.text,
            f"names {number}, which stands in lines {lines}: which one is meant differs from control to control; "
            "number the contour apart",
        )  # fmt: skip
    return places[0]


def _require_contour(contour: tuple[Block, ...], call: Call) -> None:
    """Refuse blocks of a contour that do more than move along it."""
    for block in contour:
        for word in block.words:
            if (
                (word.letter == "G" and word.value not in _GEOMETRY)
                or (word.letter == "M" and word.value not in _COOLANT)
                or word.letter == "T"
            ):
                raise ProgramError(
                    block.line,
                    word.text,
                    f"must not stand in the contour of {call.code.text}, line {call.block.line}",
                )
    first = contour[0]
    if not any(word.letter == "G" and word.value in (0.0, 1.0) for word in first.words):
        raise ProgramError(
            first.line,
            "",
            f"begins the contour of {call.code.text} and must have G0 or G1, which says how passes step",
        )


def _besides(block: Block, code: Word, own: str) -> Block:
    """Return a block without the words of its cycle.

    Raises
    ------
    ProgramError
        If another G function stands in it that is none of the spindle's speed.
    """
    kept = []
    for word in block.words:
        if word is code or word.letter in own:
            continue
        if word.letter == "G" and word.value not in SPEEDS:
            raise ProgramError(block.line, word.text, f"and {code.text} exclude each other in a block")
        kept.append(word)
    return block._replace(words=tuple(kept))
