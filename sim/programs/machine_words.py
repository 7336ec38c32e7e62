"""What M words do to the spindle and to the chuck, and where the turret turns.

M3 and M4 start the spindle, M5, M19, M2 and M30 stop it (so a public table of what controls agree on,
"Consensus Mcodes"), M0 and M1 stop it on some controls only: the standards' word is a programmed stop (DIN 66025, as
a control maker's public table quotes it, infosys.beckhoff.com); an open control's documentation has no spindle in it.
M13 and M14 start it with the coolant on some controls and a driven tool on others (common practice, no source): they
start nothing here. Which words open and close the chuck is not the same from make to make (M10 and M11, M68 and M69
among others, either way round), so they must be stated.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from meshes.points import Point
from sim.programs.code_systems import Place
from sim.programs.path import Move
from sim.programs.words import Block, ProgramError, Word

Spin = Literal["unsaid", "forward", "backward", "standing", "unclear"]
TURNS = ("forward", "backward", "unclear")  # it may turn
STARTS: dict[float, Spin] = {3.0: "forward", 4.0: "backward"}
STOPS = (5.0, 19.0)
PAUSES = (0.0, 1.0)  # stop it on some controls
WITH_COOLANT: dict[float, Spin] = {13.0: "forward", 14.0: "backward"}  # or a driven tool
REPEATS = 99.0  # at the end of a main program: it begins again (common practice, no source)
# These are the same on every lathe (stops, spindle, coolant, tool change, end); all others are the machine maker's, or
# those of the chuck (common practice, no source).
EVERYWHERE = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 13.0, 14.0, 19.0, 30.0, REPEATS)
CHUCK = (10.0, 11.0, 68.0, 69.0)  # open a chuck on some makes and close it on others


class Machine(NamedTuple):
    """Spindle and chuck in a block.

    Attributes
    ----------
    spin : {'unsaid', 'forward', 'backward', 'standing', 'unclear'}
        How the spindle turns; unclear where it differs from control to control.
    spin_by : Place, optional
        The word that says so.
    open_by : Place, optional
        The word that has opened the chuck; None while it is closed.
    """

    spin: Spin = "unsaid"
    spin_by: Place | None = None
    open_by: Place | None = None


class Opening(NamedTuple):
    """A word that opens the chuck: where it stands, how the spindle may then turn, and `Move.ordinal` of its block."""

    place: Place
    spin: Spin
    ordinal: int


class OwnWord(NamedTuple):
    """An M word whose meaning is the machine maker's: where it stands, and `Move.ordinal` of its block."""

    place: Place
    ordinal: int


class Call(NamedTuple):
    """A T word that may turn the turret.

    Attributes
    ----------
    place : Place
    tool : int or None
        Called by it, as `sim.programs.program.Program.tools` numbers them.
    station : int
        Of the turret; tools without a table are told apart by it.
    at : (x, z)
        Tip at the start of the block.
    moves : tuple of Move
        Of the same block: the turret may turn anywhere along them.
    """

    place: Place
    tool: int | None
    station: int
    at: Point
    moves: tuple[Move, ...] = ()


@dataclass(frozen=True, slots=True)
class AtWork:
    """Spindle, chuck and turret along the moves of a program.

    Attributes
    ----------
    machine : tuple of Machine
        In each move.
    calls : tuple of Call
        T words that may turn the turret.
    openings : tuple of Opening
        Words that open the chuck.
    ended : Place, optional
        The M2 or M30 that ends the program, or the M99 that begins it again; None where nothing does.
    early : int
        Moves before any tool is known to stand at the cut.
    makers_own : tuple of OwnWord
        M words whose meaning is the machine maker's, where it is not stated which of them move the chuck.
    """

    machine: tuple[Machine, ...]
    calls: tuple[Call, ...]
    openings: tuple[Opening, ...]
    ended: Place | None
    early: int
    makers_own: tuple[OwnWord, ...] = ()


def makers_own(block: Block, chuck: tuple[int, int] | None) -> list[OwnWord]:
    """Return the M words of a block that may move the chuck on some machine; none where it is stated which do."""
    if chuck is not None:
        return []
    return [
        OwnWord(Place(block.line, word.text), block.ordinal)
        for word in block.words
        if word.letter == "M" and word.value not in EVERYWHERE
    ]


def machine_words(
    block: Block, before: Machine, chuck: tuple[int, int] | None
) -> tuple[Machine, Machine, Opening | None]:
    """Follow the M words of a block.

    Parameters
    ----------
    block : Block
    before : Machine
    chuck : (int, int), optional
        Numbers of the M words that open and close the chuck, where they are stated.

    Returns
    -------
    during, after : Machine
        While the block's motion runs, and behind it. A word that stops the spindle may do so before the motion or
        behind it.
    opening : Opening or None

    Raises
    ------
    ProgramError
        If two words of the block exclude each other, or one may open the chuck and it is not stated which does.
    """
    words = [word for word in block.words if word.letter == "M"]
    if not words:
        return before, before, None
    spins = [w for w in words if w.value in STARTS or w.value in STOPS or w.value in WITH_COOLANT]
    _one(block, spins)
    after, during = before, before
    # In which order they stand does not count: a stop of the program comes behind the block.
    for word in sorted(words, key=lambda one: one.value in PAUSES):
        place = Place(block.line, word.text)
        if word.value in STARTS:
            after = after._replace(spin=STARTS[word.value], spin_by=place)
            during = after
        elif word.value in STOPS:
            after = after._replace(spin="standing", spin_by=place)
            during = _unclear(during, place)
        elif word.value in PAUSES:
            after = _unclear(after, place)
        elif word.value in WITH_COOLANT and after.spin != WITH_COOLANT[word.value]:
            after = during = _unclear(after, place)
    return _chuck(block, words, before, during, after, chuck)


def _chuck(
    block: Block,
    words: list[Word],
    before: Machine,
    during: Machine,
    after: Machine,
    chuck: tuple[int, int] | None,
) -> tuple[Machine, Machine, Opening | None]:
    """Follow the words that open and close the chuck, once the spindle is known."""
    if chuck is None:
        for word in words:
            if word.value in CHUCK:
                raise ProgramError(
                    block.line, word.text,
                    "opens the chuck on some makes and closes it on others: chuck_opens and chuck_closes must state "
                    "which M words do, as in chuck_opens = 'M69' and chuck_closes = 'M68'",
                )  # fmt: skip
        return during, after, None
    moving = [word for word in words if word.value in chuck]
    _one(block, moving)
    if not moving:
        return during, after, None
    place = Place(block.line, moving[0].text)
    if moving[0].value == chuck[1]:
        # It may close behind the block's motion.
        return during, after._replace(open_by=None), None
    spin = before.spin if before.spin in TURNS else during.spin if during.spin in TURNS else after.spin
    return during._replace(open_by=place), after._replace(open_by=place), Opening(place, spin, block.ordinal)


def _unclear(machine: Machine, place: Place) -> Machine:
    """Return a spindle that may have stopped; one that stands goes on standing."""
    return machine._replace(spin="unclear", spin_by=place) if machine.spin in TURNS else machine


def _one(block: Block, words: list[Word]) -> None:
    different = {word.value for word in words}
    if len(different) > 1:
        other = next(word for word in words if word.value != words[0].value)
        raise ProgramError(block.line, other.text, f"and {words[0].text} exclude each other in a block")


def station_of(number: int) -> int:
    """Return the station of the turret that the number of a T word names; 0 for none."""
    return number // 100 if number >= 100 else number
