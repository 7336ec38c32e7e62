"""Pecking along z and across it, and holes on the axis, from the words of their blocks.

Pecking in two blocks: the first has R, by which the tool backs off, the second X Z and, as P and Q without a decimal
point in increments, the step along x (P, as a radius) and along z (Q). In one block the steps are I and K. Holes have
the bottom as Z, the depth of a peck as Q, where feeding begins as R. Common practice, no source.
"""

from __future__ import annotations

from typing import Literal

from sim.programs.axis_words import length, target
from sim.programs.code_systems import Place
from sim.programs.compensation import Programmed
from sim.programs.cycles.holes import Hole, hole
from sim.programs.cycles.pecks import pecked
from sim.programs.in_force import Cycle, CycleKind
from sim.programs.modal import State
from sim.programs.one_block_cycle import (
    CycleBlock,
    counted,
    finished,
    lead_of,
    require_steady,
    system_of,
    with_lead,
)
from sim.programs.words import ProgramError, Word

ON_THE_AXIS = 1e-3  # mm


def pecks(
    asked: CycleBlock, kind: CycleKind, place: Place, *, fresh: bool, programmed: list[Programmed]
) -> State:
    """Follow a block of pecking: by how much the tool backs off, or the cycle itself."""
    del fresh
    state, words, along_z = asked.state, asked.words, kind == "peck along z"
    if not any(letter in words for letter in "XZUW"):
        first = state.first_blocks
        back_off = _back_off(asked)
        first = first._replace(along_z=back_off) if along_z else first._replace(along_x=back_off)
        return state._replace(first_blocks=first, cycle=Cycle(kind, place))
    if "R" in words and words["R"].value != 0.0:
        raise asked.refused(
            "R",
            "moves the tool aside at the bottom, at the first place into metal or not at all, which differs from "
            "control to control: leave it out",
        )
    if "D" in words and words["D"].value != 0.0:
        raise asked.refused("D", "moves the tool aside at the bottom, which is not followed: leave it out")
    end = target(asked.block, words, state, asked.reading)
    deep = 1 if along_z else 0
    if end[deep] == state.at[deep]:
        raise ProgramError(
            asked.block.line, asked.name, f"must end at another {'XZ'[deep]} than where it starts"
        )
    steps = _step(asked, "P", "I"), _step(asked, "Q", "K")
    if steps[deep] is None:
        raise ProgramError(
            asked.block.line,
            asked.name,
            f"must state the depth of a peck by {'PQ'[deep]} (or {'IK'[deep]} in one block)",
        )
    if end[1 - deep] != state.at[1 - deep] and steps[1 - deep] is None:
        raise ProgramError(
            asked.block.line, asked.name,
            f"must state the way from place to place by {'PQ'[1 - deep]} (or {'IK'[1 - deep]} in one block)",
        )  # fmt: skip
    stated = state.first_blocks.along_z if along_z else state.first_blocks.along_x
    moves = pecked(
        state.at, end,
        deep=deep, peck=steps[deep], aside=steps[1 - deep], back_off=_or_by_default(asked, stated), feed=None,
        name=asked.name,
    )  # fmt: skip
    return finished(asked, moves, programmed)._replace(cycle=Cycle(kind, place))


def _back_off(asked: CycleBlock) -> float:
    for letter in "IKDPQ":
        if letter in asked.words:
            raise asked.refused(letter, f"stands in a block of {asked.name} without X, Z, U or W")
    if "R" not in asked.words:
        raise ProgramError(
            asked.block.line, asked.name, "must name X or Z, or by R how far the tool backs off"
        )
    return abs(length(asked.block, asked.words["R"], asked.state, asked.reading))


def _step(asked: CycleBlock, letter: str, other: str) -> float | None:
    """Return a step by P or Q, or by I or K; None where the block has none of them."""
    if letter in asked.words and other in asked.words:
        raise asked.refused(other, f"and {asked.words[letter].text} exclude each other")
    if letter in asked.words:
        return counted(asked, asked.words[letter])
    if other not in asked.words:
        return None
    step = abs(length(asked.block, asked.words[other], asked.state, asked.reading))
    if not step > 0.0:
        raise asked.refused(other, "must not be 0")
    return step


def _or_by_default(asked: CycleBlock, stated: float | None) -> float:
    if stated is not None:
        return stated
    own = asked.reading.amounts.back_off
    asked.notes.append(
        f"line {asked.block.line}: {asked.name} backs off by {own:g} mm after a peck (cycle_amounts.peck_back_off, or "
        "by default)"
    )
    return own


def holes(asked: CycleBlock, kind: Hole, place: Place, *, fresh: bool, programmed: list[Programmed]) -> State:
    """Follow a hole on the axis."""
    words, before = asked.words, asked.state.cycle
    if fresh or before is None or before.kind != kind:
        before = None
    feed = None
    if kind == "tapping":
        require_steady(asked)
        feed = _pitch(asked, None if before is None else before.lead)
        asked = asked._replace(state=with_lead(asked.state, feed))
    state = asked.state
    end = target(asked.block, words, state, asked.reading)
    if before is not None and before.end is not None and not ("Z" in words or "W" in words):
        end = (end[0], before.end[1])
    if max(abs(end[0]), abs(state.at[0])) > ON_THE_AXIS:
        raise asked.refused(
            "X",
            f"calls {asked.name} at a radius of {max(abs(end[0]), abs(state.at[0])):g} mm; holes are followed on the "
            "axis only: bring the tool to X0 before the cycle",
        )
    if "Z" not in words and "W" not in words and before is None:
        raise ProgramError(asked.block.line, asked.name, "must state the bottom of the hole by Z")
    plane, returns = _plane(asked, before)
    peck = counted(asked, words["Q"]) if "Q" in words else None if before is None else before.peck
    if kind == "pecking" and peck is None:
        asked.notes.append(f"line {asked.block.line}: {asked.name} without Q goes to the bottom in one peck")
    amounts = asked.reading.amounts
    if kind == "pecking" and peck is not None:
        how = (
            "back to where feeding begins"
            if amounts.peck_return == "out"
            else f"off by {amounts.back_off:g} mm"
        )
        asked.notes.append(
            f"line {asked.block.line}: {asked.name} goes {how} after each peck (cycle_amounts.peck_return, or by "
            "default)"
        )
    moves = hole(
        (state.at[0], state.at[1]), end[1],
        kind=kind, plane=plane, ends_at=plane if returns == "plane" else state.at[1], peck=peck,
        peck_return=amounts.peck_return, back_off=amounts.back_off, feed=feed, name=asked.name,
    )  # fmt: skip
    now = Cycle(kind, place, end, lead=feed or 0.0, plane=plane, peck=peck, returns=returns)
    return finished(asked, moves, programmed)._replace(cycle=now)


def _pitch(asked: CycleBlock, before: float | None) -> float:
    """Return the pitch of a tap, mm."""
    if "F" not in asked.words:
        if before is None:
            raise ProgramError(asked.block.line, asked.name, "must state the pitch of the tap by F")
        return before
    return lead_of(asked, asked.words["F"])


def _plane(asked: CycleBlock, before: Cycle | None) -> tuple[float, Literal["start", "plane"]]:
    """Return z where feeding begins, and where the cycle leaves the tool."""
    state, word = asked.state, asked.words.get("R")
    if word is None:
        if before is None or before.plane is None:
            return state.at[1], "start"
        return before.plane, before.returns
    if asked.reading.amounts.plane is None:
        raise asked.refused(
            "R",
            "is a coordinate on some controls and the way from where the tool stands on others: "
            "cycle_amounts.drill_plane must state 'absolute' or 'from the start', or leave R out",
        )
    value = length(asked.block, word, state, asked.reading)
    absolute = asked.reading.amounts.plane == "absolute"
    if absolute and not state.absolute:
        raise asked.refused("R", "is stated to be a coordinate, but G91 is on: write G90 before it")
    plane = value + asked.reading.z_offset if absolute else state.at[1] + value
    return plane, _returns(asked, word, plane)


def _returns(asked: CycleBlock, word: Word, plane: float) -> Literal["start", "plane"]:
    system = system_of(asked.reading)
    if system == "G90 cycles" or plane == asked.state.at[1]:
        return "start"
    raise ProgramError(
        asked.block.line, word.text,
        "leaves open how far the tool goes back: in one code system always to where it stood, in others as G98 or G99 "
        "says; leave R out, or state code_system = 'G90 cycles' if that is the control's",
    )  # fmt: skip
