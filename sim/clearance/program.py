"""Read a lathe program in the format of ISO 6983-1 into moves of the tool tip.

What is followed: G0 G1 G2 G3 (R, or I and K from the start to the centre), G4, G18, G20 G21, G40 G41 G42,
G54 to G59 (one of them), G90 G91 and increments U W, G94 G95 G98 G99, G96 G97 and a speed limit by G50 S or
G92 S, M and T functions, N and program numbers, comments, block delete. Lengths are absolute and G0 straight
unless asked otherwise. Everything that would move an axis in a way that is not followed is an error:
variables, subprograms, cycles, other planes and axes, coordinate shifts. Cycles are not expanded: their
words are not the same from control to control, and ISO 6983-1 leaves the turning cycles open.

The codes are those of ISO 6983-1 (preparatory functions, address letters; from memory, not verified). The
speed limit by G50 S or G92 S and U, W as increments of X, Z are common practice, no source.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Literal

from sim.clearance.compensation import Programmed, Side, compensated
from sim.clearance.path import ARC_MISMATCH, Move, MoveKind, Point
from sim.clearance.words import Block, ProgramError, Word, blocks

LARGEST_COORDINATE = 1e4  # mm, beyond any lathe: a slip of the decimal point
LARGEST_PROGRAM = 20_000_000  # characters
INCH = 25.4  # mm, exact (ISO 31-1)
_GROUPS: dict[float, str] = {
    0.0: "motion", 1.0: "motion", 2.0: "motion", 3.0: "motion", 4.0: "dwell", 18.0: "plane", 20.0: "unit",
    21.0: "unit", 40.0: "compensation", 41.0: "compensation", 42.0: "compensation", 50.0: "limit",
    90.0: "distance", 91.0: "distance", 92.0: "limit", 94.0: "feed", 95.0: "feed", 96.0: "speed",
    97.0: "speed", 98.0: "feed", 99.0: "feed",
} | {float(code): "datum" for code in range(54, 60)}  # fmt: skip
_AXES = "XZUW"
_KNOWN = set("NGXZUWIKRFSTMPO")
_SUBPROGRAMS = {96.0, 97.0, 98.0, 99.0}
_END = {2.0, 30.0}


@dataclass(frozen=True, slots=True)
class Reading:
    """How a program is to be read.

    Attributes
    ----------
    diameter : bool
        X and U are diameters (else radii).
    start : (x, z)
        Tip before the first block: radius and z in mm, with the tool clear of everything.
    inch : bool
        Inches until the program says G20 or G21.
    nose_radius : float
        For G41 and G42, mm.
    tip_direction : (int, int)
        From the nose's centre to the programmed tip, see `sim.clearance.compensation`.
    skip_optional : bool
        Blocks after a slash are skipped.
    least_increment : float, optional
        Length in mm (or inches) of 1 in a coordinate without a decimal point; without it 1 mm (or inch).
    rapid : {'straight', 'dogleg'}
        How G0 moves both axes: along a straight line, or both at one pace until the first arrives.
    z_offset : float
        z of the program's zero point in the frame of the chuck, mm.
    """

    diameter: bool = True
    start: Point = (200.0, 200.0)
    inch: bool = False
    nose_radius: float = 0.0
    tip_direction: tuple[int, int] = (1, -1)
    skip_optional: bool = False
    least_increment: float | None = None
    rapid: Literal["straight", "dogleg"] = "straight"
    z_offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Program:
    """A program as read.

    Attributes
    ----------
    moves : tuple of Move
        Of the programmed tip; speed is the highest spindle speed within the move, rev/min.
    tools : tuple of int or None
        T number in force in each move.
    notes : tuple of str
        What was read and moves no axis: machine functions, dwells, tools.
    """

    moves: tuple[Move, ...]
    tools: tuple[int | None, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _State:
    """What holds from block to block; lengths in mm, x as radius."""

    at: Point
    motion: int | None = None
    inch: bool = False
    absolute: bool = True
    side: Side = "none"
    datum: int | None = None
    constant_cut: bool = False
    speed: float | None = None  # S: rev/min, or m/min (ft/min) if constant_cut
    limit: float | None = None
    tool: int | None = None
    block: int | None = None


def read(text: str, reading: Reading | None = None) -> Program:
    """Read the text of a program.

    Raises
    ------
    ProgramError
        One sentence: the line, the word that cannot be followed, and why.
    """
    reading = reading or Reading()
    if len(text) > LARGEST_PROGRAM:
        raise ProgramError(
            1, "", f"starts a program of {len(text)} characters; at most {LARGEST_PROGRAM} are read"
        )
    state = _State(at=reading.start, inch=reading.inch)
    programmed: list[Programmed] = []
    tools: list[tuple[int, int | None]] = []
    notes: list[str] = []
    for block in blocks(text):
        if block.optional and reading.skip_optional:
            notes.append(f"line {block.line}: skipped (block delete)")
            continue
        state = _follow(block, state, reading, programmed, notes)
        tools.append((block.line, state.tool))
        if any(word.letter == "M" and word.value in _END for word in block.words):
            break
    moves = compensated(programmed, reading.nose_radius, reading.tip_direction)
    in_force = dict(tools)
    if reading.rapid == "dogleg":
        moves = tuple(part for move in moves for part in _dogleg(move))
    return Program(moves, tuple(in_force.get(move.line or 0) for move in moves), tuple(notes))


def _follow(
    block: Block, state: _State, reading: Reading, programmed: list[Programmed], notes: list[str]
) -> _State:
    """Follow one block: settings first, then the motion."""
    codes, words = _sorted(block)
    dwell = "dwell" in codes
    state = _settings(block, codes, words, state, notes)
    if dwell:
        notes.append(f"line {block.line}: dwell")
        return state
    if "limit" in codes:
        _only(block, words, "SN", codes["limit"].text)
        if "S" not in words:
            raise ProgramError(
                block.line, codes["limit"].text, "must set a speed limit by S; shifts are not followed"
            )
        return dataclasses.replace(state, limit=words["S"].value)
    axes = [words[letter] for letter in _AXES if letter in words]
    arc = state.motion in (2, 3) and any(letter in words for letter in "IKR")
    if not axes and not arc:
        _only(block, words, "NOFST", "without X, Z, U or W")
        return state
    if state.motion is None:
        raise ProgramError(block.line, axes[0].text, "moves an axis before any of G0, G1, G2, G3")
    end = _target(block, words, state, reading)
    move = _move(block, words, state, end, reading)
    if move.speed == math.inf:
        notes.append(f"line {block.line}: constant cutting speed up to the axis without a speed limit")
    compensating = state.side != "none" or (programmed and programmed[-1].side != "none")
    if move.centre is not None or end != state.at or compensating:
        programmed.append(Programmed(move, state.side))
    return dataclasses.replace(state, at=end)


def _sorted(block: Block) -> tuple[dict[str, Word], dict[str, Word]]:
    """G words by group, other words by letter; each at most once."""
    codes: dict[str, Word] = {}
    words: dict[str, Word] = {}
    for word in block.words:
        if word.letter not in _KNOWN:
            raise ProgramError(
                block.line, word.text, "is an address that is not followed (axes are X, Z, U, W)"
            )
        if word.letter == "M":
            continue
        if word.letter == "G":
            group = _GROUPS.get(word.value)
            if group is None:
                raise ProgramError(
                    block.line, word.text, "is not followed; write its moves out by G0, G1, G2, G3"
                )
            if group in codes:
                raise ProgramError(
                    block.line, word.text, f"and {codes[group].text} exclude each other in a block"
                )
            codes[group] = word
        elif word.letter in words:
            raise ProgramError(block.line, word.text, f"gives {word.letter} a second time in the block")
        else:
            words[word.letter] = word
    if "P" in words and "dwell" not in codes:
        raise ProgramError(block.line, words["P"].text, "is followed with G4 only")
    return codes, words


def _settings(
    block: Block, codes: dict[str, Word], words: dict[str, Word], state: _State, notes: list[str]
) -> _State:
    """Take over everything modal in a block but the position."""
    state = _modes(
        block, codes, dataclasses.replace(state, block=int(words["N"].value) if "N" in words else None)
    )
    if "limit" not in codes and "dwell" not in codes:
        state = _spindle(block, codes, words, state)
    if "T" in words:
        state = dataclasses.replace(state, tool=int(words["T"].value))
        notes.append(f"line {block.line}: tool {words['T'].text}")
    for word in block.words:
        if word.letter == "M":
            if word.value in _SUBPROGRAMS:
                raise ProgramError(block.line, word.text, "calls or ends a subprogram, which is not followed")
            notes.append(f"line {block.line}: machine function {word.text}")
    return state


def _modes(block: Block, codes: dict[str, Word], state: _State) -> _State:
    """Take over the preparatory functions that hold from block to block."""
    number = {group: int(word.value) for group, word in codes.items()}
    datum = number.get("datum", state.datum)
    if state.datum not in (None, datum):
        raise ProgramError(block.line, codes["datum"].text, f"changes the zero point from G{state.datum}")
    sides: dict[int, Side] = {40: "none", 41: "left", 42: "right"}
    return dataclasses.replace(
        state,
        motion=number.get("motion", state.motion),
        inch=number["unit"] == 20 if "unit" in number else state.inch,
        absolute=number["distance"] == 90 if "distance" in number else state.absolute,
        side=sides[number["compensation"]] if "compensation" in number else state.side,
        datum=datum,
    )


def _spindle(block: Block, codes: dict[str, Word], words: dict[str, Word], state: _State) -> _State:
    """Take over S, and whether it is a speed (G97) or a cutting speed (G96)."""
    constant_cut = codes["speed"].value == 96.0 if "speed" in codes else state.constant_cut
    speed = state.speed if constant_cut == state.constant_cut else None
    if "S" in words:
        speed = words["S"].value
        if speed < 0.0:
            raise ProgramError(block.line, words["S"].text, "must not be negative")
    return dataclasses.replace(state, constant_cut=constant_cut, speed=speed)


def _only(block: Block, words: dict[str, Word], allowed: str, context: str) -> None:
    for letter, word in words.items():
        if letter not in allowed:
            raise ProgramError(block.line, word.text, f"has no meaning here ({context})")


def _length(block: Block, word: Word, state: _State, reading: Reading) -> float:
    """Value of a word in mm."""
    unit = INCH if state.inch else 1.0
    scale = reading.least_increment if reading.least_increment is not None and not word.decimal else 1.0
    value = word.value * unit * scale
    if abs(value) > LARGEST_COORDINATE:
        raise ProgramError(
            block.line, word.text, f"must lie within {LARGEST_COORDINATE:g} mm, found {value:g} mm"
        )
    return value


def _target(block: Block, words: dict[str, Word], state: _State, reading: Reading) -> Point:
    """Where the block ends, x as radius, z in the frame of the chuck."""
    ends = []
    for axis, increment, at, share, zero in (
        ("X", "U", state.at[0], 0.5 if reading.diameter else 1.0, 0.0),
        ("Z", "W", state.at[1], 1.0, reading.z_offset),
    ):
        if axis in words and increment in words:
            raise ProgramError(block.line, words[increment].text, f"and {words[axis].text} both move {axis}")
        if axis in words:
            value = share * _length(block, words[axis], state, reading)
            ends.append(value + zero if state.absolute else at + value)
        elif increment in words:
            ends.append(at + share * _length(block, words[increment], state, reading))
        else:
            ends.append(at)
        if abs(ends[-1]) > 2.0 * LARGEST_COORDINATE:
            raise ProgramError(block.line, "", f"runs beyond {2.0 * LARGEST_COORDINATE:g} mm in {axis}")
    return ends[0], ends[1]


def _move(block: Block, words: dict[str, Word], state: _State, end: Point, reading: Reading) -> Move:
    kind: MoveKind = "rapid" if state.motion == 0 else "feed"
    speed = _spindle_speed(state, end)
    centre = None
    clockwise = state.motion == 2
    if state.motion in (2, 3):
        _only(block, words, "NXZUWIKRFST", f"G{state.motion}")
        centre = _centre(block, words, state, end, reading)
    else:
        _only(block, words, "NXZUWFST", f"G{state.motion}")
    return Move(
        kind, state.at, end, centre, clockwise if centre is not None else False, state.block, block.line, speed
    )  # fmt: skip


def _centre(block: Block, words: dict[str, Word], state: _State, end: Point, reading: Reading) -> Point:
    """Centre of an arc from R, or from I and K."""
    start = state.at
    if "R" in words and ("I" in words or "K" in words):
        raise ProgramError(block.line, words["R"].text, "and I or K exclude each other")
    if "R" in words:
        return _centre_from_radius(block, words["R"], state, end, reading)
    if "I" not in words and "K" not in words:
        raise ProgramError(block.line, f"G{state.motion}", "must have R, or I and K")
    i, k = (_length(block, words[w], state, reading) if w in words else 0.0 for w in "IK")
    centre = (start[0] + i, start[1] + k)
    radii = math.dist(start, centre), math.dist(end, centre)
    if min(radii) <= 1e-6 or abs(radii[0] - radii[1]) > ARC_MISMATCH:
        word = words.get("I", words.get("K"))
        raise ProgramError(
            block.line, word.text if word else "",
            f"puts the centre {radii[0]:.4f} mm from the start and {radii[1]:.4f} mm from the end; they must agree "
            f"within {ARC_MISMATCH:g} mm",
        )  # fmt: skip
    return centre


def _centre_from_radius(block: Block, word: Word, state: _State, end: Point, reading: Reading) -> Point:
    """Centre from R: up to half a turn if positive, more if negative."""
    radius = _length(block, word, state, reading)
    start = state.at
    chord = math.dist(start, end)
    if chord <= 1e-6 or abs(radius) <= 1e-6:
        raise ProgramError(
            block.line, word.text, "needs an end apart from the start (a full circle takes I and K)"
        )
    square = radius**2 - 0.25 * chord**2
    if 0.5 * chord - abs(radius) > 0.5 * ARC_MISMATCH:
        raise ProgramError(block.line, word.text, f"is too small: the ends are {chord:.4f} mm apart")
    height = math.sqrt(max(0.0, square))
    # Seen with z right and x up: the centre of a counter-clockwise arc up to half a turn lies to the left.
    side = 1.0 if (state.motion == 3) == (radius > 0.0) else -1.0
    ux, uz = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    return (
        0.5 * (start[0] + end[0]) + side * height * uz,
        0.5 * (start[1] + end[1]) - side * height * ux,
    )


def _spindle_speed(state: _State, end: Point) -> float | None:
    """Highest speed of a move, rev/min: at its least radius if the cutting speed is constant (G96)."""
    if state.speed is None:
        return None
    speed = state.speed
    if state.constant_cut:
        metres = speed * (0.3048 if state.inch else 1.0)  # ft/min with inches
        through = state.at[0] * end[0] <= 0.0
        radius = 0.0 if through else min(abs(state.at[0]), abs(end[0]))
        if radius < 1e-6:
            return state.limit if state.limit is not None else math.inf
        speed = 1000.0 * metres / (2.0 * math.pi * radius)
    return speed if state.limit is None else min(speed, state.limit)


def _dogleg(move: Move) -> tuple[Move, ...]:
    """Both axes at one pace until the first arrives, then the other alone."""
    dx, dz = move.end[0] - move.start[0], move.end[1] - move.start[1]
    both = min(abs(dx), abs(dz))
    if move.kind != "rapid" or move.centre is not None or both == 0.0 or abs(dx) == abs(dz):
        return (move,)
    corner = (move.start[0] + math.copysign(both, dx), move.start[1] + math.copysign(both, dz))
    return dataclasses.replace(move, end=corner), dataclasses.replace(move, start=corner)
