"""Words of the cycles that follow a contour: roughing, pattern repeating, finishing; lengths in mm, x as radius.

In two of the three code systems G70 finishes, G71 roughs by turning, G72 by facing, and G73 repeats a pattern; in the
third one (G20 cycles) each is two codes higher, and what is near to ISO 6983-1 has none of them. Roughing is told in
two blocks, as in ``G71 U2. R0.5`` and ``G71 P10 Q20 U0.4 W0.1``, or in one with D for the depth. Depth, retract and
relief are radii, the allowance U is a diameter where X is one. (Common practice, no source.)
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from sim.programs.axis_words import length
from sim.programs.code_groups import CodeSystem
from sim.programs.cycles.pattern import Pattern
from sim.programs.cycles.roughing import Roughing
from sim.programs.modal import State
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

Kind = Literal["finish", "turning", "facing", "pattern"]
USUAL_RETRACT = 0.5  # mm, of roughing cycles where neither program nor scenario states it (common practice)
MOST_REPEATS = 200
_USUAL: dict[float, Kind] = {70.0: "finish", 71.0: "turning", 72.0: "facing", 73.0: "pattern"}
_CODES: dict[CodeSystem | None, dict[float, Kind]] = {
    None: _USUAL,
    "G90 cycles": _USUAL,
    "G77 cycles": _USUAL,
    "G20 cycles": {code + 2.0: kind for code, kind in _USUAL.items()},
    "ISO": {},
}
# Words that a block without P and Q may have to open a cycle of two blocks.
_OPENING: dict[Kind, str] = {"finish": "", "turning": "UR", "facing": "WR", "pattern": "UWR"}
_BESIDE = "NFST"
_IN_ONE: dict[Kind, str] = {"finish": "PQ", "turning": "PQUWD", "facing": "PQUWD", "pattern": "PQUWDIK"}


class Call(NamedTuple):
    """A cycle as its blocks call it.

    Attributes
    ----------
    kind : {'finish', 'turning', 'facing', 'pattern'}
    block : Block
        That names the contour.
    code : Word
        Of the cycle.
    words : dict of str to Word
        Of that block but G and M, by letter.
    opening : dict of str to Word, optional
        Of the block before, where the cycle has two.
    opened : Block, optional
        That block.
    """

    kind: Kind
    block: Block
    code: Word
    words: dict[str, Word]
    opening: dict[str, Word] | None
    opened: Block | None = None

    @property
    def amounts(self) -> Block:
        """The block that states depth and retract, or the passes of a pattern."""
        return self.block if self.opened is None else self.opened


def contour_cycle_of(block: Block, system: CodeSystem | None) -> tuple[Kind, Word] | None:
    """Return the cycle that a block calls or opens, if it does, and its code.

    A code without P, Q, or the words of an opening block means something else, or nothing.
    """
    code = next((w for w in block.words if w.letter == "G" and w.value in _CODES[system]), None)
    if code is None:
        return None
    kind = _CODES[system][code.value]
    letters = {word.letter for word in block.words if word.letter not in "GMN"}
    names = bool(letters & {"P", "Q"})
    opens = bool(letters & set(_OPENING[kind])) and letters <= {*_OPENING[kind], *_BESIDE}
    return (kind, code) if names or opens else None


def names_its_contour(block: Block) -> bool:
    """Tell whether a block of a cycle has P or Q."""
    return any(word.letter in ("P", "Q") for word in block.words)


def call_of(block: Block, before: Block | None, reading: Reading) -> Call:
    """Return what a block with P and Q calls.

    Parameters
    ----------
    block : Block
    before : Block or None
        The block that runs before it.
    reading : Reading

    Raises
    ------
    ProgramError
        If a word has no meaning in it, is missing, or can mean two things.
    """
    found = contour_cycle_of(block, reading.code_system)
    assert found is not None  # noqa: S101 - the caller asked
    kind, code = found
    words = _by_letter(block)
    opening, first = None, None
    if before is not None and not names_its_contour(before):
        opened = contour_cycle_of(before, reading.code_system)
        if opened is not None and opened[1].value == code.value:
            opening, first = _by_letter(before), before
    call = Call(kind, block, code, words, opening, first)
    _require_words(call)
    if reading.code_system is None:
        _require_one_meaning(call)
    return call


def roughing(call: Call, state: State, reading: Reading, *, hollows: bool) -> Roughing:
    """Return the numbers of a cycle that roughs by turning or facing.

    Raises
    ------
    ProgramError
        If depth or retract is missing or none.
    """
    block, step = call.block, "U" if call.kind == "turning" else "W"
    depth = call.words.get("D") if call.opening is None else call.opening.get(step)
    if depth is None:
        raise ProgramError(
            block.line, call.code.text,
            f"must state its depth of cut, by {call.code.text} {step} in a block of its own before it, or by D",
        )  # fmt: skip
    back = None if call.opening is None else call.opening.get("R")
    stated = reading.amounts.roughing_retract
    usual = USUAL_RETRACT if stated is None else stated
    retract = usual if back is None else length(call.amounts, back, state, reading)
    deep = length(call.amounts, depth, state, reading)
    if deep <= 0.0:
        raise ProgramError(call.amounts.line, depth.text, "must be greater than 0 as a depth of cut")
    if back is not None and retract < 0.0:
        raise ProgramError(call.amounts.line, back.text, "must not be negative as a retract amount")
    return Roughing(
        facing=call.kind == "facing",
        hollows=hollows,
        depth=deep,
        retract=retract,
        allowance=_allowance(call, state, reading),
        code=call.code.text,
        line=block.line,
    )


def pattern(call: Call, state: State, reading: Reading) -> Pattern:
    """Return the numbers of a cycle that repeats a pattern.

    Raises
    ------
    ProgramError
        If the number of passes is missing, or no whole number.
    """
    where = call.words if call.opening is None else call.opening
    letters = ("I", "K", "D") if call.opening is None else ("U", "W", "R")
    across, along, count = (where.get(letter) for letter in letters)
    if count is None:
        raise ProgramError(
            call.block.line, call.code.text,
            f"must state how many passes it makes, by R in a block {call.code.text} U W R before it, or by D",
        )  # fmt: skip
    if count.value != int(count.value) or not 1.0 <= count.value <= MOST_REPEATS:
        raise ProgramError(
            call.amounts.line, count.text,
            f"must be a number of passes, a whole number from 1 to {MOST_REPEATS}",
        )  # fmt: skip
    relief = tuple(
        0.0 if word is None else length(call.amounts, word, state, reading) for word in (across, along)
    )
    return Pattern(
        (relief[0], relief[1]),
        int(count.value),
        _allowance(call, state, reading),
        call.code.text,
        call.block.line,
    )


def _allowance(call: Call, state: State, reading: Reading) -> tuple[float, float]:
    x, z = (
        length(call.block, call.words[letter], state, reading) if letter in call.words else 0.0
        for letter in "UW"
    )
    return (0.5 * x if reading.diameter else x), z


def _by_letter(block: Block) -> dict[str, Word]:
    found: dict[str, Word] = {}
    for word in block.words:
        if word.letter in "GM":
            continue
        if word.letter in found:
            raise ProgramError(block.line, word.text, f"gives {word.letter} a second time in the block")
        found[word.letter] = word
    return found


def _no_meaning(letter: str, kind: Kind, code: Word) -> str:
    if letter == "R" and kind in ("turning", "facing"):
        return (
            f"beside P and Q is a retract amount on some controls and a type of {code.text} on others; state the "
            f"retract amount by {code.text} {'U' if kind == 'turning' else 'W'} R in a block of its own before it"
        )
    if letter in "IK" and kind in ("turning", "facing"):
        return (
            f"beside P and Q differs from control to control; leave it out of {code.text}, and rough the contour's "
            "allowance by a pass of its own"
        )
    if letter in "UW" and kind == "finish":
        return f"would leave an allowance on the finished contour, which few controls know; leave it out of {code.text}"
    return f"has no meaning here ({code.text})"


def _require_words(call: Call) -> None:
    """Refuse words without a meaning, and a cycle that names no contour."""
    kind, block, code, words, opening, _ = call
    for letter, word in words.items():
        if letter not in _IN_ONE[kind] + _BESIDE:
            raise ProgramError(block.line, word.text, _no_meaning(letter, kind, code))
    for letter in "PQ":
        if letter not in words:
            raise ProgramError(block.line, code.text, f"must name its contour by P and Q, found no {letter}")
        if words[letter].value != int(words[letter].value) or words[letter].value < 0.0:
            raise ProgramError(
                block.line, words[letter].text, "must be the number of a block, a whole number of 0 or more"
            )
    for letter in "DIK":
        if opening is not None and letter in words:
            raise ProgramError(
                block.line, words[letter].text,
                f"belongs to the form of {code.text} in one block, and a block before it opens the form in two",
            )  # fmt: skip


def _require_one_meaning(call: Call) -> None:
    """Refuse what is another cycle where each of them is two codes higher."""
    letters = set(call.words) | set(call.opening or ())
    facing = call.kind == "facing" and not letters & set("UWD")
    pattern = call.kind == "pattern" and (
        not letters & set("IK") if call.opening is None else "W" not in call.opening
    )
    if facing or pattern:
        usual, other = (
            ("roughs by facing", "finishes") if facing else ("repeats a pattern", "roughs by turning")
        )
        raise ProgramError(
            call.block.line, call.code.text,
            f"{usual} in two code systems of lathes and {other} in the third; code_system must state which is meant",
        )  # fmt: skip
