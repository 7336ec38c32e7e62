"""A function on a fixed grid, computed where it is asked for and kept: linear between the grid's points."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from sim.base.arrays import Floats, Ints

Solver = Callable[[tuple[float, ...]], Floats]
Key = tuple[int, ...]  # of a grid point
Name = tuple[str, ...]  # of a table among those of a setup


@dataclass(slots=True, eq=False)
class Notes:
    """Which points of a setup's tables are asked for: while open, points are noted and unknown ones count as 0."""

    open: bool = False
    points: set[tuple[Name, Key]] = field(default_factory=set)


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

    Parameters
    ----------
    axes : tuple of Axis
    node : callable
        The function, (k,) values at one point.
    width : int
        k.
    name, notes :
        By which its points are noted, and where.
    """

    def __init__(
        self,
        axes: tuple[Axis, ...],
        node: Solver,
        width: int = 1,
        name: Name = (),
        notes: Notes | None = None,
    ) -> None:
        self._axes, self._node, self._width = axes, node, width
        self._name, self._notes = name, Notes() if notes is None else notes
        self._known: dict[Key, Floats] = {}

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
            return np.zeros((0, self._width))
        places = np.column_stack([axis.place(points[:, k]) for k, axis in enumerate(self._axes)])
        below = np.floor(places).astype(np.int64)
        share = places - below
        cells, row = np.unique(below, axis=0, return_inverse=True)
        row, total = row.ravel(), np.zeros((len(points), self._width))
        for corner in itertools.product((0, 1), repeat=len(self._axes)):
            weight = np.prod(np.where(np.array(corner) == 1, share, 1.0 - share), axis=1)
            # What stands on the grid's own points asks for none beside them.
            asked = np.bincount(row, weight, len(cells)) > 0.0
            values = np.zeros((len(cells), self._width))
            for cell in np.flatnonzero(asked):
                values[cell] = self._at(cells[cell] + np.array(corner))
            total += weight[:, None] * values[row]
        return total

    def at(self, key: Key) -> Floats:
        """Return the values at a grid point, computed if need be, (k,)."""
        if key not in self._known:
            where = tuple(axis.at(k) for axis, k in zip(self._axes, key, strict=True))
            self._known[key] = np.asarray(self._node(where))
        return self._known[key]

    def learn(self, key: Key, values: Floats) -> None:
        """Take over the values at a grid point from a table of the same function."""
        self._known[key] = values

    def knows(self, key: Key) -> bool:
        """Tell whether a grid point is computed."""
        return key in self._known

    def _at(self, cell: Ints) -> Floats:
        key = tuple(cell.tolist())
        if self._notes.open:
            self._notes.points.add((self._name, key))
            return self._known.get(key, np.zeros(self._width))
        return self.at(key)
