"""Names of curves, written on the curves themselves where they cover no other name."""

from __future__ import annotations

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
