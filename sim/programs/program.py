"""Read a lathe program in the format of ISO 6983-1 into moves of the tool tip.

What is followed: G0 G1 G2 G3 (R, or I and K from the start to the centre), G4, G18, inch and mm, G28 (where the
home position is known), G40 G41 G42, G54 to G59, absolute and incremental coordinates, F, G96 G97 and a speed limit,
by the codes of the control's code system (`sim.programs.code_groups`), M and T functions, N and a program number,
comments, block delete, what M words do to spindle and chuck (`sim.programs.machine_words`), variables, jumps, loops and
subprograms (`sim.programs.flow`), cycles along a contour (`sim.programs.cycle_words`), single cycles, threads, pecking
and holes on the axis (`sim.programs.single_cycle_words`). Lengths are absolute and feeds per revolution unless asked
otherwise. Everything that would move an axis in a way that is not followed is an error: other cycles, other planes and
axes. What can mean two things is an error, too (`sim.programs.code_systems`, `feed_words`, `tool_words`), or noted
where nothing but its name is open.

The codes are those of ISO 6983-1 (preparatory functions, address letters), as public quick references of open
controls and NIST's RS274/NGC share them. The
speed limit by G50 S or G92 S, U and W as increments of X and Z, G98 and G99 beside G94 and G95, G28, and T1,
T0100 and T0101 for the tool in station 1 are common practice, no source.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from meshes.points import Point
from sim.base.garbage import left_alone
from sim.base.limits import PROGRAM
from sim.programs import code_systems
from sim.programs.axis_words import told_of_lengths
from sim.programs.code_systems import Place
from sim.programs.compensation import Nose, Programmed, compensated
from sim.programs.contour_blocks import ContourCycle, cycle_at
from sim.programs.corner_words import CornerWords, corner_of, corner_words, end_of
from sim.programs.corners import cornered
from sim.programs.cycle_moves import expanded, require_bounded, require_stated, stated_again
from sim.programs.cycle_words import contour_cycle_of
from sim.programs.flow import flow
from sim.programs.home_words import homewards, in_machine_coordinates
from sim.programs.idle_words import idle
from sim.programs.machine_words import (
    REPEATS,
    Call,
    Machine,
    Opening,
    OwnWord,
    machine_words,
    makers_own,
    station_of,
)
from sim.programs.modal import State
from sim.programs.modal_words import settings
from sim.programs.motion import move_of
from sim.programs.offset_words import changes_nothing
from sim.programs.open_lines import begun, met, require_met
from sim.programs.path import Move
from sim.programs.plain_lines import PlainLine
from sim.programs.plain_motion import block_at, nothing_open, plain_moves
from sim.programs.rapids import dogleg, oblique
from sim.programs.read_block import ReadBlock
from sim.programs.reading import Reading
from sim.programs.single_cycle_words import after_cycle, follow_cycle, one_block_cycle_of
from sim.programs.speed_words import limited, speed_limit
from sim.programs.statements import Statement, Words, statements
from sim.programs.system_words import systems_of, told_of_system
from sim.programs.tool_digits import digits, station_of_tool
from sim.programs.tool_words import TOOL_CHANGE, one_block
from sim.programs.words import Block, ProgramError, Word, by_address, require_only
from sim.programs.zero_words import coordinates_set, local_shift

LARGEST_PROGRAM = PROGRAM.most  # characters
_AXES = "XZUW"
_END = {2.0, 30.0, REPEATS}


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
        The M2 or M30 that ends the program, or the M99 that begins it again; None where nothing does.
    makers_own : tuple of OwnWord
        M words that may move the chuck, where `Reading.chuck` does not say which do.
    """

    moves: tuple[Move, ...]
    tools: tuple[int | None, ...]
    notes: tuple[str, ...]
    machine: tuple[Machine, ...] = ()
    calls: tuple[Call, ...] = ()
    openings: tuple[Opening, ...] = ()
    ended: Place | None = None
    makers_own: tuple[OwnWord, ...] = ()


@left_alone()
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
    found, remarks = statements(text, pointed=reading.points_count)
    flowed = flow(found, reading)
    told = _followed(flowed.blocks, reading, changes=any(map(_changes_the_tool, found)))
    moves = compensated(
        told.programmed, reading.tools, Nose(reading.nose_radius, reading.tip_direction), reading.corners
    )
    in_force = {one.move.ordinal: one.tool for one in told.programmed}
    if reading.rapid == "dogleg":
        moves = tuple(part for move in moves for part in dogleg(move, reading.rapid_ratio))
    elif reading.rapid == "unknown":
        moves = tuple(dataclasses.replace(move, astray=True) if oblique(move) else move for move in moves)
    return Program(
        moves=moves,
        tools=tuple(in_force[move.ordinal] for move in moves),
        notes=(*told.notes, *flowed.notes, *remarks),
        machine=tuple(told.machine[move.ordinal] for move in moves),
        calls=tuple(told.calls),
        openings=tuple(told.openings),
        ended=told.ended,
        makers_own=tuple(told.makers_own),
    )


class _Followed(NamedTuple):
    """What the blocks say: moves before compensation, notes, and as in `Program`; the machine by `Move.ordinal`."""

    programmed: list[Programmed]
    notes: list[str]
    machine: dict[int | None, Machine]
    calls: list[Call]
    openings: list[Opening]
    makers_own: list[OwnWord]
    ended: Place | None = None


def _changes_the_tool(one: Statement | PlainLine) -> bool:
    if isinstance(one, PlainLine):
        return False
    words = one.action.words if isinstance(one.action, (Block, Words)) else ()
    letters = [word for word in words if word.letter == "M"]
    return any(isinstance(word, Word) and word.value == TOOL_CHANGE for word in letters)


def _followed(found: list[Block | PlainLine], reading: Reading, *, changes: bool) -> _Followed:
    """Follow the blocks that run, in their order; `changes`: the program changes tools by M6."""
    systems = systems_of(found, reading.code_system)
    state = State(at=reading.start, inch=reading.inch, tool=reading.first_tool, systems=systems.possible)
    told = _Followed([], [], {}, [], [], [])
    told_of_system(systems, told.notes)
    machine = Machine()
    if len(systems.possible) == 1:
        reading = dataclasses.replace(reading, code_system=next(iter(systems.possible)))
    noted: set[str] = set()
    at, whole, places = 0, list[Block](), dict[float, list[int]]()
    feeds: dict[str, float] = {}
    while at < len(found):
        _once(told.notes, noted)
        first = at
        at, state = plain_moves(found, first, state, reading, feeds, told.programmed)
        if at > first:
            told.machine.update((line.ordinal, machine) for line in found[first:at])
            continue
        block = block_at(found[at])
        if changes:
            one_block(block)
        before, count = state, len(told.programmed)
        cycle = None
        if contour_cycle_of(block, reading.code_system) is not None:
            whole = whole or list(map(block_at, found))
            cycle = cycle_at(whole, first, reading, places)
        if cycle is None:
            state = _run(block, state, reading, told.programmed, told.notes)
            at = first + 1
        else:
            state = _cycle(cycle, state, reading, told)
            at = cycle.resume
        _keep_feed(feeds, found[first], state)
        machine = _machine(block, machine, reading, told)
        call = _call(block, before, state, reading, told, told.programmed[count:])
        if call is not None:
            told.calls.append(call)
        ended = _end(block, told.notes)
        if ended is not None:
            return told._replace(ended=ended)
    if state.corner is not None:
        raise state.corner.error("needs a straight move by G1 in a next block to lie between")
    require_met(state)
    return told


def _keep_feed(feeds: dict[str, float], line: Block | PlainLine, after: State) -> None:
    """Keep the feed of a plain line's F word once it has been asked for everything; other lines may change the mode."""
    if not isinstance(line, PlainLine):
        feeds.clear()
    elif line.feed and after.feed is not None and nothing_open(after):
        feeds[line.feed] = after.feed


def _machine(block: Block, before: Machine, reading: Reading, told: _Followed) -> Machine:
    """Return what the M words of a block leave the machine in, and keep what they do."""
    told.machine[block.ordinal], machine, opening = machine_words(block, before, reading.chuck)
    told.makers_own.extend(makers_own(block, reading.chuck))
    if opening is not None:
        told.openings.append(opening)
    return machine


def _end(block: Block, notes: list[str]) -> Place | None:
    """Return the word of a block that ends the program."""
    ends = [word for word in block.words if word.letter == "M" and word.value in _END]
    if not ends:
        return None
    end = ends[0]
    other = next((word for word in ends if word.value != end.value), None)
    if other is not None:
        raise ProgramError(block.line, other.text, f"and {end.text} exclude each other in a block")
    if end.value == REPEATS:
        notes.append(
            f"line {block.line}: {end.text} begins the program again, from where the tool then stands: judged once, "
            "from the stated start"
        )
    return Place(block.line, end.text)


def _once(notes: list[str], noted: set[str]) -> None:
    """Keep what a line says each time it runs once; `noted` is what was kept so far."""
    kept = len(noted)
    if len(notes) > kept:
        notes[kept:] = [note for note in dict.fromkeys(notes[kept:]) if note not in noted]
        noted.update(notes[kept:])


def _cycle(cycle: ContourCycle, state: State, reading: Reading, told: _Followed) -> State:
    """Follow a cycle along a contour: what its own block sets, then its moves."""

    def follow(block: Block, state: State, programmed: list[Programmed], notes: list[str]) -> State:
        return _run(block, state, reading, programmed, notes)

    state = follow(cycle.block, state, told.programmed, told.notes)
    state, moves = expanded(cycle, state, reading, follow, told.notes)
    told.programmed.extend(moves)
    require_bounded(cycle, told.programmed)
    return state


def _run(
    block: Block, before: State, reading: Reading, programmed: list[Programmed], notes: list[str]
) -> State:
    """Follow one block, and put the corner between its move and the one before in their place."""
    count = len(programmed)
    state = _follow(
        block, before._replace(corner=None) if before.corner else before, reading, programmed, notes
    )
    if state.open_line is not None:
        if before.open_line is not None:
            require_met(before)
        return state._replace(corner=before.corner)  # it lies before a line that has no end yet
    if state.line_corner is not None:
        programmed[count:] = cornered(
            programmed[count], programmed[count + 1 :], state.line_corner, block.line
        )
    if before.corner is not None:
        own, behind = programmed[count:], list[Programmed]()
        if before.open_line is not None:
            own, behind = own[:1], own[1:]
        programmed[count - 1 :] = [
            *cornered(
                programmed[count - 1],
                own,
                before.corner,
                own[0].move.line or block.line if own else block.line,
            ),
            *behind,
        ]
    return state._replace(line_corner=None) if state.line_corner is not None else state


def _call(
    block: Block, before: State, after: State, reading: Reading, told: _Followed, own: list[Programmed]
) -> Call | None:
    """Return the T word of a block that may turn the turret, if it holds one; `own` are the moves of the block."""
    word = next((word for word in block.words if word.letter == "T"), None)
    if word is None:
        return None
    number, rule = int(word.value), reading.tool_word
    station = station_of(number) if rule is None else digits(number, rule).station
    if station == 0:
        return None
    if reading.tools:
        same = after.tool == before.tool
    elif told.calls:
        same = station == told.calls[-1].station
    else:
        same = reading.first_tool is not None and station == station_of_tool(reading.first_tool, rule)
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
    return tuple(dict.fromkeys(one.switch for one in statements(text)[0] if one.switch))


def _follow(
    block: Block, state: State, reading: Reading, programmed: list[Programmed], notes: list[str]
) -> State:
    """Follow one block: a cycle, or settings first, then the motion."""
    cycle = one_block_cycle_of(block, state, reading)
    if cycle is not None:
        return follow_cycle(*cycle, ReadBlock(block, {}, {}, state, reading, programmed, notes))
    return _follow_words(*after_cycle(block, state, notes), reading, programmed, notes)


def _follow_words(
    block: Block, state: State, reading: Reading, programmed: list[Programmed], notes: list[str]
) -> State:
    """Follow a block that calls no cycle: settings first, then the motion."""
    written = changes_nothing(block)
    if written is not None:
        notes.append(f"line {block.line}: {written.text} adds nothing to an offset")
        return state
    block, at_corner = corner_words(block, state.motion, reading)
    codes, words = by_address(block, state.systems)
    doubts = code_systems.told(block, state.doubts, state.systems)
    if doubts is not state.doubts:
        state = state._replace(doubts=doubts)
    one = ReadBlock(block, codes, words, state, reading, programmed, notes)
    state = settings(one)
    one = one.after(stated_again(codes, limited(block, words, state)))
    if idle(one):
        return one.state
    if "dwell" in codes:
        require_only(block, words, "NXUPFST", codes["dwell"].text)
        _require_one_time(block, codes, words)
        one.note("dwell")
        return one.state
    for group, followed in _BY_GROUP.items():
        if group in codes:
            return followed(one)
    words.pop("LIMS", None)
    return _moved(one, at_corner)


def _require_one_time(block: Block, codes: dict[str, Word], words: dict[str, Word]) -> None:
    """Refuse S or F beside a dwell where it may be the time or, from then on, the speed or the feed.

    Raises
    ------
    ProgramError
        Names the word.
    """
    either = [words[letter] for letter in "SF" if letter in words]
    told = (
        any(letter in words for letter in "XUP") or len(either) > 1
    )  # the time, so that S or F may be no time
    turns = "speed" in codes or any(word.letter == "M" and word.value in (3.0, 4.0) for word in block.words)
    if either and (told or turns):
        raise ProgramError(
            block.line,
            either[0].text,
            f"may be the time of {codes['dwell'].text} or what holds from then on; write it in a block of its own",
        )


def _reached(words: dict[str, Word], state: State) -> bool:
    """Tell whether the tip stands in z where the program's own coordinates say."""
    return state.reached or ("Z" in words and state.absolute and state.without_offset is None)


def _limited_or_set(one: ReadBlock) -> State:
    """Follow G50 and G92: a speed limit by S, coordinates of the tip by X and Z."""
    state, words, code = one.state, one.words, one.codes["limit"]
    if one.first(_AXES) is not None:
        state = coordinates_set(one)
    elif "S" not in words:
        raise one.refused(code, "must set a speed limit by S, or coordinates by X and Z")
    require_only(one.block, words, "SNTXZUW", code.text)
    return state._replace(limit=speed_limit(one.block, words["S"])) if "S" in words else state


# What a block does whose code moves the axes, or their zero, by itself; in the order in which they are asked.
_BY_GROUP: dict[str, Callable[[ReadBlock], State]] = {
    "limit": _limited_or_set,
    "shift": local_shift,
    "home": homewards,
    "machine": in_machine_coordinates,
}


def _moved(one: ReadBlock, at_corner: CornerWords) -> State:
    """Follow the motion of a block, if it has one."""
    block, codes, words, state, reading = one.block, one.codes, one.words, one.state, one.reading
    programmed, notes = one.programmed, one.notes
    axes = [words[letter] for letter in _AXES if letter in words]
    if at_corner.angle is not None and not axes:
        require_only(block, words, "NFST", at_corner.angle.text)
        require_stated(block, state)
        return begun(one, at_corner)
    arc = state.motion in (2, 3) and any(letter in words for letter in "IKR")
    if not axes and not arc:
        require_only(block, words, "NOFST", "without X, Z, U or W")
        return state
    require_stated(block, state)
    if state.motion is None:
        raise ProgramError(block.line, axes[0].text, "moves an axis before any of G0, G1, G2, G3")
    first = axes[0] if axes else next(words[letter] for letter in "IKR" if letter in words)
    feeds = state.motion != 0
    doubts = code_systems.moves(
        block, state.doubts, first, state.systems, stated="motion" in codes, feeds=feeds
    )
    if doubts is not state.doubts:
        state = state._replace(doubts=doubts)
    state = told_of_lengths(block, words, state, notes)
    if state.open_line is not None:
        one, at_corner, between = met(one.after(state), at_corner)
        state = one.state._replace(line_corner=between)
    end = end_of(block, words, at_corner, state, reading)
    corner = corner_of(block, at_corner, state, reading, end)
    state = _taken_to(block, words, state, end, reading, programmed, notes)
    return state if corner is None else state._replace(corner=corner)


def _taken_to(
    block: Block,
    words: dict[str, Word],
    state: State,
    end: Point,
    reading: Reading,
    programmed: list[Programmed],
    notes: list[str],
) -> State:
    """Take the tip to where a block ends."""
    move = move_of(block, words, state, end, reading)
    if move.speed == math.inf:
        notes.append(f"line {block.line}: constant cutting speed up to the axis without a speed limit")
    compensating = state.side != "none" or (programmed and programmed[-1].side != "none")
    if move.centre is not None or end != state.at or compensating:
        programmed.append(Programmed(move, state.side, state.tool))
    return state.moved(end, state.motion, state.block, reached=_reached(words, state))
