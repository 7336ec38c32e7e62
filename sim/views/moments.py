"""The work of an operation in moments, as the page plays it: load, close, grip, spin up, cut, release.

While the jaws move the spindle stands, and while it turns they grip.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

MOMENTS = ("load", "close", "grip", "spin up", "cut", "release")
CLEAR = 0.05  # mm of travel before the first touch, at which the jaws are closed and do not yet grip
# Shares of a film that each moment takes; a cut without a program is one turn of the spindle.
LONG = {"load": 2.5, "close": 0.7, "grip": 1.8, "spin up": 2.0, "cut": 6.0, "release": 3.0}
ONE_TURN = 3.0
HELD = 0.25  # of a moment's time, for which its end stands still


@dataclass(frozen=True, slots=True)
class Shot:
    """What a frame shows.

    Attributes
    ----------
    moment : str
    travel : float or None
        Of the jaws, mm; None where they grip.
    pressure, speed, along : float
        Shares, 0 to 1, of the stated pressure, of the highest speed and of the cutting path (or of one turn). No unit.
    cutting : bool
    """

    moment: str
    travel: float | None
    pressure: float
    speed: float
    along: float = 0.0
    cutting: bool = False


def shots(count: int, touch: float, *, program: bool) -> list[Shot]:
    """Return the frames of a film in their order.

    Parameters
    ----------
    count : int
        How many, at least one of each moment.
    touch : float
        Travel at the first touch, mm.
    program : bool
        Whether a tool runs along a path.
    """
    long = {**LONG, "cut": LONG["cut"] if program else ONE_TURN}
    whole = sum(long.values())
    ends = [round(count * sum(list(long.values())[: k + 1]) / whole) for k in range(len(MOMENTS))]
    found: list[Shot] = []
    for moment, end in zip(MOMENTS, ends, strict=True):
        frames = max(1, end - len(found))
        for number in range(frames):
            share = 1.0 if frames == 1 else min(1.0, number / (frames - 1) / (1.0 - HELD))
            found.append(shot(moment, share, touch))
    return found


def shot(moment: str, share: float, touch: float) -> Shot:
    """Return what is shown at a share of a moment, 0 to 1."""
    closed = max(0.0, touch - CLEAR)
    if moment == "load":
        return Shot(moment, 0.0, 0.0, 0.0) if share < 0.2 else Shot(moment, closed * _eased(share), 0.0, 0.0)
    if moment == "close":
        return Shot(moment, closed + share * (touch - closed), 0.0, 0.0)
    if moment == "grip":
        return Shot(moment, None, max(0.05, share), 0.0)
    if moment == "spin up":
        return Shot(moment, None, 1.0, share)
    if moment == "cut":
        return Shot(moment, None, 1.0, 1.0, share, cutting=True)
    if share < 0.4:
        return Shot(moment, None, 1.0, 1.0 - share / 0.4)
    if share < 0.6:
        return Shot(moment, None, max(0.05, 1.0 - (share - 0.4) / 0.2), 0.0)
    return Shot(moment, touch * (1.0 - _eased((share - 0.6) / 0.4)), 0.0, 0.0)


def _eased(share: float) -> float:
    return 0.5 - 0.5 * math.cos(math.pi * share)
