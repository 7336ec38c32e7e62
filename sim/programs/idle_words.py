"""Preparatory functions that move nothing here: each is noted, or refused where it could be another one.

G9, G61 and G64 say how exactly a corner is run: it is judged as programmed. G80 ends drilling cycles; G49, G67 and G69
end what G43, G66 and G68 begin, none of which is followed. G25 and G26 watch the spindle's speed and G22 and G23 the
stored limits of the slides (common practice, no source). Near to the standard G25 and G26 with S limit the speed, and
G22 and G23 have other meanings on some controls (common practice, no source).
"""

from __future__ import annotations

from sim.programs.code_systems import question
from sim.programs.modal import State
from sim.programs.read_block import ReadBlock
from sim.programs.words import Block, ProgramError, Word, require_only

# The words that follow "moves no axis here" in a note, by the function's number.
_SAYS = {
    9: "corners are judged as programmed", 61: "corners are judged as programmed",
    64: "corners are judged as programmed, and the control may round them",
    80: "no drilling cycle is in force", 49: "G43 and G44 are not followed", 67: "G66 is not followed",
    69: "G68 is not followed", 25: "the speed is watched by the control", 26: "the speed is watched by the control",
    22: "limits of the slides are kept by the control", 23: "limits of the slides are kept by the control",
}  # fmt: skip
_SPEED = ("G25", "G26")
_SLIDES = ("G22", "G23")
_AXES = "XZUW"
NOTED = "moves no axis here"  # in every note on such a function


def idle(one: ReadBlock) -> bool:
    """Note the functions of a block that move nothing, and tell whether all of its words are theirs.

    Raises
    ------
    ProgramError
        If one could mean something that moves an axis or sets a speed.
    """
    block, codes, words, state = one.block, one.codes, one.words, one.state
    whole = False
    for key, word in codes.items():
        if key[0] != "G" or not key[1:].isdigit():
            continue
        axis = one.first(_AXES)
        if key == "G80" and axis is not None and "motion" not in codes:
            raise ProgramError(
                block.line, word.text,
                f"stands in a block with {axis.text}: whether the motion before it goes on differs from control to "
                "control; write G0 or G1 beside it",
            )  # fmt: skip
        if key in _SPEED:
            _watches(block, word, words, axis, state)
        if key in _SLIDES:
            whole = _limits(block, word, codes, words, state) or whole
        one.note(f"{word.text} {NOTED} ({_SAYS[int(word.value)]})")
    return whole


def _watches(block: Block, word: Word, words: dict[str, Word], axis: Word | None, state: State) -> None:
    """Refuse G25 and G26 with what makes them limits of the speed or of the slides on some controls."""
    beside = words.get("S", axis)
    if beside is None:
        return
    asked = f"; {question(state.systems)}, or write" if len(state.systems) > 1 else ": write"
    raise ProgramError(
        block.line, word.text,
        f"with {beside.text} sets a limit on some controls and watches the spindle's speed on others{asked} "
        f"{beside.text} on a line of its own, and a limit of the speed by the code that sets it",
    )  # fmt: skip


def _limits(block: Block, word: Word, codes: dict[str, Word], words: dict[str, Word], state: State) -> bool:
    """Check G22 and G23, and tell whether the block's words are the limits that they set."""
    if "ISO" in state.systems:
        raise ProgramError(
            block.line, word.text,
            "keeps the slides within limits on most controls, and changes how X is read on some near to the standard; "
            f"{question(state.systems)}",
        )  # fmt: skip
    if not any(letter in words for letter in "XZUWIK"):
        return False
    require_only(block, words, "NXZIK", word.text)
    if "motion" in codes:
        raise ProgramError(block.line, codes["motion"].text, f"and {word.text} exclude each other in a block")
    return True
