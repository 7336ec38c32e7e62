"""The centre of a circular move from the words of its block: R, or I and K."""

from __future__ import annotations

import math
from collections.abc import Mapping

from meshes.points import Point
from sim.programs.path import ARC_MISMATCH
from sim.programs.words import Block, ProgramError, Word


def centre(
    block: Block,
    words: Mapping[str, Word],
    lengths: Mapping[str, float],
    motion: int,
    start: Point,
    end: Point,
) -> Point:
    """Return the centre (x, z) of an arc, mm.

    Parameters
    ----------
    block : Block
    words : mapping of str to Word
        Of the block, by letter.
    lengths : mapping of str to float
        R, I and K of the block in mm, as far as it has them; I and K run from the start to the centre.
    motion : int
        2 for clockwise, 3 for counter-clockwise, seen with z to the right and x up.
    start, end : (x, z)
        mm.

    Raises
    ------
    ProgramError
        If the words give no centre, two of them, or one that start and end do not share.
    """
    if "R" in lengths and ("I" in lengths or "K" in lengths):
        raise ProgramError(block.line, words["R"].text, "and I or K exclude each other")
    if "R" in lengths:
        return _from_radius(block, words["R"], lengths["R"], motion, start, end)
    if "I" not in lengths and "K" not in lengths:
        raise ProgramError(block.line, f"G{motion}", "must have R, or I and K")
    middle = (start[0] + lengths.get("I", 0.0), start[1] + lengths.get("K", 0.0))
    radii = math.dist(start, middle), math.dist(end, middle)
    if min(radii) <= 1e-6 or abs(radii[0] - radii[1]) > ARC_MISMATCH:
        word = words.get("I", words.get("K"))
        raise ProgramError(
            block.line, word.text if word else "",
            f"puts the centre {radii[0]:.4f} mm from the start and {radii[1]:.4f} mm from the end; they must agree "
            f"within {ARC_MISMATCH:g} mm",
        )  # fmt: skip
    return middle


def _from_radius(block: Block, word: Word, radius: float, motion: int, start: Point, end: Point) -> Point:
    """Centre from R: up to half a turn if positive, more if negative."""
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
    side = 1.0 if (motion == 3) == (radius > 0.0) else -1.0
    ux, uz = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    return (
        0.5 * (start[0] + end[0]) + side * height * uz,
        0.5 * (start[1] + end[1]) - side * height * ux,
    )
