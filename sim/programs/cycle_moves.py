"""Moves of the cycles that follow a contour, with speed, feed and line; what holds behind them.

F, S, G96 and G97 in a contour hold for finishing only, and so does nose radius compensation: roughing with it is
followed as the many controls do that ignore it, which leaves more metal to finish and cuts flanks that face away from
the feed deeper. After a cycle the tool stands at its start again; what of its contour stays in force then differs
between controls, so the next motion and compensation must be written out. (Common practice, no source.)
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

from sim.base.limits import CYCLE_MOVES
from sim.programs.code_systems import Place
from sim.programs.compensation import Programmed
from sim.programs.contour_blocks import SPEEDS, ContourCycle
from sim.programs.cycle_words import Call, pattern, roughing
from sim.programs.cycles.contour import Contour
from sim.programs.cycles.pattern import repeated
from sim.programs.cycles.roughing import roughed
from sim.programs.modal import State
from sim.programs.motion import set_going
from sim.programs.open_lines import require_met
from sim.programs.path import Move
from sim.programs.reading import Reading
from sim.programs.speed_words import spindle_speed
from sim.programs.words import Block, ProgramError, Word

MOST_MOVES = CYCLE_MOVES.most  # one that calls a long contour again and again would never end
Follow = Callable[[Block, State, list[Programmed], list[str]], State]


def expanded(
    cycle: ContourCycle, state: State, reading: Reading, follow: Follow, notes: list[str]
) -> tuple[State, list[Programmed]]:
    """Return the state after a cycle, and its moves.

    Parameters
    ----------
    cycle : ContourCycle
    state : State
        What holds once its own block has set what it sets.
    reading : Reading
    follow : callable
        Follows a block.
    notes : list of str
        Is told what was taken.

    Raises
    ------
    ProgramError
        If the cycle cannot be followed.
    """
    call = cycle.call
    if call is None:
        return state, []
    told: list[str] = []
    moves: list[Programmed] = []
    inner = state._replace(motion=None)
    for block in cycle.contour:
        inner = follow(block, inner, moves, told)
    if inner.corner is not None:
        raise inner.corner.error("needs a straight move by G1 in a next block of the contour to lie between")
    require_met(inner)
    notes += [note for note in told if note not in notes]
    if not moves:
        raise ProgramError(call.block.line, call.code.text, "has a contour that moves nothing")
    place = Place(call.block.line, call.code.text)
    state = state._replace(
        motion=None, motion_left=place, unit_told=inner.unit_told, increments_told=inner.increments_told
    )
    if call.kind == "finish":
        return _finished(cycle, call, state, inner, moves, notes)
    contour = _contour(cycle, state, moves)
    if call.kind == "pattern":
        pass_by_pass = repeated(contour, pattern(call, state, reading))
        taken = f"{pattern(call, state, reading).count} passes"
    else:
        hollows = _hollows(cycle.contour[0], call)
        numbers = roughing(call, state, reading, hollows=hollows)
        pass_by_pass = roughed(contour, numbers)
        taken = f"type {'II' if hollows else 'I'}, {_retract(call, reading, numbers.retract)}"
    first, last = cycle.contour[0].line, cycle.contour[-1].line
    notes.append(f"line {place.line}: {place.text} roughs the contour of lines {first} to {last}; {taken}")
    _told_of_finishing(cycle, state, place, notes)
    made = [
        Programmed(
            set_going(
                call.block,
                dataclasses.replace(move, block=state.block, line=place.line, ordinal=call.block.ordinal),
                state,
                reading,
            ),
            "none",
            state.tool,
        )
        for move in pass_by_pass
    ]
    left = inner.side != state.side
    return state._replace(side_left=place if left else state.side_left), made


def require_bounded(cycle: ContourCycle, programmed: list[Programmed]) -> None:
    """Refuse a program whose cycles make more moves than can be judged.

    Raises
    ------
    ProgramError
        Names the cycle.
    """
    call = cycle.call
    if call is None or len(programmed) <= MOST_MOVES:
        return
    if sum(bool(one.move.stage) for one in programmed) > MOST_MOVES:
        raise ProgramError(
            call.block.line, call.code.text,
            f"takes the cycles of the program over {MOST_MOVES} moves, more than are followed",
        )  # fmt: skip


def stated_again(codes: dict[str, Word], state: State) -> State:
    """Return the state once a block has stated anew what the contour of a cycle before it may have changed."""
    if "motion" in codes and state.motion_left is not None:
        state = state._replace(motion_left=None)
    if "compensation" in codes and state.side_left is not None:
        state = state._replace(side_left=None)
    return state


def require_stated(block: Block, state: State) -> None:
    """Refuse a block that moves an axis behind a cycle and leaves open how.

    Raises
    ------
    ProgramError
        Names the cycle, and what to write.
    """
    left = state.motion_left
    if left is not None:
        raise ProgramError(
            block.line, "",
            f"moves an axis without G0, G1, G2 or G3 after {left.text} of line {left.line}: which of them is in force "
            "then differs from control to control; write it into this block",
        )  # fmt: skip
    if state.side_left is not None:
        raise ProgramError(
            block.line, "",
            f"moves an axis after {state.side_left.text} of line {state.side_left.line}, whose contour leaves G41 "
            "or G42 otherwise than it was: which is in force differs from control to control; write G40, G41 or "
            "G42 before it",
        )  # fmt: skip


def _finished(
    cycle: ContourCycle, call: Call, state: State, inner: State, moves: list[Programmed], notes: list[str]
) -> tuple[State, list[Programmed]]:
    """Return the contour run once, as it is written, and the way back to the start at rapid."""
    made = [
        dataclasses.replace(
            one,
            move=dataclasses.replace(
                one.move,
                stage=f"finish ({call.code.text}), line {one.move.line}",
                line=call.block.line,
                block=state.block,
                ordinal=call.block.ordinal,
            ),
        )
        for one in moves
    ]
    if inner.at != state.at:
        way = Move(
            "rapid", inner.at, state.at, block=state.block, line=call.block.line, stage=f"return ({call.code.text})",
            speed=spindle_speed(inner, state.at), ordinal=call.block.ordinal,
        )  # fmt: skip
        made.append(Programmed(way, "none", inner.tool))
    notes.append(
        f"line {call.block.line}: {call.code.text} finishes the contour of lines {cycle.contour[0].line} to "
        f"{cycle.contour[-1].line} and goes back to its start at rapid"
    )
    on = inner.side != "none"
    return inner._replace(
        at=state.at,
        block=state.block,
        motion=None,
        motion_left=state.motion_left,
        side="none",
        side_left=Place(call.block.line, call.code.text) if on else None,
        feed=state.feed if inner.feed == state.feed else None,
    ), made


def _contour(cycle: ContourCycle, state: State, moves: list[Programmed]) -> Contour:
    """Return the moves of a contour; its first block may stay where the tool stands."""
    shape = [one.move for one in moves]
    if shape[0].line == cycle.contour[0].line:
        approach, *shape = shape
    else:
        approach = Move("feed", state.at, state.at, line=cycle.contour[0].line)
    if not shape:
        raise ProgramError(approach.line or 0, "", "is all of the contour; it must go on from there")
    return Contour(approach, tuple(shape))


def _hollows(first: Block, call: Call) -> bool:
    """Tell whether the first block of a contour names both axes, which makes the cycle one of type II."""
    letters = {word.letter for word in first.words}
    x, z = bool(letters & {"X", "U"}), bool(letters & {"Z", "W"})
    step, other = ("X", "Z") if call.kind == "turning" else ("Z", "X")
    if not (x and z) and not (x if call.kind == "turning" else z):
        raise ProgramError(
            first.line, "",
            f"begins the contour of {call.code.text} and must move {step}, or {step} and {other} for a contour with "
            "hollows (type II)",
        )  # fmt: skip
    return x and z


def _retract(call: Call, reading: Reading, retract: float) -> str:
    if call.opening is not None and "R" in call.opening:
        return f"retract amount {retract:g} mm"
    if reading.amounts.roughing_retract is not None:
        return f"retract amount {retract:g} mm as the scenario states it"
    return f"retract amount taken as {retract:g} mm (a setting of the control: state cycle_amounts.roughing_retract)"


def _told_of_finishing(cycle: ContourCycle, state: State, place: Place, notes: list[str]) -> None:
    """Note what of a contour roughing leaves to finishing."""
    words = [word for block in cycle.contour for word in block.words]
    if any(word.letter in "FS" or (word.letter == "G" and word.value in SPEEDS) for word in words):
        notes.append(
            f"line {place.line}: F and S in the contour hold for finishing only, not for {place.text}"
        )
    if state.side != "none" or any(word.letter == "G" and word.value in (41.0, 42.0) for word in words):
        notes.append(
            f"line {place.line}: {place.text} is followed without nose radius compensation, as many controls do"
        )
