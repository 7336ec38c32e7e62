"""Single-point threads: how deep each pass goes, and the moves of a pass (common practice, no source).

The nth pass reaches sqrt(n) times the depth of the first. A groove with straight flanks has a section of depth squared
times a constant, so each such pass takes the same section. Where a pass would go less deep than a stated least, it
goes that much deeper than the one before.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from meshes.points import Point
from sim.programs.cycles.legs import Leg, cut, moves_of, rapid
from sim.programs.path import Move

MOST_PASSES = 500  # of one thread: more come from a slip of the decimal point
_REACHED = 1e-9  # mm


def infeeds(height: float, first: float, least: float, allowance: float, finish: int) -> tuple[float, ...]:
    """Return how deep below the crest each pass goes, mm.

    Parameters
    ----------
    height : float
        Of the thread, from crest to root, mm.
    first : float
        Depth of the first pass, mm.
    least : float
        By which each roughing pass but the last goes deeper at least, mm.
    allowance : float
        Left for finishing, mm; the first finishing pass takes it.
    finish : int
        Finishing passes, all at full height; at least one where there is an allowance.

    Raises
    ------
    ValueError
        If the numbers make no thread of at most `MOST_PASSES` passes.
    """
    if not 0.0 < first <= height:
        raise ValueError(
            f"must have a first pass of more than 0 mm and at most the height of the thread, {height:.4g} mm, found "
            f"{first:.4g} mm"
        )
    if not 0.0 <= least <= first:
        raise ValueError(
            f"must have a least pass of 0 mm to that of the first, {first:.4g} mm, found {least:.4g} mm"
        )
    if not 0.0 <= allowance < height:
        raise ValueError(
            f"must leave less for finishing than the height of the thread, {height:.4g} mm, found {allowance:.4g} mm"
        )
    rough = height - allowance
    depths: list[float] = []
    reached = 0.0
    while reached < rough - _REACHED:
        number = len(depths) + 1
        if number > MOST_PASSES:
            raise ValueError(
                f"makes more than {MOST_PASSES} passes of a thread {height:.4g} mm high with a first pass of "
                f"{first:.4g} mm"
            )
        step = max(first * (math.sqrt(number) - math.sqrt(number - 1)), least)
        reached = min(reached + step, rough)
        depths.append(reached)
    count = max(finish, 1) if allowance > 0.0 else finish
    return (*depths, *[height] * count)


def phase(start: Point, end: Point, lead: float, turned: float = 0.0) -> float:
    """Return which start of a thread a pass cuts, in turns from 0 to 1: where its helix meets the zero of its axis.

    Parameters
    ----------
    start, end : (x, z)
        Of the pass, mm.
    lead : float
        Along the longer of its two axes, mm.
    turned : float
        By which the spindle is turned as the pass begins, turns.
    """
    along = 1 if abs(end[1] - start[1]) >= abs(end[0] - start[0]) else 0
    sense = 1.0 if end[along] >= start[along] else -1.0
    return (turned - sense * start[along] / lead) % 1.0


def pace(start: Point, end: Point, lead: float) -> float:
    """Return how far the tip runs in a turn, mm, where `lead` (mm) counts along the longer of the two axes."""
    dx, dz = abs(end[0] - start[0]), abs(end[1] - start[1])
    longer = max(dx, dz)
    return lead * math.hypot(dx, dz) / longer if longer > 0.0 else lead


def one_pass(
    start: Point,
    end: Point,
    taper: float,
    lead: float,
    *,
    pull_out: float,
    begin: float,
    thread: float,
    name: str,
) -> list[Leg]:
    """Return one pass and the way back to where the tool stood.

    Parameters
    ----------
    start, end : (x, z)
        Where the tool stands, and where the pass ends, mm.
    taper : float
        Radius at z of `start` less that at the end, mm.
    lead : float
        mm.
    pull_out : float
        Before the end from which on the tip leaves the thread at 45 deg, mm; 0 cuts in full to the end.
    begin : float
        z at which the pass begins, mm.
    thread : float
        Its start, as of `phase`.
    name : str
        What the moves are called.

    Raises
    ------
    ValueError
        If the tip would be pulled out beyond where it stood, or before it has begun.
    """
    whole = end[1] - start[1]
    back = math.copysign(1.0, -whole)
    outward = 1.0 if start[0] >= end[0] else -1.0

    def on_the_cone(z: float) -> float:
        return end[0] + taper * (end[1] - z) / whole

    legs = [rapid((on_the_cone(begin), begin), name)]
    last = end
    if pull_out > 0.0:
        turn = end[1] + back * pull_out
        if (turn - begin) * back >= 0.0:
            raise ValueError(
                f"pulls out of the thread {pull_out:.4g} mm before its end, which is before it begins"
            )
        x = on_the_cone(turn)
        last = (x + outward * pull_out, end[1])
        if outward * (last[0] - start[0]) > _REACHED:
            raise ValueError(
                f"pulls out of the thread by {pull_out:.4g} mm, farther than the tool stands off it, "
                f"{outward * (start[0] - x):.4g} mm: how a control then runs differs; start farther from the thread"
            )
        legs.append(cut((x, turn), name, pace((on_the_cone(begin), begin), (x, turn), lead), thread))
        legs.append(cut(last, name, pace((x, turn), last, lead), thread))
    else:
        legs.append(cut(end, name, pace((on_the_cone(begin), begin), end, lead), thread))
    return [*legs, rapid((start[0], last[1]), name), rapid(start, name)]


def threading(
    start: Point,
    end: Point,
    taper: float,
    lead: float,
    *,
    height: float,
    depths: Sequence[float],
    angle: float = 0.0,
    pull_out: float = 0.0,
    turned: float = 0.0,
    name: str,
) -> tuple[Move, ...]:
    """Return the passes of a thread.

    Parameters
    ----------
    start : (x, z)
        Where the tool stands before and after each pass, mm.
    end : (x, z)
        Root of the thread at its end, mm.
    taper : float
        Radius of the root at z of `start` less that at the end, mm.
    lead : float
        mm a turn.
    height : float
        Of the thread, mm.
    depths : sequence of float
        Of the passes below the crest, mm, as of `infeeds`.
    angle : float
        Between the flanks, rad: the tool is fed in along one of them; 0 feeds it in square to the axis.
    pull_out, turned : float
        As of `one_pass` and `phase`.
    name : str
        'G76' makes 'thread pass 3 (G76)'.

    Raises
    ------
    ValueError
        If a pass is pulled out beyond the start, or the tool stands between crest and root.
    """
    outward = 1.0 if start[0] >= end[0] else -1.0
    for root in (end[0], end[0] + taper):
        if outward * (start[0] - root) < height - _REACHED:
            raise ValueError(
                f"stands {outward * (start[0] - root):.4g} mm off the root of a thread {height:.4g} mm high: the way "
                "back would lead through its crests; start beyond them"
            )
    ahead = math.copysign(1.0, end[1] - start[1])
    thread = phase(start, end, lead, turned)
    legs: list[Leg] = []
    for number, depth in enumerate(depths, start=1):
        lifted = (end[0] + outward * (height - depth), end[1])
        legs += one_pass(
            start, lifted, taper, lead,
            pull_out=pull_out, begin=start[1] + ahead * depth * math.tan(0.5 * angle), thread=thread,
            name=f"thread pass {number} ({name})" if len(depths) > 1 else f"thread pass ({name})",
        )  # fmt: skip
    return moves_of(start, legs)
