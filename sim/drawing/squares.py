"""A code of black and white squares (QR code, ISO/IEC 18004) as primitives: sharp in every file, on every printer."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby

import segno

from meshes.points import Point
from sim.drawing.pens import EDGE
from sim.drawing.primitives import Corners, Group

QUIET = 4  # squares of white around it (ISO/IEC 18004)
LEVEL = "M"  # of error correction: an eighth of it may be dirty


def squares_across(words: str) -> int:
    """Return how many squares a side has, the white around it too."""
    return len(_rows(words)) + 2 * QUIET


def code(words: str, at: Point, side: float) -> Group:
    """Return a code, mm.

    Parameters
    ----------
    words : str
        What it holds.
    at : Point
        Lower left corner, of the white around it too.
    side : float
        Length of a side of one square.
    """
    rows = _rows(words)
    high = len(rows) + QUIET
    items = []
    for number, row in enumerate(rows):
        top = at[1] + side * (high - number)
        start = 0
        for dark, run in groupby(row):
            count = len(list(run))
            if dark:
                left, right = at[0] + side * (QUIET + start), at[0] + side * (QUIET + start + count)
                corners = ((left, top - side), (right, top - side), (right, top), (left, top))
                items.append(Corners(corners, EDGE, filled=True))
            start += count
    return Group("code", words.partition(":")[0], tuple(items))


@lru_cache(maxsize=8)
def _rows(words: str) -> tuple[tuple[bool, ...], ...]:
    made = segno.make_qr(words, error=LEVEL, boost_error=False)
    return tuple(tuple(bool(square) for square in row) for row in made.matrix)
