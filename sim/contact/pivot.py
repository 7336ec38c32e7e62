"""Further loads on bodies whose closed cells are nearly known: a pivot once, then a few cells at a time.

Solve once with the closed cells B of a neighbouring state (the part at rest); what is left is small. With w the gaps of
the cells of B and the forces of the others, and v the forces of B and the gaps of the others,

    v = v0 + R c + M w,   v >= 0,  w >= 0,  v w = 0

under the loads c, in which M is a principal pivot transform of the compliance with the motions (M. J. Tsatsomeros,
Linear Algebra Appl. 307, 2000, 151; held to the general solver in `tests/sim/contact/test_further.py`). Under most
loads v >= 0 with w = 0; else only the columns of M of the few cells that change are needed.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.tableau import STEPS, Tableau

_SHARE = 0.4  # of all cells that may change
_ROUND_OFF = 1e-11  # share of the largest gap that counts as zero
_UNHELD = 1e-9  # reciprocal condition below which the closed cells do not hold a motion
BALANCE = 1e-10  # of the loads, beyond which it is left to the general solver
NEARLY = 0.02  # of the largest force or gap, below which a cell may be the next to change
_DRIFT = 1e-12  # of the largest force or gap, beyond which what an exchanged cell takes is mended


class _Columns:
    """Rows (n,) by the number of their cell, one behind the other in an array that grows."""

    __slots__ = ("_array", "_count", "_place")

    def __init__(self, n: int) -> None:
        self._place: Ints = np.full(n, -1)
        self._array: Floats = np.zeros((0, n))
        self._count = 0

    def missing(self, cells: Ints) -> Ints:
        """Return those of some cells that are not there."""
        return cells[self._place[cells] < 0]

    def join(self, cells: Ints, rows: Floats) -> None:
        """Put rows (k, n) of cells that are not there behind the others."""
        known, end = self._count, self._count + cells.size
        if end > len(self._array):
            more = np.zeros((2 * end, rows.shape[1]))
            more[:known] = self._array[:known]
            self._array = more
        self._array[known:end] = rows
        self._place[cells] = np.arange(known, end)
        self._count = end

    def rows(self, cells: Ints) -> Floats:
        """Return the rows (k, n) of cells that are there."""
        return self._array[self._place[cells]]


@dataclass(frozen=True, slots=True, eq=False)
class Pivot:
    """Compliance of bodies pivoted on the cells that are closed in a neighbouring state.

    Attributes
    ----------
    closed : (n,) array of bool
        Cells B.
    opened : (n, m) array
        Gap that unit motions open, mm per mm or rad.
    moved : (n, m) array
        Forces of B (N), gaps of the others (mm) under unit motions.
    still : (n,) array
        The same under the gap before loading, without motions, N and mm.
    matrix : (n, n) array
        The inverse (N/mm) where fewer cells are open than closed, else the compliance (mm/N).
    rows : (s, n) array
        Its rows of the fewer cells, in its unit.
    factor : (s, s) array
        Cholesky's of these rows' own cells, in the root of that unit.
    period : int
        Cells after which compliance and closed cells come again around; n where they do not.
    apart : array of int
        The cells that are not of B.
    """

    closed: Flags
    opened: Floats
    moved: Floats
    still: Floats
    matrix: Floats
    rows: Floats
    factor: Floats
    period: int
    apart: Ints = field(init=False)
    _kept: _Columns = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_kept", _Columns(self.closed.size))
        object.__setattr__(self, "apart", np.flatnonzero(~self.closed))

    def columns(self, cells: Ints) -> Floats:
        """Return forces of B and gaps of the others, (k, n), when one of the cells at a time opens or pushes by 1."""
        kept, n = self._kept, self.closed.size
        missing = kept.missing(cells)
        if missing.size:
            # Of cells that come again around one is worked out; the others are it, turned.
            own = missing if self.period == n else kept.missing(np.unique(missing % self.period))
            if own.size:
                kept.join(own, self._transformed(own))
            beyond = kept.missing(missing) if self.period < n else missing[:0]
            if beyond.size:
                ahead = beyond // self.period * self.period
                around = (np.arange(n) - ahead[:, None]) % n
                kept.join(beyond, np.take_along_axis(kept.rows(beyond % self.period), around, axis=1))
        return kept.rows(cells)

    def _transformed(self, cells: Ints) -> Floats:
        """Return columns (k, n) of the principal pivot transform, from a factor of the fewer cells alone."""
        few_open = 2 * int(np.count_nonzero(self.closed)) > self.closed.size
        fewer = ~self.closed if few_open else self.closed
        among = np.flatnonzero(fewer[cells])
        out = self.matrix[cells]
        right = out[:, fewer]  # the matrix is symmetric
        # A cell among the fewer is pushed, or opened, itself; one of the others by what the fewer then let go.
        right[among] = 0.0
        right[among, (np.cumsum(fewer) - 1)[cells[among]]] = -1.0
        solved = cho_solve((self.factor, True), right.T, overwrite_b=True, check_finite=False).T
        out[among] = 0.0
        out -= solved @ self.rows
        out[:, fewer] = -solved
        return out


def pivoted(
    compliance: Floats,
    inverse: Floats,
    gap: Floats,
    opened: Floats,
    closed: Flags,
    period: int | None = None,
    resisted: Floats | None = None,
) -> Pivot:
    """Pivot on the closed cells.

    Parameters
    ----------
    compliance, inverse : (n, n) arrays
        Of all cells.
    gap : (n,) array
        Before loading, mm.
    opened : (n, m) array
        Gap that unit motions open.
    closed : (n,) array of bool
        Of the neighbouring state.
    period : int or None
        Cells after which compliance and closed cells come again around; None where they do not.
    resisted : (n, m + 1) array or None
        The inverse times `opened` and `gap`, where it is known; asked where fewer cells are open than closed.

    Raises
    ------
    LinAlgError
        When the compliance is not positive definite.
    """
    X = np.column_stack([opened, gap])
    B, apart = np.flatnonzero(closed), np.flatnonzero(~closed)
    v, few_open = np.zeros(X.shape), apart.size < B.size
    matrix, fewer = (inverse, apart) if few_open else (compliance, B)
    rows = matrix[fewer]
    factor = np.zeros((0, 0))
    if fewer.size:
        factor = cho_factor(rows[:, fewer], lower=True, check_finite=False)[0]
    if few_open:
        Z = inverse @ X if resisted is None else resisted
        if apart.size:
            Z = Z - rows.T @ X[apart]
            open_gap = cho_solve((factor, True), Z[apart], check_finite=False)
            Z = Z - rows.T @ open_gap
            v[apart] = X[apart] + open_gap
        v[B] = -Z[B]
    else:
        v[B] = -cho_solve((factor, True), X[B], check_finite=False)
        v[apart] = X[apart] + (rows.T @ v[B])[apart]
    return Pivot(np.array(closed), opened, v[:, :-1], v[:, -1], matrix, rows, factor, period or closed.size)


def times(matrix: Floats, X: Floats, period: int) -> Floats:
    """Return the product of a matrix that comes again after `period` cells with X (n, k): its first rows tell all."""
    n, k = X.shape
    if period == n:
        return np.asarray(matrix @ X)
    ahead = np.concatenate([np.roll(X, -start, axis=0) for start in range(0, n, period)], axis=1)
    return np.asarray((matrix[:period] @ ahead).reshape(period, -1, k).swapaxes(0, 1).reshape(n, k))


@dataclass(frozen=True, slots=True, eq=False)
class Balanced:
    """A pivot with the motions that its loads work through, in units of their own size; forces in N, gaps in mm.

    Attributes
    ----------
    pivot : Pivot
    opened : (n, m) array
        Gap that unit motions open.
    ways : (n, m) array
        Its size.
    size : (m,) array
        By which the motions were divided.
    yields : (m, m) array
        Motions under unit loads.
    response : (n, m) array
        Forces of B and gaps of the others under unit loads.
    back : (n, m) array
        What a cell that changes does to the balance of the loads.
    held : (m,) array
        Loads that the gap alone takes.
    unloaded : (n,) array
        Forces of B and gaps of the others without loads.
    table : Tableau
        Cells that loads have changed so far.
    """

    pivot: Pivot
    opened: Floats
    size: Floats
    yields: Floats
    response: Floats
    back: Floats
    held: Floats
    unloaded: Floats
    ways: Floats = field(init=False)
    table: Tableau = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "ways", np.abs(self.opened))
        object.__setattr__(self, "table", Tableau(self.effects, self.unloaded.size))

    def effects(self, cells: Ints) -> Floats:
        """Return forces of B and gaps of the others, (k, n), when one of the cells at a time opens or pushes by 1."""
        return np.asarray(self.pivot.columns(cells) + self.back[cells] @ self.response.T)


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """What one load does.

    Attributes
    ----------
    force_n, gap_mm : (n,) arrays
        0 or more; the gap exactly 0 where a force acts.
    motion : (m,) array
        Of the motions kept, mm or rad.
    changed : array of int
        Cells that are not as in the neighbouring state.
    rounds : int
        Of changing cells.
    penetration_mm : float
        Most negative gap before it is cut to 0.
    imbalance : float
        What is left of the balance over its largest term, no unit.
    """

    force_n: Floats
    gap_mm: Floats
    motion: Floats
    changed: Ints
    rounds: int
    penetration_mm: float
    imbalance: float


def balanced(pivot: Pivot, kept: list[int]) -> Balanced | None:
    """Choose the motions (columns) that are free; None when the closed cells do not hold them."""
    opened, moved, closed = pivot.opened[:, kept], pivot.moved[:, kept], pivot.closed
    size = np.maximum(np.max(np.abs(opened), axis=0, initial=0.0), 1e-300)
    opened, moved = opened / size, moved / size
    schur = -opened[closed].T @ moved[closed]
    if kept:
        scale = np.sqrt(np.maximum(np.diag(schur), 1e-300))
        unheld = scale.min() < 1e-6 * scale.max()
        if unheld or np.linalg.eigvalsh(schur / np.outer(scale, scale))[0] < _UNHELD:
            return None
    yields = np.linalg.inv(schur)
    response = moved @ yields
    held = opened[closed].T @ pivot.still[closed]
    back = np.where(closed[:, None], -moved, moved)
    return Balanced(pivot, opened, size, yields, response, back, held, pivot.still + response @ held)


@dataclass(frozen=True, slots=True, eq=False)
class Least:
    """What forces and gaps under loads must not be below: 0, but for the round-off of gaps.

    Attributes
    ----------
    left : (..., n) array
        Forces (N) and gaps (mm) where a cell has not changed.
    taken : (..., n) array
        Where one has: the gap (mm) of one that opens, the force (N) of one that closes.
    """

    left: Floats
    taken: Floats


def least_of(state: Balanced, v: Floats) -> Least:
    """Return what is least under loads whose forces and gaps are v (..., n) with no cell changed."""
    apart = state.pivot.apart
    round_off = -_ROUND_OFF * np.abs(v.take(apart, axis=-1)).max(axis=-1, initial=0.0, keepdims=True)
    # The round-off of a gap of a cell that opened is that of the others; forces are exact as they are.
    left, taken = np.zeros(v.shape), np.repeat(round_off, v.shape[-1], axis=-1)
    left[..., apart], taken[..., apart] = round_off, 0.0
    return Least(left, taken)


def settled(state: Balanced, loads: Floats, changed: Ints | None = None) -> Settled | None:
    """Solve under one load; None where it is left to the general solver.

    Parameters
    ----------
    state : Balanced
    loads : (m,) array
        Working through the motions kept.
    changed : array of int or None
        Cells that a neighbouring load changes.
    """
    found = _settled(state, loads / state.size, changed)
    if found is None:
        state.table.clear()
    return found


def _settled(state: Balanced, c: Floats, changed: Ints | None) -> Settled | None:
    v = state.unloaded + state.response @ c
    least, table, most, rounds = least_of(state, v), state.table, int(_SHARE * v.size), 0
    new = np.flatnonzero(v < least.left) if changed is None else changed
    table.trim(new)
    flags = np.zeros(table.cells.size, dtype=bool)
    while rounds < STEPS:
        if np.count_nonzero(flags) + new.size > most:
            return None
        table.join(new)
        cells, flags = table.cells, np.append(flags, np.zeros(table.cells.size - flags.size, dtype=bool))
        flags |= table.marked(new)
        more, own = table.settle(v[cells], least.left[cells], least.taken[cells], flags)
        flags, rounds = table.changed, rounds + more
        if not more:
            return None
        taken = np.where(flags, own, 0.0)
        now = v + table.everywhere(taken)
        wrong = now < least.left
        wrong[cells] = False
        new = np.flatnonzero(wrong)
        if not new.size:
            return _mended(state, c, v, now, taken, rounds)
        table.join(_nearly(state, now, new))
    return None


def _nearly(state: Balanced, now: Floats, wrong: Ints) -> Ints:
    """Return wrong cells with those that are nearly wrong: a load that goes on reaches these next."""
    closed, apart = state.pivot.closed, state.pivot.apart
    near = now < NEARLY * (now * closed).max()
    near[apart] = now[apart] < NEARLY * now[apart].max(initial=0.0)
    near[wrong] = True
    return np.flatnonzero(near)


def _mended(state: Balanced, c: Floats, v: Floats, now: Floats, taken: Floats, rounds: int) -> Settled | None:
    """Return the figures, what exchanging cell after cell has let drift away put right."""
    table, closed = state.table, state.pivot.closed
    force, gap = np.abs(v * closed).max(), np.abs(v.take(state.pivot.apart)).max(initial=0.0)
    near = _DRIFT * np.where(closed.take(table.cells), force, gap)
    for _ in range(2):
        missed = now.take(table.cells) * table.changed
        if not (np.abs(missed) > near).any():
            return _accepted(state, c, now, taken, rounds)
        taken = taken + np.where(table.changed, table.answered(missed), 0.0)
        now = v + table.everywhere(taken)
    return None


def _accepted(state: Balanced, c: Floats, v: Floats, taken: Floats, rounds: int) -> Settled | None:
    """Return the figures of forces and gaps v (n,) and what the tableau's cells take; None where the loads miss."""
    table, closed = state.table, state.pivot.closed
    k = table.cells[table.changed]
    w = taken[table.changed]
    force, gap = np.where(closed, v, 0.0), np.where(closed, 0.0, v)
    opens = closed[k]
    force[k], gap[k] = np.where(opens, 0.0, w), np.where(opens, w, 0.0)
    imbalance = 0.0
    if c.size:
        balance = force @ state.opened + c
        terms = np.maximum(force @ state.ways, np.abs(c))
        imbalance = float((np.abs(balance) / np.maximum(terms, terms.max() * 1e-3)).max())
        if not imbalance < BALANCE:
            return None
    motion = state.yields @ (c + state.held + w @ state.back[k])
    deepest = max(0.0, -float(gap.min()))
    return Settled(force, np.maximum(gap, 0.0), motion / state.size, k, rounds, deepest, imbalance)
