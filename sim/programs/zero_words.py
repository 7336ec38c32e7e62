"""Where the program's zero point is: work offsets G54 to G59, coordinates set by G50 or G92, a local shift by G52.

G50 or G92 with axis words says which coordinates the tip has where it stands: they are checked against where it is
stated or programmed to stand, and may move the zero point in z only, from a place that was reached in coordinates of
the program. G52 counts from the work offset. None of them can take X's zero off the spindle axis. (G92 as in
RS274/NGC, NIST, tsapps.nist.gov 823374; the rest is common practice, no source.)
"""

from __future__ import annotations

from sim.programs.axis_words import length, zero_z
from sim.programs.code_groups import CodeSystem
from sim.programs.code_systems import only, question
from sim.programs.modal import State
from sim.programs.read_block import ReadBlock
from sim.programs.words import Block, ProgramError, Word, require_only

_AGREES = 1e-3  # mm
_G90: CodeSystem = "G90 cycles"
_G50 = 50.0
_SETS = (_G50, 92.0)
_ADDED = 58.0  # from here on an offset may be added to the others on controls near to the standard
_AXES = "XZUW"


def work_offset(one: ReadBlock) -> State:
    """Take over G54 to G59.

    Raises
    ------
    ProgramError
        If its height is not stated, or it could be a shift by the block's axis words.
    """
    block, state, reading = one.block, one.state, one.reading
    word, axis = one.codes["datum"], one.first(_AXES)
    number = int(word.value)
    if number >= _ADDED and axis is not None and "motion" not in one.codes and "ISO" in state.systems:
        asked = f"{question(state.systems)}, or write" if len(state.systems) > 1 else "write"
        raise ProgramError(
            block.line, word.text,
            f"stands in a block with {axis.text}: near to the standard it shifts the zero point by it; {asked} "
            f"{word.text} on a line of its own",
        )  # fmt: skip
    if reading.datums and number not in reading.datums:
        raise ProgramError(
            block.line, word.text, f"calls a zero point that is not stated: offsets must state G{number}"
        )
    if not reading.datums and state.datum not in (None, number):
        raise ProgramError(
            block.line, word.text,
            f"changes the zero point from G{state.datum}: offsets must state the height of each",
        )  # fmt: skip
    if state.datum != number and (state.shift or state.local):
        raise ProgramError(
            block.line, word.text,
            "changes the zero point while it is shifted by G50, G92 or G52: what then holds differs from control to "
            "control",
        )  # fmt: skip
    return state._replace(datum=number)


def coordinates_set(one: ReadBlock) -> State:
    """Follow G50 or G92 with X or Z: the tip stands at these coordinates.

    Raises
    ------
    ProgramError
        If it stands elsewhere in X, or in Z without having been brought there by an absolute coordinate.
    """
    block, words, state, reading = one.block, one.words, one.state, one.reading
    word = one.codes["limit"]
    require_only(block, words, "NXZUWST" if word.value in _SETS else "NST", word.text)
    _alone(one, word)
    if word.value == _G50 and not only(_G90, state.systems):
        what = "sets coordinates in one code system of lathes only"
        asked = question(state.systems) if _G90 in state.systems else "write G92"
        raise ProgramError(block.line, word.text, f"{what}: {asked}")
    if state.local:
        raise ProgramError(block.line, word.text, "must not come while G52 has shifted the zero point")
    by_increments = one.first("UW")
    if by_increments is not None:
        return _coordinates_moved(one, by_increments)
    if "X" in words:
        x = length(block, words["X"], state, reading) * (0.5 if reading.diameter else 1.0)
        if abs(x - state.at[0]) > _AGREES:
            _elsewhere(block, words["X"], state.at[0] * (2.0 if reading.diameter else 1.0), word)
    if "Z" not in words:
        return state
    moved = state.at[1] - length(block, words["Z"], state, reading) - zero_z(block, state, reading)
    if abs(moved) <= _AGREES:
        return state
    if not state.reached:
        _elsewhere(block, words["Z"], state.at[1] - zero_z(block, state, reading), word)
    one.note(f"{word.text} moves the zero point by {moved:g} mm along Z")
    return state._replace(shift=state.shift + moved)


def _coordinates_moved(one: ReadBlock, first: Word) -> State:
    """Follow G50 or G92 with U and W: the tip's coordinates grow by them where it stands, and so the zero point moves.

    Raises
    ------
    ProgramError
        If X Z stand beside them, or X's zero would leave the spindle axis.
    """
    state, words, word = one.state, one.words, one.codes["limit"]
    other = one.first("XZ")
    if other is not None:
        raise one.refused(other, f"and {first.text} with {word.text} exclude each other in a block")
    if "ISO" in state.systems:
        raise one.refused(
            first, f"with {word.text} means nothing near to the standard: {question(state.systems)}"
        )
    if "U" in words and words["U"].value != 0.0:
        raise one.refused(
            words["U"], "would take the zero point of X off the spindle axis, which is not followed"
        )
    if "W" not in words:
        return state
    if state.reached is False:
        raise one.refused(
            words["W"],
            f"with {word.text} moves the zero point from where it then is: bring the tip to a Z of the program before",
        )
    moved = -length(one.block, words["W"], state, one.reading)
    one.note(f"{word.text} {words['W'].text} moves the zero point by {moved:g} mm along Z")
    return state._replace(shift=state.shift + moved)


def local_shift(one: ReadBlock) -> State:
    """Follow G52: the zero point moves by Z from the work offset, Z0 takes it back.

    Raises
    ------
    ProgramError
        If it could move an axis, or would take X's zero off the spindle axis.
    """
    block, words, state = one.block, one.words, one.state
    word = one.codes["shift"]
    require_only(block, words, "NXZ", word.text)
    _alone(one, word)
    if "ISO" in state.systems:
        raise ProgramError(
            block.line, word.text,
            f"shifts the zero point on most controls, and moves in machine coordinates on some near to the standard: "
            f"{question(state.systems)}",
        )  # fmt: skip
    if "X" not in words and "Z" not in words:
        raise ProgramError(block.line, word.text, "must name X or Z")
    if "X" in words and words["X"].value != 0.0:
        raise ProgramError(
            block.line,
            words["X"].text,
            "would take the zero point of X off the spindle axis, which is not followed",
        )
    if "Z" not in words:
        return state
    if state.shift:
        raise ProgramError(block.line, word.text, "must not come once G50 or G92 has moved the zero point")
    local = length(block, words["Z"], state, one.reading)
    one.note(f"{word.text} moves the zero point by {local:g} mm along Z from the work offset")
    return state._replace(local=local)


def _alone(one: ReadBlock, word: Word) -> None:
    """Refuse a motion, or compensation, beside words that are coordinates of the zero point."""
    if "motion" in one.codes:
        raise one.refused(one.codes["motion"], f"and {word.text} exclude each other in a block")
    if one.state.side != "none":
        raise one.refused(word, "must not come while G41 or G42 is on")


def _elsewhere(block: Block, word: Word, found: float, code: Word) -> None:
    raise ProgramError(
        block.line, word.text,
        f"with {code.text} says where the tip stands, and it stands at {word.text[0]}{found:.3f} mm from the program's "
        "zero: start_diameter and start_height, or the home position, must state where it does",
    )  # fmt: skip
