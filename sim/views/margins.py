"""Margins as bars and dots: how far a verdict is from its limit, on one scale for all of them.

The limit is a line, 1 is on it and has no bar at all; what is kept runs to the right of it and what is missed to the
left, by the logarithm of the margin, so that twice as much is as far from 1.5 as from 3 times.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sim.assessment.verdict import Verdict

LIMIT_AT = 0.22  # share of the width at which the limit stands
MOST, LEAST = 20.0, 0.25  # margins at the two ends; beyond them the bar is as long
TICKS = (1.5, 2.0, 3.0, 5.0, 10.0, 20.0)
_APART = 0.016  # share of the width that two dots need beside each other


@dataclass(frozen=True, slots=True)
class Dot:
    """A verdict on the scale: share of the width, row off the middle of its line, and who it is."""

    at: float
    row: int
    verdict: Verdict


def place(margin: float, *, missed: bool) -> float | None:
    """Return where a margin stands, as a share of the width; None where there is no figure.

    Parameters
    ----------
    margin : float
        No unit; 1 is just enough.
    missed : bool
        The limit is not kept, whatever the margin says (that of a limit of zero says nothing).
    """
    if math.isnan(margin):
        return None
    if missed:
        short = LEAST if not LEAST < margin < 1.0 else margin
        return LIMIT_AT * (1.0 - math.log(short) / math.log(LEAST))
    return LIMIT_AT + (1.0 - LIMIT_AT) * math.log(min(max(margin, 1.0), MOST)) / math.log(MOST)


def bar(verdict: Verdict) -> tuple[float, float] | None:
    """Return the beginning and the length of a verdict's bar, shares of the width; None where there is no figure."""
    end = place(verdict.margin, missed=verdict.missed)
    if end is None or math.isnan(verdict.value):
        return None
    return round(min(end, LIMIT_AT), 4), round(abs(end - LIMIT_AT), 4)


def dots(verdicts: Sequence[Verdict]) -> tuple[Dot, ...]:
    """Return the verdicts of a line, those that would cover each other in rows above and below it."""
    ends = [(place(v.margin, missed=v.missed), v) for v in verdicts if bar(v) is not None]
    at = sorted(((end, v) for end, v in ends if end is not None), key=lambda one: one[0])
    last: dict[int, float] = {}
    found = []
    for share, verdict in at:
        row = next(k for k in _rows() if share - last.get(k, -1.0) >= _APART)
        last[row] = share
        found.append(Dot(share, row, verdict))
    return tuple(found)


def _rows() -> Iterable[int]:
    """Yield 0, 1, -1, 2, -2 and so on."""
    yield 0
    row = 1
    while True:
        yield row
        yield -row
        row += 1
