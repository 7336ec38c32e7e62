"""Threads from the words of their blocks: one pass at a time, or a thread cycle in one block or two.

In one block a thread cycle has the height as K, the first depth as D, the lead as F, the angle between the flanks as A;
in two the first block has P (two digits each of finishing passes, pull-out in tenths of the lead, angle), Q (least
pass) and R (finishing allowance), the second the height as P, the first depth as Q, the taper as R. All depths
count as radii. Common practice, no source.
"""

from __future__ import annotations

import math

from sim.programs.axis_words import length, target
from sim.programs.code_systems import Place
from sim.programs.compensation import Programmed
from sim.programs.cycles.threads import infeeds, pace, phase, threading
from sim.programs.in_force import Cycle, CycleKind, ThreadParameters
from sim.programs.modal import State
from sim.programs.one_block_cycle import CycleBlock, counted, finished, lead_of, require_steady, with_lead
from sim.programs.path import Move
from sim.programs.words import ProgramError

LARGEST_ANGLE = 120.0  # deg, between the flanks
_WHOLE_TURN = 360_000.0  # thousandths of a degree
_LEAST_ANGLE = 1000.0  # Q below it can count degrees


def stated_lead(asked: CycleBlock, before: float | None) -> float:
    """Return the lead of a thread's block, or that of the ones before it.

    Raises
    ------
    ProgramError
        If it states none.
    """
    if "F" in asked.words:
        return lead_of(asked, asked.words["F"])
    if before is None:
        raise ProgramError(asked.block.line, asked.name, "must state the lead of its thread by F")
    return before


def start_angle(asked: CycleBlock, before: float) -> float:
    """Return by how much the spindle is turned as a thread begins, in turns.

    Raises
    ------
    ProgramError
        If Q can count degrees or thousandths of them.
    """
    word = asked.words.get("Q")
    if word is None:
        return before
    value = abs(word.value) * (1000.0 if word.decimal else 1.0)
    if value > _WHOLE_TURN or (0.0 < value < _LEAST_ANGLE and not word.decimal):
        raise asked.refused(
            "Q",
            "must be the angle at which the thread begins: degrees with a decimal point, or thousandths of a degree "
            "from 1000 to 360000 without one",
        )
    return value / _WHOLE_TURN


def note_of_pull_out(asked: CycleBlock) -> None:
    """Note how threads are left at their end."""
    leads = asked.reading.amounts.pull_out
    how = "cut in full to the end" if leads == 0.0 else f"left at 45 deg {leads:g} leads before the end"
    note = f"threads of {asked.name} are {how}, as cycle_amounts.thread_pull_out has it or by default"
    if note not in asked.notes:
        asked.notes.append(note)


def thread_move(
    asked: CycleBlock, kind: CycleKind, place: Place, *, fresh: bool, programmed: list[Programmed]
) -> State:
    """Follow one pass along a line at a lead: F, or K along z and I along x."""
    state, words = asked.state, asked.words
    require_steady(asked)
    end = target(asked.block, words, state, asked.reading)
    before = state.cycle if state.cycle is not None and state.cycle.kind == kind else None
    lead = _lead_of_a_move(asked, end, state.lead if before is None else before.lead)
    turned = start_angle(asked, 0.0 if before is None or fresh else before.turned)
    thread = phase(state.at, end, lead, turned)
    last = programmed[-1].move if programmed else None
    if last is not None and last.thread is not None and last.kind == "feed" and "Q" not in words:
        thread = last.thread  # the spindle is not waited for between blocks of one thread
    move = Move(
        "feed", state.at, end, stage=f"thread ({asked.name})", feed=pace(state.at, end, lead), thread=thread
    )
    asked = asked._replace(state=with_lead(state, lead))
    after = finished(asked, () if end == state.at else (move,), programmed)
    return after._replace(cycle=Cycle(kind, place, lead=lead, turned=turned))


def _lead_of_a_move(asked: CycleBlock, end: tuple[float, float], before: float | None) -> float:
    given = [letter for letter in "FKI" if letter in asked.words]
    if len(given) > 1:
        raise asked.refused(given[1], f"and {asked.words[given[0]].text} exclude each other")
    if not given or given[0] == "F":
        return stated_lead(asked, before)
    dx, dz = abs(end[0] - asked.state.at[0]), abs(end[1] - asked.state.at[1])
    if (given[0] == "K") != (dz >= dx):
        raise asked.refused(given[0], "must be the lead along the longer way: K along Z, I along X")
    return lead_of(asked, asked.words[given[0]])


def thread_cycle(
    asked: CycleBlock, kind: CycleKind, place: Place, *, fresh: bool, programmed: list[Programmed]
) -> State:
    """Follow a block of a thread cycle: its parameters, or the thread itself."""
    del fresh
    state, words = asked.state, asked.words
    if not any(letter in words for letter in "XZUW"):
        blocks = state.first_blocks._replace(thread=_parameters(asked))
        return state._replace(first_blocks=blocks, cycle=Cycle(kind, place))
    require_steady(asked)
    end = target(asked.block, words, state, asked.reading)
    if end[0] == state.at[0] or end[1] == state.at[1]:
        raise ProgramError(
            asked.block.line, asked.name, "must end at another X and another Z than where it starts"
        )
    if "F" not in words:
        raise ProgramError(asked.block.line, asked.name, "must state the lead of its thread by F")
    lead = lead_of(asked, words["F"])
    one_block = "K" in words or "D" in words
    height, first, taper, angle = _in_one_block(asked) if one_block else _in_two_blocks(asked)
    if not 0.0 < height <= lead:
        raise asked.refused(
            "K" if one_block else "P",
            f"makes the thread {height:g} mm high at a lead of {lead:g} mm; more than 0 and at most the lead are "
            "followed (a slip of the decimal point?)",
        )
    told = _amounts(asked, one_block=one_block, first=first)
    moves = threading(
        state.at, end, taper, lead,
        height=height,
        depths=infeeds(height, first, told.least_pass or 0.0, told.allowance or 0.0, told.finish),
        angle=angle if one_block else told.angle,
        pull_out=told.pull_out * lead,
        name=asked.name,
    )  # fmt: skip
    asked = asked._replace(state=with_lead(state, lead))
    return finished(asked, moves, programmed)._replace(cycle=Cycle(kind, place))


def _parameters(asked: CycleBlock) -> ThreadParameters:
    """Return what the first of two blocks says."""
    for letter in "IKDAF":
        if letter in asked.words:
            raise asked.refused(letter, f"has no meaning in the first block of {asked.name}")
    word = asked.words.get("P")
    digits = "" if word is None else word.text[1:]
    if not digits.isdigit() or not 5 <= len(digits) <= 6:
        raise asked.refused(
            "P",
            "must have six digits in the first block of a thread cycle, two each of finishing passes, pull-out in "
            "tenths of the lead and angle between the flanks, as in P011060",
        )
    number = int(digits)
    finish, pull_out, angle = number // 10_000, number // 100 % 100, number % 100
    if finish < 1:
        raise asked.refused("P", "must have 1 to 99 finishing passes as its first two digits")
    least = counted(asked, asked.words["Q"], least=0.0) if "Q" in asked.words else None
    allowance = (
        abs(length(asked.block, asked.words["R"], asked.state, asked.reading)) if "R" in asked.words else None
    )
    return ThreadParameters(asked.block.line, finish, 0.1 * pull_out, math.radians(angle), least, allowance)


def _in_one_block(asked: CycleBlock) -> tuple[float, float, float, float]:
    """Return height, first depth, taper (mm) and angle (rad) of a thread in one block."""
    words = asked.words
    for letter, what in (("K", "the height of the thread"), ("D", "the depth of the first pass")):
        if letter not in words:
            raise ProgramError(asked.block.line, asked.name, f"must state {what} by {letter}")
    for letter in "QR":
        if letter in words:
            raise asked.refused(
                letter, f"does not go with K and D in {asked.name}: that is the form of two blocks"
            )
    if "P" in words and words["P"].value != 1.0:
        raise asked.refused(
            "P", "asks for an infeed that is not followed; P1, the same section in each pass, is"
        )
    angle = words["A"].value if "A" in words else 0.0
    if not 0.0 <= angle <= LARGEST_ANGLE:
        raise asked.refused("A", f"must be the angle between the flanks, 0 to {LARGEST_ANGLE:g} deg")
    return _height(asked, "K"), _height(asked, "D"), _taper(asked, "I"), math.radians(angle)


def _in_two_blocks(asked: CycleBlock) -> tuple[float, float, float, float]:
    """Return height, first depth, taper (mm) and a place for the angle of the second of two blocks."""
    for letter, what in (("P", "the height of the thread"), ("Q", "the depth of the first pass")):
        if letter not in asked.words:
            raise ProgramError(asked.block.line, asked.name, f"must state {what} by {letter}")
    for letter in "IA":
        if letter in asked.words:
            raise asked.refused(
                letter, f"does not go with P and Q in {asked.name}: that is the form of one block"
            )
    return counted(asked, asked.words["P"]), counted(asked, asked.words["Q"]), _taper(asked, "R"), 0.0


def _height(asked: CycleBlock, letter: str) -> float:
    return abs(length(asked.block, asked.words[letter], asked.state, asked.reading))


def _taper(asked: CycleBlock, letter: str) -> float:
    word = asked.words.get(letter)
    return 0.0 if word is None else length(asked.block, word, asked.state, asked.reading)


def _amounts(asked: CycleBlock, *, one_block: bool, first: float) -> ThreadParameters:
    """Return finishing passes, pull-out, least pass and allowance, and note those that nothing in the program says."""
    stated, own = asked.state.first_blocks.thread, asked.reading.amounts
    if stated is None or one_block:
        stated = ThreadParameters(asked.block.line, 1, own.pull_out, 0.0, None, None)
        asked.notes.append(
            f"line {asked.block.line}: {asked.name} has one finishing pass at full depth and pulls out "
            f"{own.pull_out:g} leads before the end (cycle_amounts.thread_pull_out, or by default)"
        )
    least = stated.least_pass
    if least is None:
        least = min(own.least_pass, first)
        asked.notes.append(
            f"line {asked.block.line}: the least pass of {asked.name} is taken as {least:g} mm "
            "(cycle_amounts.thread_least_pass, or by default)"
        )
    allowance = stated.allowance
    if allowance is None:
        allowance = own.finish_allowance
        asked.notes.append(
            f"line {asked.block.line}: the finishing allowance of {asked.name} is taken as {allowance:g} mm "
            "(cycle_amounts.thread_finish_allowance, or by default)"
        )
    return stated._replace(least_pass=least, allowance=allowance)
