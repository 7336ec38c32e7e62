"""Names of curves, written on the curves where they cover no other name, or beside them where they cover no line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from sim.base.arrays import Floats
from sim.views.colours import INK, PAPER
from sim.views.figure import BODY

LINE = 0.05  # of the axes: height of a line of text
GAP = 0.004  # of the axes: before and behind a name
MARK = 0.015  # of the axes: half the width of a mark
_BOX = {"fc": PAPER, "ec": "none", "pad": 1.0, "alpha": 0.88}


class Labels:
    """Names written on lines of axes, each where it covers no other and stays inside."""

    def __init__(self, axes: Axes, line: float = LINE) -> None:
        self.axes = axes
        self.line = line
        self.box = np.array([axes.get_xlim(), axes.get_ylim()])
        self.taken: list[tuple[float, float, float]] = []

    def keep_clear(self, x: float, y: float) -> None:
        """Keep names off a mark at a point of the axes."""
        across, up = (np.array([x, y]) - self.box[:, 0]) / np.ptp(self.box, axis=1)
        self.taken.append((float(across), float(up), MARK))

    def write(self, points: Floats, name: str) -> None:
        """Write a name at one of the points (n, 2) of its line; nothing where the line lies outside of the axes."""
        shares = (points - self.box[:, 0]) / np.ptp(self.box, axis=1)
        text = self.axes.text(
            0.0, 0.0, name, ha="center", va="center", fontsize=BODY - 1.0, color=INK, zorder=6, bbox=_BOX
        )
        half = 0.5 * text.get_window_extent().width / self.axes.get_window_extent().width + GAP
        # Beside an end of the axes the middle of the name may stand off its line, so that all of it is inside.
        shares[:, 0] = np.clip(shares[:, 0], half + 0.005, 0.995 - half)
        inside = np.abs(shares[:, 0] - (points[:, 0] - self.box[0, 0]) / np.ptp(self.box[0])) < 0.9 * half
        inside &= (shares[:, 1] > 0.6 * self.line) & (shares[:, 1] < 1.0 - 0.4 * self.line)
        candidates = shares[inside]
        if not len(candidates):
            text.remove()
            return
        free = self._free(candidates, half)
        if free.max() < 0.0:
            # Close under or over its line rather than on another name.
            beside = np.vstack([candidates + np.array([0.0, step * self.line]) for step in (-1.0, 1.0)])
            beside = beside[(beside[:, 1] > 0.6 * self.line) & (beside[:, 1] < 1.0 - 0.4 * self.line)]
            candidates = np.vstack([candidates, beside])
            free = self._free(candidates, half)
        # Free enough is free: then the middle of the line reads best.
        good = np.flatnonzero(free >= min(0.3, float(free.max())))
        best = candidates[good[len(good) // 2]]
        self.taken.append((float(best[0]), float(best[1]), half))
        text.set_position(tuple(self.box[:, 0] + best * np.ptp(self.box, axis=1)))

    def _free(self, places: Floats, half: float) -> Floats:
        """Return how many lines of text are free around names of a half width in the middle of places (n, 2)."""
        free = np.full(len(places), 10.0)
        for x, y, width in self.taken:
            sideways = (np.abs(places[:, 0] - x) - half - width) / self.line
            up = np.abs(places[:, 1] - y) / self.line - 1.0
            free = np.minimum(free, np.maximum(sideways, up))
        return free


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A line of a plot (n, 2) in the units of its axes, with its name and colour; without a name it is only kept free.

    `above`: the height, in the axes' unit, over which the name is to stand beside it.
    """

    points: Floats
    name: str = ""
    colour: str = INK
    above: float = -np.inf


AWAY = np.array([0.012, 0.014])  # of the axes: between a name and its curve
APART = np.array([0.008, 0.012])  # of the axes: between a name and any other line
LAID_OUT = np.array([0.9, 1.0])  # of a name's share of axes that are not laid out yet: they become wider
OVER = 3  # of the steps below: over the line
_DENSE = 300  # points of a line


def write_beside(axes: Axes, curves: Sequence[Curve], highest: float) -> None:
    """Write each named curve's name close beside it, where it covers no line and no other name, if there is a place.

    `highest`: of the names' upper edges, in the axes' unit.
    """
    box = np.array([axes.get_xlim(), axes.get_ylim()])
    shares = [_evenly((one.points - box[:, 0]) / np.ptp(box, axis=1)) for one in curves]
    lines = np.vstack(shares)
    ceiling = (highest - box[1, 0]) / float(np.ptp(box[1]))
    taken: list[Floats] = []
    for curve, own in zip(curves, shares, strict=True):
        if not curve.name:
            continue
        text = axes.text(0.0, 0.0, curve.name, fontsize=BODY - 0.5, color=curve.colour, zorder=6, va="bottom")
        size = LAID_OUT * np.array(text.get_window_extent().size) / np.array(axes.get_window_extent().size)
        low = _places(own[own[:, 1] > (curve.above - box[1, 0]) / np.ptp(box[1])], size)
        low = low[
            np.all(low > 0.005, axis=1) & (low[:, 0] + size[0] < 0.995) & (low[:, 1] + size[1] < ceiling)
        ]
        if not len(low):
            text.remove()
            continue
        covered = _inside(lines, low - APART, low + size + APART)
        for other in taken:
            covered += 1000.0 * np.all((low < other[1] + APART) & (low + size > other[0] - APART), axis=1)
        best = low[int(np.argmin(covered))]
        if covered.min() > 0.0:
            text.set_bbox(_BOX)
        taken.append(np.array([best, best + size]))
        text.set_position(tuple(box[:, 0] + best * np.ptp(box, axis=1)))


def _evenly(line: Floats) -> Floats:
    """Return a line with as many points as tell whether a name lies on it; those outside of the axes are left out."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, along[-1], _DENSE)
    found = np.column_stack([np.interp(at, along, line[:, k]) for k in (0, 1)])
    return found[np.all((found >= 0.0) & (found <= 1.0), axis=1)]


def _places(line: Floats, size: Floats) -> Floats:
    """Return lower left corners of a name of a size around points of a line: over it and near its right end first."""
    points = line[::-3]
    steps = [(-0.5, 1), (-1, 1), (0, 1), (-0.5, -1), (-1, -1), (0, -1), (0, 0), (-1, 0)]
    found = []
    for across, up in steps:
        x = points[:, 0] + across * size[0] + (AWAY[0] if across == 0 else -AWAY[0] if across == -1 else 0.0)
        y = points[:, 1] + (AWAY[1] if up == 1 else -AWAY[1] - size[1] if up == -1 else -0.5 * size[1])
        found.append(np.column_stack([x, y]))
    over, other = np.stack(found[:OVER], axis=1), np.stack(found[OVER:], axis=1)
    return np.vstack([over.reshape(-1, 2), other.reshape(-1, 2)])


def _inside(points: Floats, low: Floats, high: Floats) -> Floats:
    """Return how many points lie in each box."""
    within = np.ones((len(low), len(points)), dtype=bool)
    for k in (0, 1):
        within &= (points[None, :, k] > low[:, None, k]) & (points[None, :, k] < high[:, None, k])
    counted: Floats = within.sum(axis=1).astype(np.float64)
    return counted
