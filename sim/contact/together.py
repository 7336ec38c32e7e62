"""Many loads on a part at rest solved together: every angle of a revolution in a few products of matrices.

What one load after the other costs is mostly fetching the columns of the cells that it changes. Here the cells that any
load may change are gathered first; each load is then solved among these alone (`sim.contact.pivot` says how), and one
product tells all other cells of all loads. Cells that turn out wrong join, and it is done again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dgesv

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.pivot import BALANCE, NEARLY, Balanced, Least, Settled, least_of
from sim.contact.tableau import STEPS

_SHARE = 0.2  # of all cells that the loads may change
_EACH = 8  # of the loads, those that find the cells for all


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """What k loads do.

    Attributes
    ----------
    found : (k,) array of bool
        Loads that are solved here; the others are left to the general solver.
    force_n, gap_mm : (k, n) arrays
        0 or more; the gap exactly 0 where a force acts.
    motion : (k, m) array
        Of the motions kept, mm or rad.
    changed : (k, n) array of bool
        Cells that are not as at rest.
    rounds : (k,) array of int
        Of changing cells.
    penetration_mm : (k,) array
        Most negative gap before it is cut to 0.
    imbalance : (k,) array
        What is left of the balance over its largest term, no unit.
    """

    found: Flags
    force_n: Floats
    gap_mm: Floats
    motion: Floats
    changed: Flags
    rounds: Ints
    penetration_mm: Floats
    imbalance: Floats

    def one(self, load: int) -> Settled:
        """Return what one of the loads does."""
        return Settled(
            self.force_n[load],
            self.gap_mm[load],
            self.motion[load],
            np.flatnonzero(self.changed[load]),
            int(self.rounds[load]),
            float(self.penetration_mm[load]),
            float(self.imbalance[load]),
        )


def settled_together(state: Balanced, loads: Floats) -> Together | None:
    """Solve under k loads (k, m) working through the motions kept; None where all are left to the general solver."""
    c = loads / state.size
    v = state.unloaded + c @ state.response.T
    least, most = least_of(state, v), int(_SHARE * state.unloaded.size)
    changed, w = np.zeros(v.shape, dtype=bool), np.zeros(v.shape)
    rounds = np.zeros(len(v), dtype=np.int64)
    cells = np.flatnonzero((v < least.left).any(axis=0))
    if not cells.size:
        return _accepted(state, c, _Ends(v, changed, None, rounds + 1))
    ahead = len(v) > _EACH
    asked = np.arange(0, len(v), _EACH if ahead else 1)
    room, new = np.zeros((most, v.shape[1])), cells
    for turn in range(STEPS):
        if cells.size > most:
            return None
        columns = room[: cells.size]
        if new.size:
            columns[-new.size :] = state.pivot.columns(new)
            columns[-new.size :] += state.back[new] @ state.response.T
        own = _Among(columns[:, cells], v[:, cells], Least(least.left[:, cells], least.taken[:, cells]))
        more = own.solved(asked, w, changed, cells)
        rounds[asked] = np.where(more > 0, rounds[asked] + more, 0)
        known = np.arange(0, len(v), _EACH) if ahead else np.arange(len(v))
        now = v[known] + w[np.ix_(known, cells)] @ columns
        wrong = (now < least.left[known]) & (rounds[known] > 0)[:, None]
        wrong[:, cells] = False
        more_wrong = wrong.any(axis=1)
        if more_wrong.any():
            asked = known[more_wrong]
            changed[known] |= wrong
            new = np.flatnonzero(wrong.any(axis=0))
            if ahead and turn:
                new = _with_next(new, state, now, cells, most)
            cells = np.concatenate([cells, new])
        elif ahead:
            asked, new, ahead = np.arange(len(v)), cells[:0], False
        else:
            return _accepted(state, c, _Ends(now, changed, w, rounds))
    return None


def _with_next(wrong: Ints, state: Balanced, now: Floats, cells: Ints, most: int) -> Ints:
    """Return wrong cells with those that are nearly wrong, unless that is too many beside the u cells gathered.

    Cells that join a few at a time ask for another round of all loads each time.
    """
    closed = state.pivot.closed
    forces, gaps = (float(now[:, one].max(initial=0.0)) for one in (closed, ~closed))
    near = np.asarray((now < NEARLY * np.where(closed, forces, gaps)).any(axis=0))
    near[cells], near[wrong] = False, True
    return np.flatnonzero(near) if cells.size + np.count_nonzero(near) <= most else wrong


@dataclass(frozen=True, slots=True, eq=False)
class _Among:
    """The loads among the u cells that any of them may change.

    Attributes
    ----------
    effect : (u, u) array
        What a unit of each cell's own quantity does to the forces and gaps of the others.
    v : (k, u) array
        Forces of closed cells and gaps of the others.
    least : Least
        Of these, (k, u).
    """

    effect: Floats
    v: Floats
    least: Least

    def solved(self, loads: Ints, w: Floats, changed: Flags, cells: Ints) -> Ints:
        """Write gaps or forces of changed cells, and which they are, (k, n); return rounds of `loads`, 0: unsettled."""
        rounds, flags = np.zeros(loads.size, dtype=np.int64), changed[np.ix_(loads, cells)]
        last = before = np.zeros(cells.size)  # of the load before, and of that before it
        found = np.zeros(flags.shape)
        for row, load in enumerate(loads.tolist()):
            own = flags[row]
            if not own.any():
                own[:] = 2.0 * last > before  # as it goes on from load to load
            rounds[row], now = self._settle(load, own)
            found[row] = np.where(own, now, 0.0)
            last, before = now, last if row else now
        w[loads] = 0.0
        w[np.ix_(loads, cells)], changed[np.ix_(loads, cells)] = found, flags
        return rounds

    def _settle(self, load: int, flags: Flags) -> tuple[int, Floats]:
        """Change cells of a load until all agree, writing into `flags`.

        Return rounds, 0 where none do, and (u,) gaps or forces of changed cells; of the others theirs, negated.
        """
        effect, v, left, taken = self.effect, self.v[load], self.least.left[load], self.least.taken[load]
        for count in range(1, STEPS + 1):
            k = flags.nonzero()[0]
            now = v
            if k.size:
                rows = effect.take(k, axis=0)
                own = dgesv(rows.take(k, axis=1).T, -v[k], overwrite_a=True)[2]
                now = v + own @ rows
            wrong = now < left
            if k.size:
                wrong[k] = own < taken[k]
            if not wrong.any():
                now = -now
                if k.size:
                    now[k] = own
                return count, now
            flags ^= wrong
        flags[:] = False
        return 0, -v


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """Where the loads have settled: forces and gaps, changed cells, and gaps or forces of these, (k, n); None: none."""

    now: Floats
    changed: Flags
    w: Floats | None
    rounds: Ints


def _accepted(state: Balanced, c: Floats, ends: _Ends) -> Together:
    closed, w, held = state.pivot.closed, ends.w, state.held
    if w is None:
        force, gap = np.where(closed, ends.now, 0.0), np.where(closed, 0.0, ends.now)
    else:
        force = np.where(ends.changed == closed, 0.0, np.where(closed, ends.now, w))
        gap = np.where(ends.changed == closed, np.where(closed, w, ends.now), 0.0)
        held = held + w @ state.back
    balance, imbalance = force @ state.opened + c, np.zeros(len(c))
    if c.shape[1]:
        terms = np.maximum(force @ np.abs(state.opened), np.abs(c))
        imbalance = np.max(
            np.abs(balance) / np.maximum(terms, terms.max(axis=1, keepdims=True) * 1e-3), axis=1
        )
    motion = (c + held) @ state.yields.T
    return Together(
        found=(ends.rounds > 0) & (imbalance < BALANCE),
        force_n=force,
        gap_mm=np.maximum(gap, 0.0),
        motion=motion / state.size,
        changed=ends.changed,
        rounds=ends.rounds,
        penetration_mm=np.maximum(-gap.min(axis=1), 0.0),
        imbalance=imbalance,
    )
