"""Which code systems a program can be written in, by words that only some of them have.

A word decides only where it cannot be anything else in the others: G91 and G95 do not exist where G90 and G94 are
cycles, a speed limit by G50 not where it is set by G92 and axes are chosen by G90 and G91, increments by U and W not
in ISO 6983-1, G70 and G71 without a contour to follow are no cycles, and LIMS= and CR= are words of controls near to
the standard (common practice, no source). G90, G92, G94, G98, G99, G20 and G21 decide nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple, get_args

from sim.programs.code_groups import SYSTEMS, CodeSystem, group
from sim.programs.code_systems import Place, question
from sim.programs.plain_lines import PlainLine
from sim.programs.words import Block, ProgramError, Word, block_of

_BY_MODES: frozenset[CodeSystem] = frozenset({"G77 cycles", "G20 cycles", "ISO"})
_BY_U_W: frozenset[CodeSystem] = SYSTEMS - {"ISO"}
_BY_G50: frozenset[CodeSystem] = frozenset({"G90 cycles", "ISO"})
_BY_G70: frozenset[CodeSystem] = frozenset({"G20 cycles", "ISO"})
_ISO: frozenset[CodeSystem] = frozenset({"ISO"})
_AXES = frozenset("XZUW")
_UNITS = (70.0, 71.0)
# U and W in a block of anything else may be an allowance of a cycle or a time.
_PLAIN = frozenset({"motion", "home", "compensation", "feed", "speed", "unit", "plane", "datum"})
_NO_PROOF = frozenset("NXZFST")
_ENDS = (2.0, 30.0, 99.0)


class Proof(NamedTuple):
    """A word that only some code systems have.

    Attributes
    ----------
    place : Place
    systems : frozenset of CodeSystem
        That have it.
    """

    place: Place
    systems: frozenset[CodeSystem]


class Systems(NamedTuple):
    """The code systems that a program can be written in.

    Attributes
    ----------
    possible : frozenset of CodeSystem
    proofs : tuple of Proof
        The words that say so; none where it is stated.
    """

    possible: frozenset[CodeSystem]
    proofs: tuple[Proof, ...] = ()


def systems_of(blocks: Sequence[Block | PlainLine], stated: CodeSystem | None) -> Systems:
    """Return the code systems that a program can be written in, looking at all of it.

    Parameters
    ----------
    blocks
    stated : CodeSystem, optional
        What is known about the control.

    Raises
    ------
    ProgramError
        If a word is not of the system stated, or no system has all words.
    """
    possible = SYSTEMS if stated is None else frozenset({stated})
    proofs: list[Proof] = []
    for proof in _proofs(blocks):
        left = possible & proof.systems
        if not left:
            raise ProgramError(proof.place.line, proof.place.text, _contradiction(proof, proofs, stated))
        if left != possible:
            proofs.append(proof)
            possible = left
    return Systems(possible, tuple(proofs))


def told_of_system(systems: Systems, notes: list[str]) -> None:
    """Note which words have decided the code system, where it is not stated."""
    if systems.proofs:
        by = " and ".join(f"{place.text} of line {place.line}" for place, _ in systems.proofs)
        notes.append(
            f"line {systems.proofs[-1].place.line}: code_system is not stated: {by} leave{_s(systems)} "
            f"{_named(systems.possible)}"
        )


def _s(systems: Systems) -> str:
    return "s" if len(systems.proofs) == 1 else ""


def _contradiction(proof: Proof, before: list[Proof], stated: CodeSystem | None) -> str:
    if stated is not None:
        return (
            f"is of code system {_named(proof.systems)}, and code_system states {stated!r}: write it as that control "
            "reads it, or state the other"
        )
    others = " and ".join(f"{place.text} of line {place.line}" for place, _ in before)
    return f"does not go with {others}: no usual code system of lathes has them all; {question(SYSTEMS)}"


def _named(systems: frozenset[CodeSystem]) -> str:
    return " or ".join(repr(system) for system in get_args(CodeSystem) if system in systems)


def _proofs(blocks: Sequence[Block | PlainLine]) -> Iterator[Proof]:
    """Yield the words that decide, in the order of the program, up to what ends it."""
    increments = False
    for one in blocks:
        if isinstance(one, PlainLine):
            # The same in all of them but for U and W, which decide once what they decide at all.
            if increments or (one.u is None and one.w is None):
                continue
            increments = True
        block = block_of(one.line, one.text) if isinstance(one, PlainLine) else one
        letters = {word.letter for word in block.words}
        for word in block.words:
            if word.letter in _NO_PROOF:
                continue
            systems = _that_have(word, block, letters)
            if systems is not None:
                yield Proof(Place(block.line, word.text), systems)
        if (
            "M" in letters
            and not block.optional
            and any(word.letter == "M" and word.value in _ENDS for word in block.words)
        ):
            return


def _that_have(word: Word, block: Block, letters: set[str]) -> frozenset[CodeSystem] | None:
    """Return the code systems that have a word; None where it can be something else in the others."""
    if word.letter == "G":
        return _that_have_code(word.value, block, letters)
    if word.letter in "UW":
        plain = all(group(one.value, None) in _PLAIN for one in block.words if one.letter == "G")
        return _BY_U_W if plain else None
    return _ISO if word.letter in ("LIMS", "CR") else None


def _that_have_code(code: float, block: Block, letters: set[str]) -> frozenset[CodeSystem] | None:
    if code == 91.0:
        return _BY_MODES
    if code == 95.0:
        # With axis words and no motion beside it G95 is a tapping cycle on some controls.
        moves = any(one.letter == "G" and group(one.value, None) == "motion" for one in block.words)
        return _BY_MODES if moves or not letters & _AXES else None
    if code == 50.0:
        return _BY_G50 if "S" in letters and not letters & _AXES else None
    if code in _UNITS:
        return _BY_G70 if not letters - set("NOGMT") else None
    return None
