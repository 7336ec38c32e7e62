"""A long path in stretches, judged one after the other on what is left, so that memory does not grow with it.

Of a move, a step and what it removes nothing is kept but its figures once its stretch is judged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from sim.clearance.result import Touch
from sim.clearance.sweep import ToolSweep
from sim.programs.path import Steps

STEPS = 12288  # of a stretch; the moves of a path with no more are judged at once


def stretches(sweep: ToolSweep) -> Iterator[ToolSweep]:
    """Cut a path into stretches of whole moves, of about `STEPS` each; at least one, which may be without a move."""
    path = sweep.path
    if len(path.move) <= STEPS:
        yield sweep
        return
    first = 0
    while first < len(path.move):
        # A move whose chords are more than a stretch is one.
        last = int(path.move[min(first + STEPS, len(path.move)) - 1])
        end = int(np.searchsorted(path.move, last, side="right"))
        rows = slice(first, end)
        start = int(path.move[first])
        some = Steps(
            path.starts[rows], path.ends[rows], path.move[rows] - start, path.feeds[rows], path.astray[rows]
        )
        yield replace(sweep, moves=sweep.moves[start : last + 1], path=some)
        first = end


def put_together(found: Sequence[tuple[Touch, ...]], starts: Sequence[int]) -> tuple[Touch, ...]:
    """Return touches of stretches as those of one path: the first of each kind, the deepest, and how many moves.

    Parameters
    ----------
    found : sequence of tuple of Touch
        Of each stretch, in order.
    starts : sequence of int
        Number of the first move of each.
    """
    whole: dict[tuple[str, str, str, bool], Touch] = {}
    for touches, start in zip(found, starts, strict=True):
        for touch in touches:
            key = touch.kind, touch.part, touch.body, touch.astray
            before = whole.get(key)
            if before is None:
                whole[key] = replace(touch, move=touch.move + start)
                continue
            whole[key] = replace(
                before,
                depth=max(before.depth, touch.depth),
                overlap=max(before.overlap, touch.overlap, key=lambda size: size[0] * size[1]),
                count=before.count + touch.count,
            )
    return tuple(whole.values())
