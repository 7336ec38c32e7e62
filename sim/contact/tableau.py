"""The few cells that loads change, with what they do to each other kept solved from load to load.

Of u cells, v are the forces of those closed in the neighbouring state and the gaps of the others under a load, w what
changing them takes. With M the effect of w on these,

    now = v + M w,   now = 0 where a cell has changed,   w = 0 elsewhere.

The principal pivot transform A of M on the changed cells answers a load by one product. Cells that change, or change
back, are exchanged in it by a factor of these cells alone, so neighbouring loads cost little more than the product.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.linalg.blas import dgemm
from scipy.linalg.lapack import dgesv

from sim.base.arrays import Flags, Floats, Ints

STEPS = 20  # rounds of changing cells before it is left to the general solver
_FEW = 48  # cells more than twice those needed are kept


class Tableau:
    """Cells that may change, their effects, and which of them have changed.

    Parameters
    ----------
    effects : function
        Of cells (k,), what a unit of each one's own quantity does to the forces and gaps of all, (k, n).
    n : int
        How many cells there are.
    """

    __slots__ = ("_all", "_effects", "_exchanged", "_place", "cells", "changed")

    def __init__(self, effects: Callable[[Ints], Floats], n: int) -> None:
        self._effects = effects
        self._all: Floats = np.zeros((0, n))
        self._place: Ints = np.full(n, -1)
        self.clear()

    def clear(self) -> None:
        """Let all cells go."""
        self._place[:] = -1
        self._exchanged: Floats = np.zeros((0, 0), order="F")
        self.cells: Ints = np.zeros(0, dtype=np.int64)
        self.changed: Flags = np.zeros(0, dtype=bool)

    def join(self, cells: Ints) -> None:
        """Put cells that are not here beside the others, unchanged."""
        new = cells[self._place[cells] < 0]
        if not new.size:
            return
        u, end = self.cells.size, self.cells.size + new.size
        if end > len(self._all):
            more = np.zeros((2 * end, self._place.size))
            more[:u] = self._all[:u]
            self._all = more
        own = self._all[u:end]
        own[:] = self._effects(new)
        across, back = own.take(self.cells, axis=1).T, self._all[:u].take(new, axis=1).T
        exchanged = np.zeros((end, end), order="F")
        exchanged[:u, :u] = self._exchanged
        exchanged[:u, u:] = self.answered(across)
        exchanged[u:, :u] = np.where(self.changed, 0.0, back)
        kept = np.where(self.changed, back, 0.0)
        exchanged[u:, :u] += kept @ self._exchanged
        exchanged[u:, u:] = own.take(new, axis=1).T + kept @ exchanged[:u, u:]
        self._exchanged, self._place[new] = exchanged, np.arange(u, end)
        self.cells = np.concatenate([self.cells, new])
        self.changed = np.concatenate([self.changed, np.zeros(new.size, dtype=bool)])

    def trim(self, cells: Ints) -> None:
        """Let cells go that have not changed and are not among some (k,), where most have not."""
        keep = self.changed.copy()
        own = self._place[cells]
        keep[own[own >= 0]] = True
        count = int(np.count_nonzero(keep))
        if 2 * count + _FEW > keep.size:
            return
        self._all[:count] = self._all[: keep.size][keep]
        self._exchanged = np.asfortranarray(self._exchanged[np.ix_(keep, keep)])
        self._place[self.cells] = -1
        self.cells, self.changed = self.cells[keep], self.changed[keep]
        self._place[self.cells] = np.arange(count)

    def marked(self, cells: Ints) -> Flags:
        """Return which of the cells here are among some that are, (u,)."""
        flags = np.zeros(self.cells.size, dtype=bool)
        flags[self._place[cells]] = True
        return flags

    def exchange(self, others: Flags) -> None:
        """Let some cells (u,) change, or change back."""
        J = others.nonzero()[0]
        if not J.size:
            return
        laid = self._exchanged.T  # as it lies
        rows, columns = laid.take(J, axis=1).T, laid.take(J, axis=0).T
        inverse = dgesv(rows.take(J, axis=1), np.eye(J.size), overwrite_b=True)[2]
        solved = inverse @ rows
        # In place, by columns: a product of matrices and then a difference take five times as long.
        A = dgemm(-1.0, columns, solved, beta=1.0, c=self._exchanged, overwrite_c=True)
        A[J] = -solved
        A[:, J] = columns @ inverse
        A[J[:, None], J] = inverse
        self._exchanged, self.changed = A, self.changed ^ others

    def settle(self, v: Floats, least: Floats, least_changed: Floats, changed: Flags) -> tuple[int, Floats]:
        """Change cells under a load until all agree.

        Parameters
        ----------
        v : (u,) array
            Forces and gaps under it with no cell changed.
        least, least_changed : (u,) arrays
            What is left of these, and what changing takes, must not be below.
        changed : (u,) array of bool
            To begin with.

        Returns
        -------
        rounds : int
            0 where they do not settle.
        now : (u,) array
            What changing takes where a cell has changed, elsewhere what is left of v.
        """
        for count in range(1, STEPS + 1):
            self.exchange(changed ^ self.changed)
            now = self.answered(v)
            wrong = now < np.where(changed, least_changed, least)
            if not wrong.any():
                return count, now
            changed = changed ^ wrong
        return 0, v

    def answered(self, v: Floats) -> Floats:
        """Return what changing takes of changed cells and what is left of v (u,) or (u, k) at the others."""
        changed = self.changed if v.ndim == 1 else self.changed[:, None]
        taking = v * changed
        return np.asarray(v - taking - self._exchanged @ taking)

    def everywhere(self, w: Floats) -> Floats:
        """Return what w (..., u), 0 where a cell has not changed, does to forces and gaps of all cells, (..., n)."""
        return np.asarray(w @ self._all[: self.cells.size])
