"""Moves of the tool tip that a block asks for: G0 to G3. Lengths in mm, feeds in mm/rev."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from typing import NamedTuple

from meshes.points import Point
from sim.programs.arc_words import centre
from sim.programs.axis_words import length
from sim.programs.feed_words import require_feed
from sim.programs.modal import State
from sim.programs.path import Move, MoveKind, arc_points
from sim.programs.plain_lines import PlainLine
from sim.programs.reading import Reading
from sim.programs.speed_words import speed_between, surface_speed
from sim.programs.words import Block, ProgramError, Word, require_only


def move_of(block: Block, words: dict[str, Word], state: State, end: Point, reading: Reading) -> Move:
    """Return the move of a block in force of G0 to G3 to the point where it ends."""
    kind: MoveKind = "rapid" if state.motion == 0 else "feed"
    middle = None
    if state.motion in (2, 3):
        require_only(block, words, "NXZUWIKRFST", f"G{state.motion}")
        lengths = {
            letter: length(block, words[letter], state, reading) for letter in "RIK" if letter in words
        }
        middle = centre(block, words, lengths, state.motion, state.at, end)
    else:
        if state.motion == 1 and "R" in words:
            raise ProgramError(
                block.line, words["R"].text,
                "is a rounding towards the next block on some controls and nothing on others: corner_words must state "
                "'without comma' if it is, or write it as ,R",
            )  # fmt: skip
        require_only(block, words, "NXZUWFST", f"G{state.motion}")
    pace = pace_of(block, kind, state, reading, _reach(state.at, end, middle, state))
    return Move(
        kind, state.at, end, middle, state.motion == 2, state.block, block.line, pace.speed, "", pace.feed,
        pace.surface_speed, ordinal=block.ordinal,
    )  # fmt: skip


def _reach(start: Point, end: Point, middle: Point | None, state: State) -> list[float]:
    """Return the radii (mm) between which a move runs, first and last those of its ends."""
    if middle is None or not state.constant_cut:
        return [start[0], end[0]]  # the speed is the same wherever the tip runs
    # An arc reaches further in and out than its ends.
    return [x for x, _ in arc_points(Move("feed", start, end, middle, state.motion == 2)).tolist()]


def set_going(block: Block, move: Move, state: State, reading: Reading) -> Move:
    """Return a move with the speed and the feed that are in force.

    Raises
    ------
    ProgramError
        If it feeds and they leave open how, or as no tool cuts.
    """
    # An arc reaches further in and out than its ends.
    reach = (
        [x for x, _ in arc_points(move).tolist()] if move.centre is not None else [move.start[0], move.end[0]]
    )
    pace = pace_of(block, move.kind, state, reading, reach)
    feed = move.feed if move.kind == "rapid" else pace.feed
    return dataclasses.replace(move, feed=feed, speed=pace.speed, surface_speed=pace.surface_speed)


class Pace(NamedTuple):
    """Feed (mm/rev), speed (rev/min) and constant cutting speed (m/min) of a move, each as in `Move`."""

    feed: float | None
    speed: float | None
    surface_speed: float | None


def pace_of(
    block: Block | PlainLine, kind: MoveKind, state: State, reading: Reading, reach: Sequence[float]
) -> Pace:
    """Return how fast a move goes that starts, runs and ends at radii (mm), in their order; see `set_going`."""
    if not state.constant_cut:
        # The speed is the same wherever the tip runs.
        if kind == "rapid":
            return Pace(None, state.speed, None)
        require_settled(block, state, state.speed)
        feed = feed_per_turn(state, reach, reading) if state.feed_per_minute else state.feed
        require_feed(block, feed)
        return Pace(feed, state.speed, None)
    speed, metres = speed_between(state, reach[0], reach[-1]), surface_speed(state)
    if kind == "rapid":
        return Pace(None, speed, metres)
    require_settled(block, state, speed)
    feed = feed_per_turn(state, reach, reading)
    require_feed(block, feed)
    return Pace(feed, speed_between(state, min(reach), max(reach)), metres)


def require_settled(block: Block | PlainLine, state: State, speed: float | None) -> None:
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
    changed = state.feed_unsaid
    if changed is not None:
        raise ProgramError(
            block.line, "",
            f"feeds after {changed.text} of line {changed.line} without F: whether the feed before it then counts "
            "mm or inches differs from control to control; write F beside it",
        )  # fmt: skip
    if speed is None and state.feed_per_minute and state.feed is not None:
        raise ProgramError(
            block.line,
            "",
            "feeds per minute without a spindle speed: how far that is in a turn is open; state S",
        )


def feed_per_turn(state: State, reach: Sequence[float], reading: Reading) -> float | None:
    """Largest feed of a move over radii (mm), mm/rev: at its lowest speed where F is a feed per minute."""
    if state.feed is None or not state.feed_per_minute:
        return state.feed
    metres, radius = surface_speed(state), max(map(abs, reach))
    turns = state.speed if metres is None else 1000.0 * metres / (2.0 * math.pi * max(radius, 1e-6))
    if turns is None:
        return None
    slowest = min([turns, *(one for one in (state.limit, reading.speed_limit) if one is not None)])
    return state.feed / slowest if slowest > 0.0 else None
