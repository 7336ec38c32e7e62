"""Pecking along z (faces, holes) and across it (grooves): in steps, each backed off, then beside the last one.

Common practice, no source: the tool is fed in by one peck, backs off at rapid by a small amount, and is fed in again
by that and the next peck. From the bottom it goes back at rapid to where it began, and aside to the next place; the
last place is the stated end.
"""

from __future__ import annotations

import math

from meshes.points import Point
from sim.programs.cycles.legs import Leg, cut, moves_of, rapid
from sim.programs.path import Move

MOST_PECKS = 20_000  # of one cycle: more come from a slip of the decimal point
_REACHED = 1e-9  # mm


def stops(first: float, last: float, step: float | None) -> list[float]:
    """Return the places from `first` (left out) to `last` (taken in), at most `step` (mm) apart.

    Raises
    ------
    ValueError
        If they are more than `MOST_PECKS`.
    """
    whole = abs(last - first)
    if whole <= _REACHED:
        return []
    if step is None:
        return [last]
    if not step > 0.0 or whole / step > MOST_PECKS:
        raise ValueError(
            f"goes {whole:.4g} mm in steps of {step:.4g} mm; at most {MOST_PECKS} steps are followed"
        )
    sense = math.copysign(1.0, last - first)
    count = math.ceil(whole / step - _REACHED)
    return [*(first + sense * step * number for number in range(1, count)), last]


def pecked(
    start: Point,
    end: Point,
    *,
    deep: int,
    peck: float | None,
    aside: float | None,
    back_off: float,
    feed: float | None,
    name: str,
) -> tuple[Move, ...]:
    """Return the moves of pecking along one axis at places along the other.

    Parameters
    ----------
    start, end : (x, z)
        Where the tool stands before and after, and the corner opposite to it, mm.
    deep : int
        Axis of the pecks: 0 for x, 1 for z.
    peck, aside : float or None
        Depth of a peck, and the way to the next place, mm; None goes the whole way at once.
    back_off : float
        By which the tool backs off after each peck but the last, mm; never beyond where it began.
    feed : float or None
        mm/rev.
    name : str
        'G75' makes 'peck 2 at place 1 (G75)'.
    """
    places = [start[1 - deep], *stops(start[1 - deep], end[1 - deep], aside)]
    depths = stops(start[deep], end[deep], peck)
    if len(places) * len(depths) > MOST_PECKS:
        raise ValueError(
            f"makes {len(places) * len(depths)} pecks; at most {MOST_PECKS} in one cycle are followed"
        )
    back = math.copysign(1.0, start[deep] - end[deep])

    def at(depth: float, place: float) -> Point:
        return (depth, place) if deep == 0 else (place, depth)

    legs: list[Leg] = []
    for number, place in enumerate(places, start=1):
        where = f" at place {number}" if len(places) > 1 else ""
        legs.append(rapid(at(start[deep], place), f"aside ({name})"))
        for count, depth in enumerate(depths, start=1):
            stage = f"peck {count}{where} ({name})"
            legs.append(cut(at(depth, place), stage, feed))
            if count < len(depths):
                reach = min(back_off, abs(depth - start[deep]))
                legs.append(rapid(at(depth + back * reach, place), stage))
        legs.append(rapid(at(start[deep], place), f"back{where} ({name})"))
    legs.append(rapid(start, f"back ({name})"))
    return moves_of(start, legs)
