"""The scale of a gauge, read in a glance: black to stop in, framed to go on in, a mark where it is expected."""

from __future__ import annotations

from sim.drawing.pens import EDGE, HIDDEN
from sim.drawing.primitives import Corners, Item, Words
from sim.setup_sheet.entries import Scale
from sim.setup_sheet.runs import lettered, wide_of

SCALE_HIGH = 10.4  # mm
BAR = 3.0  # its height, mm
LOW = 3.6  # of its lower edge above the row's end, mm
PAST = 1.18  # what it shows, over the end of what may be read
SIZE = 2.06  # height of capitals, mm


def scale_drawn(scale: Scale, left: float, wide: float) -> list[Item]:
    """Return a scale from its left end on, so wide, standing on nought; mm."""
    per = wide / (PAST * scale.high)
    stop, low, high, expected = (
        left + per * value for value in (scale.stop, scale.low, scale.high, scale.expected)
    )
    stopped, go, first, last, mark = scale.words
    items: list[Item] = [
        Corners(_box(left, stop), EDGE, filled=True),
        Corners(_box(low, high), EDGE),
        Corners(
            (
                (expected, LOW + BAR),
                (expected - 1.2, LOW + BAR + 2.0),
                (expected + 1.2, LOW + BAR + 2.0),
            ),
            EDGE,
            filled=True,
        ),
        lettered((left, LOW + BAR + 1.0), stopped, SIZE),
        lettered((high, LOW - 0.8 - SIZE), last, SIZE),
        lettered((low, LOW - 1.0 - SIZE), first, SIZE, "right"),
        _mark(mark, expected, left + wide),
    ]
    if low - stop > 1.0:
        items.append(Corners(_box(stop, low), HIDDEN))
    if wide_of(go, SIZE) < high - low - 1.0:
        items.append(lettered((0.5 * (low + high), LOW + 0.5 * (BAR - SIZE)), go, SIZE, "middle"))
    return items


def _mark(words: str, at: float, right: float) -> Words:
    """Return what stands beside the mark, on the side that has room for it."""
    if at + 1.8 + wide_of(words, SIZE) <= right:
        return lettered((at + 1.8, LOW + BAR + 0.6), words, SIZE)
    return lettered((at - 1.8, LOW + BAR + 0.6), words, SIZE, "right")


def _box(left: float, right: float) -> tuple[tuple[float, float], ...]:
    return (left, LOW), (right, LOW), (right, LOW + BAR), (left, LOW + BAR)
