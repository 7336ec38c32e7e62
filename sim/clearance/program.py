"""Read a lathe program in the format of ISO 6983-1 into moves of the tool tip.

What is followed: G0 G1 G2 G3 (R, or I and K from the start to the centre), G4, G18, G20 G21, G28 (where the
home position is known), G40 G41 G42, G54 to G59 (one of them), G90 G91 and increments U W, F with G94 G95 G98
G99, G96 G97 and a speed limit by G50 S or G92 S, M and T functions, N and a program number, comments, block
delete, what M words do to spindle and chuck (`sim.clearance.machine_words`). Lengths are absolute and feeds per
revolution unless asked otherwise. Everything that would move an axis in a way that is not followed is an error:
variables, subprograms, cycles, other planes and axes, coordinate shifts. No cycle is expanded: their words are not
the same from control to control, and ISO 6983-1 leaves the turning cycles open. What can mean two things is an
error, too (`sim.clearance.code_systems`, `feed_words`, `tool_words`), or noted where nothing but its name is open.

The codes are those of ISO 6983-1 (preparatory functions, address letters; from memory, not verified). The
speed limit by G50 S or G92 S, U and W as increments of X and Z, G98 and G99 beside G94 and G95, G28, and T1,
T0100 and T0101 for the tool in station 1 are common practice, no source.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, NamedTuple

from sim.clearance import code_systems
from sim.clearance.arc_words import centre
from sim.clearance.code_systems import Doubts, Place
from sim.clearance.compensation import Nose, Programmed, Side, compensated
from sim.clearance.feed_words import INCH, feed_of, require_feed
from sim.clearance.machine_words import Call, Machine, Opening, machine_words, makers_own, station_of
from sim.clearance.path import Move, MoveKind, Point, arc_points
from sim.clearance.rapids import dogleg, oblique
from sim.clearance.tool_words import TOOL_CHANGE, called, one_block, takes_offset_off
from sim.clearance.words import Block, ProgramError, Word, blocks, by_address, require_only

LARGEST_COORDINATE = 1e4  # mm, beyond any lathe: a slip of the decimal point
LARGEST_PROGRAM = 20_000_000  # characters
_AXES = "XZUW"
_SUBPROGRAMS = {96.0, 97.0, 98.0, 99.0, 198.0}
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
        For G41 and G42, mm, of a tool that is not in `tools`.
    tip_direction : (int, int)
        From the nose's centre to the programmed tip of such a tool, see `sim.clearance.compensation`.
    tools : mapping of int to Nose
        Known tools by number; if there is any, a T word must call one of them.
    skip_optional : bool, optional
        Blocks after a slash are skipped, or run; None refuses them.
    skipped : frozenset of str
        Switches (as in '/' or '/2') whose blocks are skipped, whatever `skip_optional` says.
    least_increment : float, optional
        Length in mm of 1 in a coordinate without a decimal point, and ten times the length in inches of 1
        in an inch program (0.001 mm and 0.0001 in: common practice); without it 1 mm or 1 inch.
    point_required : bool
        Numbers without a decimal point that could count increments are refused.
    speed_limit : float, optional
        Of the machine, rev/min: a feed per minute is judged at no higher speed.
    rapid : {'straight', 'dogleg', 'unknown'}
        How G0 moves both axes: along a straight line; each at its own rate until the first arrives; or not known,
        which marks such moves as `Move.astray`.
    rapid_ratio : float
        Rate of the x slide (as radius) over that of the z slide, for 'dogleg'.
    z_offset : float
        z of the program's zero point in the frame of the chuck, mm.
    home : (x, z), optional
        Where G28 takes the tip, radius and z in mm.
    chuck : (int, int), optional
        Numbers of the M words that open and close the chuck; without it words that may do so are refused.
    first_tool : int, optional
        The tool that stands at the cut before the first T word.
    """

    diameter: bool = True
    start: Point = (200.0, 200.0)
    inch: bool = False
    nose_radius: float = 0.0
    tip_direction: tuple[int, int] = (1, -1)
    tools: Mapping[int, Nose] = field(default_factory=lambda: MappingProxyType({}))
    skip_optional: bool | None = False
    skipped: frozenset[str] = frozenset()
    least_increment: float | None = None
    point_required: bool = False
    speed_limit: float | None = None
    rapid: Literal["straight", "dogleg", "unknown"] = "straight"
    rapid_ratio: float = 1.0
    z_offset: float = 0.0
    home: Point | None = None
    chuck: tuple[int, int] | None = None
    first_tool: int | None = None


@dataclass(frozen=True, slots=True)
class Program:
    """A program as read.

    Attributes
    ----------
    moves : tuple of Move
        Of the programmed tip; speed is the highest spindle speed within the move, rev/min.
    tools : tuple of int or None
        Number of the tool in force in each move: that of `Reading.tools`, or the T word's number.
    notes : tuple of str
        What was read and moves no axis (machine functions, dwells, tools), and what was taken for granted.
    machine : tuple of Machine
        Spindle and chuck in each move.
    calls : tuple of Call
        T words that may turn the turret: the first, and every one that names another tool or station.
    openings : tuple of Opening
        Words that open the chuck.
    ended : Place, optional
        The M2 or M30 that ends the program; None where nothing does.
    makers_own : tuple of Place
        M words that may move the chuck, where `Reading.chuck` does not say which do.
    """

    moves: tuple[Move, ...]
    tools: tuple[int | None, ...]
    notes: tuple[str, ...]
    machine: tuple[Machine, ...] = ()
    calls: tuple[Call, ...] = ()
    openings: tuple[Opening, ...] = ()
    ended: Place | None = None
    makers_own: tuple[Place, ...] = ()


class _State(NamedTuple):
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
    feed: float | None = None  # F in mm/rev or mm/min
    feed_per_minute: bool = False
    tool: int | None = None
    block: int | None = None
    doubts: Doubts = Doubts()
    named: int | None = None  # line of the program number
    unit_told: bool = False
    increments_told: bool = False
    speed_told: bool = False
    unsaid: Place | None = None  # G96 or G97 that leaves open what the speed is
    without_offset: Place | None = None  # T word that has taken the offset off


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
    found, remarks = blocks(text)
    told = _followed(found, reading)
    moves = compensated(told.programmed, reading.tools, Nose(reading.nose_radius, reading.tip_direction))
    in_force = {one.move.line: one.tool for one in told.programmed}
    if reading.rapid == "dogleg":
        moves = tuple(part for move in moves for part in dogleg(move, reading.rapid_ratio))
    elif reading.rapid == "unknown":
        moves = tuple(dataclasses.replace(move, astray=True) if oblique(move) else move for move in moves)
    return Program(
        moves=moves,
        tools=tuple(in_force[move.line] for move in moves),
        notes=(*told.notes, *remarks),
        machine=tuple(told.machine[move.line] for move in moves),
        calls=tuple(told.calls),
        openings=tuple(told.openings),
        ended=told.ended,
        makers_own=tuple(told.makers_own),
    )


class _Followed(NamedTuple):
    """What the blocks say: moves before compensation, notes, and as in `Program`; the machine by line."""

    programmed: list[Programmed]
    notes: list[str]
    machine: dict[int | None, Machine]
    calls: list[Call]
    openings: list[Opening]
    makers_own: list[Place]
    ended: Place | None = None


def _followed(found: list[Block], reading: Reading) -> _Followed:
    """Follow the blocks up to the end of the program."""
    state = _State(at=reading.start, inch=reading.inch, tool=reading.first_tool)
    told = _Followed([], [], {}, [], [], [])
    machine = Machine()
    changes = any(word.letter == "M" and word.value == TOOL_CHANGE for one in found for word in one.words)
    for number, block in enumerate(found):
        if _is_skipped(block, reading):
            told.notes.append(f"line {block.line}: skipped (block delete)")
            continue
        if changes:
            one_block(block)
        before, count = state, len(told.programmed)
        state = _follow(block, state, reading, told.programmed, told.notes)
        told.machine[block.line], machine, opening = machine_words(block, machine, reading.chuck)
        told.makers_own.extend(makers_own(block, reading.chuck))
        if opening is not None:
            told.openings.append(opening)
        call = _call(block, before, state, reading, told, told.programmed[count:])
        if call is not None:
            told.calls.append(call)
        end = next((word for word in block.words if word.letter == "M" and word.value in _END), None)
        if end is not None:
            if number + 1 < len(found):
                told.notes.append(
                    f"line {found[number + 1].line}: not followed, nor what comes after it: {end.text} of line "
                    f"{block.line} ends the program"
                )
            return told._replace(ended=Place(block.line, end.text))
    return told


def _call(
    block: Block, before: _State, after: _State, reading: Reading, told: _Followed, own: list[Programmed]
) -> Call | None:
    """Return the T word of a block that may turn the turret, if it holds one; `own` are the moves of the block."""
    word = next((word for word in block.words if word.letter == "T"), None)
    if word is None or station_of(int(word.value)) == 0:
        return None
    station = station_of(int(word.value))
    if reading.tools:
        same = after.tool == before.tool
    elif told.calls:
        same = station == told.calls[-1].station
    else:
        same = reading.first_tool is not None and station == station_of(reading.first_tool)
    if same:
        return None
    moves = tuple(one.move for one in own)
    if any(move.kind == "feed" for move in moves):
        raise ProgramError(
            block.line, word.text,
            "calls a tool in a block that feeds: whether it changes before the move, in it or behind it differs from "
            "control to control; write it on a line of its own",
        )  # fmt: skip
    return Call(Place(block.line, word.text), after.tool, station, before.at, moves)


def switches(text: str) -> tuple[str, ...]:
    """Return the switches (as in '/' or '/2') that skip blocks of a program, in the order of their first block.

    Raises
    ------
    ProgramError
        If a line is not made of words and comments.
    """
    if "/" not in text:
        return ()
    return tuple(dict.fromkeys(block.switch for block in blocks(text)[0] if block.switch))


def _is_skipped(block: Block, reading: Reading) -> bool:
    """Tell whether a block is skipped, and refuse one where that is not stated."""
    if block.switch in reading.skipped:
        return True
    if block.optional and reading.skip_optional is None:
        raise ProgramError(
            block.line,
            "/",
            "lets an operator skip the block: optional_blocks must state whether they run",
        )
    return block.optional and bool(reading.skip_optional)


def _follow(
    block: Block, state: _State, reading: Reading, programmed: list[Programmed], notes: list[str]
) -> _State:
    """Follow one block: settings first, then the motion."""
    codes, words = by_address(block)
    dwell = "dwell" in codes
    state = state._replace(doubts=code_systems.told(block, state.doubts))
    state = _settings(block, codes, words, state, reading, notes)
    if dwell:
        require_only(block, words, "NXUPFST", codes["dwell"].text)
        notes.append(f"line {block.line}: dwell")
        return state
    if "limit" in codes:
        require_only(block, words, "SNT", codes["limit"].text)
        if "S" not in words:
            raise ProgramError(
                block.line, codes["limit"].text, "must set a speed limit by S; shifts are not followed"
            )
        if words["S"].value <= 0.0:
            raise ProgramError(block.line, words["S"].text, "must be greater than 0 as a speed limit")
        return state._replace(limit=words["S"].value)
    if "home" in codes:
        return _homewards(block, codes["home"], words, state, reading, programmed, notes)
    axes = [words[letter] for letter in _AXES if letter in words]
    arc = state.motion in (2, 3) and any(letter in words for letter in "IKR")
    if not axes and not arc:
        require_only(block, words, "NOFST", "without X, Z, U or W")
        return state
    if state.motion is None:
        raise ProgramError(block.line, axes[0].text, "moves an axis before any of G0, G1, G2, G3")
    first = axes[0] if axes else next(words[letter] for letter in "IKR" if letter in words)
    feeds = state.motion != 0
    doubts = code_systems.moves(block, state.doubts, first, stated="motion" in codes, feeds=feeds)
    state = _told(block, words, state._replace(doubts=doubts), notes)
    end = _target(block, words, state, reading)
    move = _move(block, words, state, end, reading)
    if move.speed == math.inf:
        notes.append(f"line {block.line}: constant cutting speed up to the axis without a speed limit")
    compensating = state.side != "none" or (programmed and programmed[-1].side != "none")
    if move.centre is not None or end != state.at or compensating:
        programmed.append(Programmed(move, state.side, state.tool))
    return state._replace(at=end)


def _told(block: Block, words: dict[str, Word], state: _State, notes: list[str]) -> _State:
    """Note once what is taken for granted about lengths: their unit, and what U and W mean."""
    if not state.unit_told:
        unit = "inches" if state.inch else "mm"
        notes.append(f"line {block.line}: the first move, before any G20 or G21; lengths are read in {unit}")
    increment = words.get("U", words.get("W"))
    if increment is not None and state.doubts.modes and not state.increments_told:
        notes.append(f"line {block.line}: {increment.text}, U and W are read as increments of X and Z")
        state = state._replace(increments_told=True)
    return state._replace(unit_told=True)


def _homewards(
    block: Block,
    code: Word,
    words: dict[str, Word],
    state: _State,
    reading: Reading,
    programmed: list[Programmed],
    notes: list[str],
) -> _State:
    """Follow G28: at rapid over the point of the block to the home position, in the axes that it names."""
    require_only(block, words, "NXZUWFST", code.text)
    if reading.home is None:
        raise ProgramError(block.line, code.text, "is followed only where the home position is stated")
    if state.side != "none":
        raise ProgramError(block.line, code.text, "must not come while G41 or G42 is on")
    named = ("X" in words or "U" in words, "Z" in words or "W" in words)
    if not any(named):
        raise ProgramError(block.line, code.text, "must name the axes that go home, as in G28 U0 W0")
    state = _told(block, words, state, notes)
    over = _target(block, words, state, reading)
    end = (reading.home[0] if named[0] else over[0], reading.home[1] if named[1] else over[1])
    at = state.at
    for point in (over, end):
        if point != at:
            move = Move(
                "rapid", at, point, block=state.block, line=block.line, speed=_spindle_speed(state, point)
            )
            programmed.append(Programmed(move, "none", state.tool))
            at = point
    return state._replace(at=end)


def _settings(
    block: Block,
    codes: dict[str, Word],
    words: dict[str, Word],
    state: _State,
    reading: Reading,
    notes: list[str],
) -> _State:
    """Take over everything modal in a block but the position."""
    number = int(words["N"].value) if "N" in words else None
    if number != state.block:
        state = state._replace(block=number)
    if "O" in words:
        if state.named is not None:
            raise ProgramError(
                block.line, words["O"].text, f"begins another program than that of line {state.named}"
            )
        state = state._replace(named=block.line)
    if codes:
        state = _modes(block, codes, state)
    if "limit" not in codes and "dwell" not in codes:
        state = _spindle(block, codes, words, state)
        if "F" in words:
            state = state._replace(feed=_feed(block, words["F"], state, reading))
        state = _told_of_speed(block, codes, words, state, notes)
    return _functions(block, words, state, reading, notes)


def _functions(
    block: Block, words: dict[str, Word], state: _State, reading: Reading, notes: list[str]
) -> _State:
    """Take over the tool, and note the machine functions."""
    if "T" in words:
        tool = called(block, words["T"], state.tool, reading.tools, notes)
        off = takes_offset_off(words["T"], reading.tools)
        state = state._replace(tool=tool, without_offset=Place(block.line, words["T"].text) if off else None)
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
    per_minute = number["feed"] in (94, 98) if "feed" in number else state.feed_per_minute
    sides: dict[int, Side] = {40: "none", 41: "left", 42: "right"}
    return state._replace(
        motion=number.get("motion", state.motion),
        inch=number["unit"] == 20 if "unit" in number else state.inch,
        unit_told=state.unit_told or "unit" in number,
        absolute=number["distance"] == 90 if "distance" in number else state.absolute,
        side=sides[number["compensation"]] if "compensation" in number else state.side,
        datum=datum,
        feed_per_minute=per_minute,
        feed=state.feed if per_minute == state.feed_per_minute else None,
    )


def _feed(block: Block, word: Word, state: _State, reading: Reading) -> float:
    return feed_of(
        block, word, state.doubts, inch=state.inch, per_minute=state.feed_per_minute,
        increments=reading.point_required or reading.least_increment is not None,
    )  # fmt: skip


def _spindle(block: Block, codes: dict[str, Word], words: dict[str, Word], state: _State) -> _State:
    """Take over S, and whether it is a speed (G97) or a cutting speed (G96)."""
    if "speed" not in codes and "S" not in words:
        return state
    constant_cut = codes["speed"].value == 96.0 if "speed" in codes else state.constant_cut
    speed, unsaid = state.speed, state.unsaid
    if constant_cut != state.constant_cut:
        speed, unsaid = None, Place(block.line, codes["speed"].text)
    if "S" in words:
        speed, unsaid = words["S"].value, None
        if speed < 0.0:
            raise ProgramError(block.line, words["S"].text, "must not be negative")
    return state._replace(constant_cut=constant_cut, speed=speed, unsaid=unsaid)


def _length(block: Block, word: Word, state: _State, reading: Reading) -> float:
    """Value of a word in mm."""
    unit = INCH if state.inch else 1.0
    if reading.point_required and not word.decimal and word.value != 0.0:
        raise ProgramError(
            block.line, word.text,
            f"has no decimal point and can mean {word.value:g} {'inch' if state.inch else 'mm'} or {word.value:g} "
            "increments: without_point must state which, or write the point",
        )  # fmt: skip
    if reading.least_increment is not None and not word.decimal:
        unit *= reading.least_increment * (0.1 if state.inch else 1.0)
    value = word.value * unit
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
    middle = None
    if state.motion in (2, 3):
        require_only(block, words, "NXZUWIKRFST", f"G{state.motion}")
        lengths = {
            letter: _length(block, words[letter], state, reading) for letter in "RIK" if letter in words
        }
        middle = centre(block, words, lengths, state.motion, state.at, end)
    else:
        require_only(block, words, "NXZUWFST", f"G{state.motion}")
    if kind == "feed":
        _require_settled(block, state, speed)
    move = Move(
        kind, state.at, end, middle, state.motion == 2 and middle is not None, state.block, block.line, speed,
        surface_speed=_surface_speed(state),
    )  # fmt: skip
    if kind == "rapid":
        return move
    # An arc reaches further in and out than its ends.
    reach = [x for x, _ in arc_points(move).tolist()]
    feed = _feed_per_turn(state, reach, reading)
    require_feed(block, feed)
    return dataclasses.replace(move, feed=feed, speed=_speed_between(state, min(reach), max(reach)))


def _require_settled(block: Block, state: _State, speed: float | None) -> None:
    """Refuse to feed at a speed or with a tool offset that the program leaves open, or with none."""
    if state.without_offset is not None:
        raise ProgramError(
            block.line, "",
            f"feeds after {state.without_offset.text} of line {state.without_offset.line}, which takes the tool's "
            "offset off: where the tip then runs is not known; call the tool with its offset, as in T0101",
        )  # fmt: skip
    if speed == 0.0:
        raise ProgramError(block.line, "", "feeds with the spindle at rest (S0)")
    if state.unsaid is not None:
        raise ProgramError(
            block.line, "",
            f"feeds after {state.unsaid.text} of line {state.unsaid.line} without S: at which speed differs from "
            "control to control; write S beside it",
        )  # fmt: skip
    if speed is None and state.feed_per_minute and state.feed is not None:
        raise ProgramError(
            block.line,
            "",
            "feeds per minute without a spindle speed: how far that is in a turn is open; state S",
        )


def _feed_per_turn(state: _State, reach: list[float], reading: Reading) -> float | None:
    """Largest feed of a move over radii (mm), mm/rev: at its lowest speed where F is a feed per minute."""
    if state.feed is None or not state.feed_per_minute:
        return state.feed
    metres, radius = _surface_speed(state), max(map(abs, reach))
    turns = state.speed if metres is None else 1000.0 * metres / (2.0 * math.pi * max(radius, 1e-6))
    if turns is None:
        return None
    slowest = min([turns, *(one for one in (state.limit, reading.speed_limit) if one is not None)])
    return state.feed / slowest if slowest > 0.0 else None


def _told_of_speed(
    block: Block, codes: dict[str, Word], words: dict[str, Word], state: _State, notes: list[str]
) -> _State:
    """Note an S word that could be another speed."""
    if "S" in words and "speed" not in codes and not state.speed_told:
        notes.append(f"line {block.line}: {words['S'].text}, before any G96 or G97, is read as rev/min")
    if "S" in words and _over_the_limit(state):
        notes.append(
            f"line {block.line}: {words['S'].text} with G97 is over the speed limit of {state.limit:g} rpm, which "
            "many controls keep with G96 only: judged as it is"
        )
    return state._replace(speed_told=state.speed_told or "speed" in codes or "S" in words)


def _over_the_limit(state: _State) -> bool:
    return (
        not state.constant_cut
        and state.limit is not None
        and state.speed is not None
        and state.speed > state.limit
    )


def _spindle_speed(state: _State, end: Point) -> float | None:
    """Highest speed of a move, rev/min: at its least radius if the cutting speed is constant (G96).

    The limit counts with G96 only: many controls do not keep a speed of G97 to it.
    """
    return _speed_between(state, state.at[0], end[0])


def _speed_between(state: _State, first: float, last: float) -> float | None:
    """Highest speed with the tip between two x (mm), rev/min."""
    metres = _surface_speed(state)
    if metres is None:
        return state.speed
    radius = 0.0 if first * last <= 0.0 else min(abs(first), abs(last))
    speed = math.inf if radius < 1e-6 else 1000.0 * metres / (2.0 * math.pi * radius)
    return speed if state.limit is None else min(speed, state.limit)


def _surface_speed(state: _State) -> float | None:
    """Constant cutting speed, m/min; ft/min with inches. None with G97."""
    if not state.constant_cut or state.speed is None:
        return None
    return state.speed * (0.3048 if state.inch else 1.0)
