"""A function on a fixed grid, computed where it is asked for and kept: linear between the grid's points."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Node = Callable[[tuple[float, ...]], Floats]


class Axis:
    """One coordinate of the grid: points at u = 0, 1, 2, ... times `step`, u a monotone function of the coordinate.

    'sinh': u = asinh(x / scale), fine near 0 and by equal factors far from it; 'log': u = log(x), x > 0;
    'linear': u = x / scale.
    """

    def __init__(self, kind: str, step: float, scale: float = 1.0) -> None:
        self.kind, self.step, self.scale = kind, step, scale

    def place(self, x: Floats) -> Floats:
        """Return where x stands on the grid, in steps."""
        if self.kind == "sinh":
            return np.asarray(np.arcsinh(x / self.scale) / self.step)
        if self.kind == "log":
            return np.asarray(np.log(x / self.scale) / self.step)
        return np.asarray(x / (self.scale * self.step))

    def at(self, steps: int) -> float:
        """Return the coordinate of a grid point."""
        if self.kind == "sinh":
            return self.scale * float(np.sinh(steps * self.step))
        if self.kind == "log":
            return self.scale * float(np.exp(steps * self.step))
        return self.scale * steps * self.step


class GridTable:
    """Values of a costly function at the points of a grid that were asked for so far.

    The grid is fixed beforehand, so that an answer does not depend on what else was asked, in which order or in which
    process. It only grows; two tables of one function hold the same values.
    """

    def __init__(self, axes: tuple[Axis, ...], node: Node) -> None:
        self._axes, self._node = axes, node
        self._known: dict[tuple[int, ...], Floats] = {}

    @property
    def size(self) -> int:
        """Number of grid points computed so far."""
        return len(self._known)

    def __call__(self, points: Floats) -> Floats:
        """Return the function between the grid's points.

        Parameters
        ----------
        points : (n, axes) array

        Returns
        -------
        (n, k) array, k what the function returns at one point.
        """
        if not len(points):
            return np.zeros((0, 1))
        places = np.column_stack([axis.place(points[:, k]) for k, axis in enumerate(self._axes)])
        below = np.floor(places).astype(np.int64)
        share = places - below
        cells, row = np.unique(below, axis=0, return_inverse=True)
        corners = list(itertools.product((0, 1), repeat=len(self._axes)))
        found = np.stack([[self._at(tuple(cell + np.array(c))) for cell in cells] for c in corners])
        total = np.zeros((len(points), found.shape[-1]))
        for c, values in zip(corners, found, strict=True):
            weight = np.prod(np.where(np.array(c) == 1, share, 1.0 - share), axis=1)
            total += weight[:, None] * values[row.ravel()]
        return total

    def _at(self, key: tuple[int, ...]) -> Floats:
        key = tuple(int(k) for k in key)
        if key not in self._known:
            self._known[key] = np.asarray(
                self._node(tuple(axis.at(k) for axis, k in zip(self._axes, key, strict=True)))
            )
        return self._known[key]
