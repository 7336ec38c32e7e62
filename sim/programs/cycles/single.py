"""Single cycles: one cut and the way back to where the tool stood (common practice, no source).

Turning: along x at rapid to where the cut begins, along the cut, along x at feed to the starting radius, back along z
at rapid. Facing: the same with x and z exchanged. In all of them the taper is where the cut begins less where it ends.
"""

from __future__ import annotations

from meshes.points import Point
from sim.programs.cycles.legs import cut, moves_of, rapid
from sim.programs.path import Move


def turning(start: Point, end: Point, taper: float, feed: float | None, name: str) -> tuple[Move, ...]:
    """Return the four moves of single turning.

    Parameters
    ----------
    start, end : (x, z)
        Where the tool stands, and where the cut ends, mm.
    taper : float
        Radius at which the cut begins less that at which it ends, mm.
    feed : float or None
        mm/rev.
    name : str
        What the moves are called.
    """
    legs = [
        rapid((end[0] + taper, start[1]), name),
        cut(end, name, feed),
        cut((start[0], end[1]), name, feed),
        rapid(start, name),
    ]
    return moves_of(start, legs)


def facing(start: Point, end: Point, taper: float, feed: float | None, name: str) -> tuple[Move, ...]:
    """Return the four moves of single facing; `taper` is the z at which the cut begins less that at which it ends."""
    legs = [
        rapid((start[0], end[1] + taper), name),
        cut(end, name, feed),
        cut((end[0], start[1]), name, feed),
        rapid(start, name),
    ]
    return moves_of(start, legs)
