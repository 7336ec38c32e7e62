"""Moves to places of the machine: G28 and G30 to its home positions, G53 in its own coordinates. Lengths in mm.

G28 and G30 run at rapid over the point of the block to a home position, in the axes that the block names. Without an
axis they send both axes home on some controls and move nothing, or stop, on others. G53 moves in the coordinates of
the machine in its block alone; near to the standard it takes the zero point off until another is called (DIN 66025,
as a control maker's public documentation has it, infosys.beckhoff.com). The rest is common practice, no source. Where
these places are from the program's zero, for the tip, must be stated.
"""

from __future__ import annotations

from meshes.points import Point
from sim.programs import code_systems
from sim.programs.axis_words import length, target, told_of_lengths
from sim.programs.code_systems import question
from sim.programs.compensation import Programmed
from sim.programs.modal import State
from sim.programs.path import Move
from sim.programs.read_block import ReadBlock
from sim.programs.reading import Reading
from sim.programs.speed_words import spindle_speed
from sim.programs.words import Block, ProgramError, Word, require_only

_SECOND = 30.0
_AXES = "XZUW"


def homewards(one: ReadBlock) -> State:
    """Follow G28 or G30: at rapid over the point of the block to a home position, in the axes that it names."""
    block, code, words, state, reading = one.block, one.codes["home"], one.words, one.state, one.reading
    require_only(block, words, "NXZUWFSTP", code.text)
    _uncompensated(block, code, state)
    named = ("X" in words or "U" in words, "Z" in words or "W" in words)
    if not any(named):
        if reading.bare_home is None:
            raise ProgramError(
                block.line, code.text,
                "must name the axes that go home, as in G28 U0 W0, or home_without_axes must state whether 'both axes' "
                "go home without, or 'nothing' moves",
            )  # fmt: skip
        if reading.bare_home == "nothing":
            one.note(f"{code.text} names no axis and moves none, as home_without_axes states")
            return state
        named = (True, True)
    home = _home(block, code, words, reading)
    state = told_of_lengths(block, words, state, one.notes)
    over = target(block, words, state, reading)
    end = (home[0] if named[0] else over[0], home[1] if named[1] else over[1])
    return _run(one.after(state), [over, end])


def in_machine_coordinates(one: ReadBlock) -> State:
    """Follow G53: at rapid to a place in the machine's coordinates."""
    block, words, state, reading = one.block, one.words, one.state, one.reading
    code = one.codes["machine"]
    require_only(block, words, "NXZUWFST", code.text)
    if "ISO" in state.systems:
        raise ProgramError(
            block.line, code.text,
            "moves in the machine's coordinates in its block alone, or takes the zero point off from there on: "
            f"{question(state.systems)}",
        )  # fmt: skip
    axis = one.first(_AXES)
    if axis is None:
        one.note(f"{code.text} names no axis and moves none")
        return state
    _uncompensated(block, code, state)
    if "U" in words or "W" in words or not state.absolute:
        raise ProgramError(
            block.line,
            axis.text,
            f"must be absolute with {code.text}: increments differ from control to control",
        )
    if state.motion != 0:
        raise ProgramError(
            block.line, code.text,
            "runs at rapid on some controls and as G1 on others, where no G0 is in force: write G0 beside it",
        )  # fmt: skip
    if reading.machine_zero is None:
        raise ProgramError(
            block.line, code.text,
            "is followed only where machine_zero_diameter and machine_zero_height state where the tip stands at X0 Z0 "
            "of the machine's coordinates",
        )  # fmt: skip
    doubts = code_systems.moves(
        block, state.doubts, axis, state.systems, stated="motion" in one.codes, feeds=False
    )
    state = told_of_lengths(block, words, state._replace(doubts=doubts), one.notes)
    x, z = state.at
    if "X" in words:
        x = reading.machine_zero[0] + length(block, words["X"], state, reading) * (
            0.5 if reading.diameter else 1.0
        )
    if "Z" in words:
        z = reading.machine_zero[1] + length(block, words["Z"], state, reading)
    return _run(one.after(state), [(x, z)])


def _home(block: Block, code: Word, words: dict[str, Word], reading: Reading) -> Point:
    """Return the home position that a word calls."""
    if code.value != _SECOND:
        if reading.home is None:
            raise ProgramError(
                block.line, code.text,
                "is followed only where the home position is stated: home_diameter and home_height",
            )  # fmt: skip
        return reading.home
    if "P" in words and words["P"].value != 2.0:
        raise ProgramError(
            block.line, words["P"].text, f"is followed with P2 only beside {code.text}, the second home"
        )
    if reading.second_home is None:
        raise ProgramError(
            block.line, code.text,
            "is followed only where the second home position is stated: second_home_diameter and second_home_height",
        )  # fmt: skip
    return reading.second_home


def _uncompensated(block: Block, code: Word, state: State) -> None:
    if state.side != "none":
        raise ProgramError(block.line, code.text, "must not come while G41 or G42 is on")


def _run(one: ReadBlock, points: list[Point]) -> State:
    """Run at rapid through points, one after the other."""
    block, state = one.block, one.state
    at = state.at
    for point in points:
        if point != at:
            move = Move(
                "rapid",
                at,
                point,
                block=state.block,
                line=block.line,
                speed=spindle_speed(state, point),
                ordinal=block.ordinal,
            )
            one.programmed.append(Programmed(move, "none", state.tool))
            at = point
    return state._replace(at=at, reached=False)
