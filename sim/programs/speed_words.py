"""S, G96 and G97: the spindle's speed along a program, rev/min, and its limit."""

from __future__ import annotations

import math

from meshes.points import Point
from sim.programs.code_systems import Place
from sim.programs.modal import State
from sim.programs.read_block import ReadBlock
from sim.programs.words import Block, ProgramError, Word


def spindle(block: Block, codes: dict[str, Word], words: dict[str, Word], state: State) -> State:
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


def limited(block: Block, words: dict[str, Word], state: State) -> State:
    """Take over a limit of the speed by a word of its own, LIMS=."""
    return state._replace(limit=speed_limit(block, words["LIMS"])) if "LIMS" in words else state


def speed_limit(block: Block, word: Word) -> float:
    """Return a limit of the speed, rev/min."""
    if word.value <= 0.0:
        raise ProgramError(block.line, word.text, "must be greater than 0 as a speed limit")
    return word.value


def told_of_speed(one: ReadBlock) -> State:
    """Note an S word that could be another speed."""
    codes, words, state = one.codes, one.words, one.state
    if "S" in words and "speed" not in codes and not state.speed_told:
        one.note(f"{words['S'].text}, before any G96 or G97, is read as rev/min")
    if "S" in words and _over_the_limit(state):
        one.note(
            f"{words['S'].text} with G97 is over the speed limit of {state.limit:g} rev/min, which many controls keep "
            "with G96 only: judged as it is"
        )
    told = state.speed_told or "speed" in codes or "S" in words
    return state if told == state.speed_told else state._replace(speed_told=told)


def _over_the_limit(state: State) -> bool:
    return (
        not state.constant_cut
        and state.limit is not None
        and state.speed is not None
        and state.speed > state.limit
    )


def spindle_speed(state: State, end: Point) -> float | None:
    """Highest speed of a move, rev/min: at its least radius if the cutting speed is constant (G96).

    The limit counts with G96 only: many controls do not keep a speed of G97 to it.
    """
    return speed_between(state, state.at[0], end[0])


def speed_between(state: State, first: float, last: float) -> float | None:
    """Highest speed with the tip between two x (mm), rev/min."""
    metres = surface_speed(state)
    if metres is None:
        return state.speed
    radius = 0.0 if first * last <= 0.0 else min(abs(first), abs(last))
    speed = math.inf if radius < 1e-6 else 1000.0 * metres / (2.0 * math.pi * radius)
    return speed if state.limit is None else min(speed, state.limit)


def surface_speed(state: State) -> float | None:
    """Constant cutting speed, m/min; ft/min with inches. None with G97."""
    if not state.constant_cut or state.speed is None:
        return None
    return state.speed * (0.3048 if state.inch else 1.0)
