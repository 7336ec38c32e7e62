"""Words of a straight block for the corner behind it and its angle: ,C ,R ,A, and C, R, A where that is stated."""

from __future__ import annotations

from typing import NamedTuple

from meshes.points import Point
from sim.programs.axis_words import length, target
from sim.programs.corners import Corner, at_angle
from sim.programs.modal import State
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

_COMMA = (",C", ",R", ",A")
_ANY = frozenset((*_COMMA, "C", "R", "A"))
# With any other G word in the block, R is that one's.
_BESIDE = (1.0, 18.0, 40.0, 41.0, 42.0, 95.0, 96.0, 97.0, 99.0)


class CornerWords(NamedTuple):
    """A chamfer or rounding, and an angle, of a block: words that it holds no longer."""

    size: Word | None = None
    angle: Word | None = None


def corner_words(block: Block, motion: int | None, reading: Reading) -> tuple[Block, CornerWords]:
    """Take the words of a corner out of a block.

    Parameters
    ----------
    block : Block
    motion : int or None
        In force before the block.
    reading : Reading

    Raises
    ------
    ProgramError
        If one stands in a block that is no straight move at feed, or two give one corner.
    """
    if _ANY.isdisjoint([word.letter for word in block.words]):
        return block, CornerWords()
    codes = [word.value for word in block.words if word.letter == "G"]
    straight = 1.0 in codes or (motion == 1 and not any(code in (0.0, 2.0, 3.0) for code in codes))
    letters: tuple[str, ...] = _COMMA
    if reading.corner_words == "without comma" and straight and all(code in _BESIDE for code in codes):
        letters += ("C", "R", "A")
    found = [word for word in block.words if word.letter in letters]
    if not found:
        return block, CornerWords()
    if not straight:
        raise ProgramError(block.line, found[0].text, "must stand in a block that moves straight by G1")
    angles = [word for word in found if word.letter[-1] == "A"]
    sizes = [word for word in found if word.letter[-1] != "A"]
    if not angles and not any(word.letter in "XZUW" for word in block.words):
        raise ProgramError(block.line, found[0].text, "needs X or Z beside it")
    for words in (angles, sizes):
        if len(words) > 1:
            raise ProgramError(
                block.line, words[1].text, f"and {words[0].text} exclude each other in a block"
            )
    for word in angles:
        if not word.decimal and word.value != 0.0 and reading.points_count:
            raise ProgramError(
                block.line, word.text,
                "has no decimal point: which part of a degree it counts differs from control to control; write the "
                "point",
            )  # fmt: skip
    kept = tuple(word for word in block.words if word not in found)
    return block._replace(words=kept), CornerWords(next(iter(sizes), None), next(iter(angles), None))


def end_of(
    block: Block, words: dict[str, Word], corner: CornerWords, state: State, reading: Reading
) -> Point:
    """Return where a block ends, (x, z) in mm: by its axes, or by one of them and its angle."""
    end = target(block, words, state, reading)
    if corner.angle is None:
        return end
    x, z = ("X" in words or "U" in words), ("Z" in words or "W" in words)
    return at_angle(block, corner.angle, state.at, end, x=x, z=z)


def corner_of(block: Block, corner: CornerWords, state: State, reading: Reading, end: Point) -> Corner | None:
    """Return the chamfer or rounding behind a block that ends at (x, z), mm.

    Raises
    ------
    ProgramError
        If its size is not greater than 0 (without a comma a sign may say the next block's way), or the block does not
        move.
    """
    word = corner.size
    if word is None:
        return None
    if end == state.at:
        raise ProgramError(block.line, word.text, "stands in a block that does not move")
    size = length(block, word, state, reading)
    comma = word.letter[0] == ","
    if size == 0.0 or (comma and size < 0.0):
        raise ProgramError(block.line, word.text, "must be greater than 0")
    return Corner(
        "chamfer" if word.letter[-1] == "C" else "rounding",
        abs(size),
        -1 if size < 0.0 else 0,
        block.line,
        word.text,
    )
