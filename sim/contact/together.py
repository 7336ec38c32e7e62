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
from sim.contact.pivot import BALANCE, SHARE, STEPS, Balanced, Settled, slack_of


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
    slack, most = slack_of(state, v), int(SHARE * state.unloaded.size)
    changed, w = np.zeros(v.shape, dtype=bool), np.zeros(v.shape)
    rounds, asked = np.zeros(len(v), dtype=np.int64), np.arange(len(v))
    cells = np.flatnonzero((v < -slack).any(axis=0))
    for _ in range(STEPS):
        if cells.size > most:
            return None
        columns = state.pivot.columns(cells) + state.back[cells] @ state.response.T
        own = _Among(
            columns[:, cells], v[:, cells], slack[:, cells], slack.max(axis=1), state.pivot.closed[cells]
        )
        w[:, cells], changed[:, cells], more = own.solved(asked, w[:, cells], changed[:, cells])
        rounds[asked] = np.where(more > 0, rounds[asked] + more, 0)
        now = v + w[:, cells] @ columns
        wrong = (now < -slack) & (rounds > 0)[:, None]
        wrong[:, cells] = False
        asked = np.flatnonzero(wrong.any(axis=1))
        if not asked.size:
            return _accepted(state, c, _Ends(now, changed, w, rounds))
        changed |= wrong
        cells = np.union1d(cells, np.flatnonzero(wrong.any(axis=0)))
    return None


@dataclass(frozen=True, slots=True, eq=False)
class _Among:
    """The loads among the u cells that any of them may change.

    Attributes
    ----------
    effect : (u, u) array
        What a unit of each cell's own quantity does to the forces and gaps of the others.
    v, slack : (k, u) arrays
        Forces of closed cells and gaps of the others, and by how much they may be below 0.
    round_off : (k,) array
        Of gaps.
    closed : (u,) array of bool
        At rest.
    """

    effect: Floats
    v: Floats
    slack: Floats
    round_off: Floats
    closed: Flags

    def solved(self, loads: Ints, w: Floats, flags: Flags) -> tuple[Floats, Flags, Ints]:
        """Return gaps or forces of changed cells, which they are, (k, u), and the rounds of `loads`, 0: unsettled."""
        rounds, last = np.zeros(loads.size, dtype=np.int64), np.zeros(self.closed.size, dtype=bool)
        for row, load in enumerate(loads.tolist()):
            own = flags[load]
            if not own.any():
                own[:] = last  # of the load before
            w[load] = 0.0
            rounds[row] = self._settle(load, own, w[load])
            last = own
        return w, flags, rounds

    def _settle(self, load: int, flags: Flags, w: Floats) -> int:
        """Change cells of a load until all agree, writing into `flags` and `w`; return the rounds, 0 where none do."""
        v, slack, effect = self.v[load], self.slack[load], self.effect
        least = np.where(self.closed, -self.round_off[load], 0.0)
        for count in range(1, STEPS + 1):
            k = np.flatnonzero(flags)
            rows = effect[k]
            own = np.asarray(dgesv(rows[:, k].T, -v[k])[2]) if k.size else v[:0]
            wrong = v + own @ rows < -slack
            # The round-off of a gap of a cell that opened is that of the others; forces are exact as they are.
            wrong[k] = own < least[k]
            if not wrong.any():
                w[k] = own
                return count
            flags ^= wrong
        flags[:] = False
        return 0


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """Where the loads have settled: forces and gaps, changed cells, and gaps or forces of these, all (k, n)."""

    now: Floats
    changed: Flags
    w: Floats
    rounds: Ints


def _accepted(state: Balanced, c: Floats, ends: _Ends) -> Together:
    closed, w = state.pivot.closed, ends.w
    force = np.where(ends.changed == closed, 0.0, np.where(closed, ends.now, w))
    gap = np.where(ends.changed == closed, np.where(closed, w, ends.now), 0.0)
    balance, imbalance = force @ state.opened + c, np.zeros(len(c))
    if c.shape[1]:
        terms = np.maximum(force @ np.abs(state.opened), np.abs(c))
        imbalance = np.max(
            np.abs(balance) / np.maximum(terms, terms.max(axis=1, keepdims=True) * 1e-3), axis=1
        )
    motion = (c + state.held + w @ state.back) @ state.yields.T
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
