"""Blocks that say no more than where a straight move ends: X and Z, at most with G0 or G1 and the block's number.

Most lines of a long program are such blocks. What else a block can say they do not, so they need not be asked for it:
once nothing is open that the next block must answer, their number, their motion and their end are all there is.
"""

from __future__ import annotations

from typing import NamedTuple

from sim.programs.modal import State
from sim.programs.words import Block, Word

_LETTERS = frozenset("NGXZ")
_STRAIGHT = {0.0: 0, 1.0: 1}


class PlainMotion(NamedTuple):
    """What such a block says: the motion in force in it, its number, and its words by letter but G."""

    motion: int
    number: int | None
    words: dict[str, Word]


def plain_motion(block: Block, state: State) -> PlainMotion | None:
    """Return what a block says if it says no more than where a straight move ends; else None."""
    if len(block.words) > len(_LETTERS):
        return None
    words = {word.letter: word for word in block.words}
    if len(words) < len(block.words) or not words.keys() <= _LETTERS:
        return None
    motion = state.motion
    if "G" in words:
        motion = _STRAIGHT.get(words.pop("G").value)
    if (motion != 0 and motion != 1) or not ("X" in words or "Z" in words):
        return None
    return PlainMotion(motion, int(words["N"].value) if "N" in words else None, words)


def nothing_open(state: State) -> bool:
    """Tell whether nothing of earlier blocks is left that a block of plain motion would have to answer or end."""
    doubts = state.doubts
    return (
        state.cycle is None
        and state.corner is None
        and state.open_line is None
        and state.line_corner is None
        and state.motion_left is None
        and state.side_left is None
        and state.unit_told
        and doubts.motion is None
        and doubts.limit is None
        and doubts.feed is None
        and doubts.dropped is None
    )
