"""G10, which writes offsets and parameters of the control while the program runs.

By L or P it is a zero point, a tool's offset or wear, or a parameter, absolute by X and Z and in increments by U and W
(common practice, no source). Where the scenario states the zero point and the tip, what is written there may be the
same or not; only increments of nothing cannot change anything.
"""

from __future__ import annotations

from sim.programs.words import Block, ProgramError, Word

WRITES = 10.0
_ZERO = (2.0, 20.0)
_TOOL = (10.0, 11.0, 12.0, 13.0)
_HOW = "which is not followed: take it out, and state "


def changes_nothing(block: Block) -> Word | None:
    """Return the G10 of a block if it adds nothing to an offset; None where the block has none.

    Raises
    ------
    ProgramError
        If it may change an offset or a parameter; says what to change.
    """
    code = next((word for word in block.words if word.letter == "G" and word.value == WRITES), None)
    if code is None:
        return None
    other = next((word for word in block.words if word.letter in "GMT" and word is not code), None)
    if other is not None:
        raise ProgramError(block.line, other.text, f"and {code.text} exclude each other in a block")
    words = {word.letter: word for word in block.words if word.letter not in "GNP"}
    kind = words.pop("L", None)
    if words and all(letter in "UW" and word.value == 0.0 for letter, word in words.items()):
        return code
    raise ProgramError(block.line, code.text, _refusal(block, kind))


def _refusal(block: Block, kind: Word | None) -> str:
    """Say what a G10 writes and how the program can do without it."""
    if kind is not None and kind.value in _ZERO:
        return f"writes a zero point while the program runs, {_HOW}zero or offsets as it sets them"
    if kind is not None and kind.value in _TOOL:
        return (
            "writes a tool's offset while the program runs, which is not followed: take it out, and let the offset "
            "stand as the program leaves it"
        )
    if kind is not None:
        return "writes a parameter of the control, which is not followed: take it out, with the block that ends it"
    place = next((word for word in block.words if word.letter == "P"), None)
    if place is not None and place.value == 0.0:
        return f"shifts the zero point while the program runs, {_HOW}zero or offsets as it sets them"
    return (
        f"writes a tool's offset or a zero point while the program runs, {_HOW}zero or offsets as it sets them, and "
        "let tool offsets stand as the program leaves them"
    )
