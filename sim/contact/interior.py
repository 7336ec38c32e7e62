"""Forces and motions by a primal-dual interior-point path: the way out where pivoting cycles.

Path following with fixed centring (held to pivoting in `tests/sim/contact/test_interior.py`) for

    K f + g0 + G m = s,    G' f + c = 0,    f >= 0,    s >= 0,    f s = 0
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from sim.base.arrays import Flags, Floats

_STEPS = 80
_CENTRING = 0.15
_TO_BOUNDARY = 0.995
_DONE = 1e-11


def _room(value: Floats, change: Floats) -> float:
    """Return the largest step that keeps every value positive."""
    falling = change < 0.0
    return float(np.min(-value[falling] / change[falling])) if falling.any() else np.inf


def interior(K: Floats, g0: Floats, G: Floats, c: Floats) -> tuple[Floats, Floats, Floats] | None:
    """Return forces (n,), gaps (n,) and motions (m,), None where the path does not close in on a solution.

    Where contact leaves a motion undetermined within bounds (all that touches lies at one height, say), it comes
    out in the middle of them.

    Parameters
    ----------
    K, g0, G, c : array
        As in `sim.contact.unilateral.solve_unilateral`.
    """
    force_scale = max(float(np.max(np.abs(c), initial=0.0)) / g0.size, 1e-9)
    gap_scale = max(float(np.max(np.abs(g0))), float(np.max(np.abs(K))) * force_scale, 1e-12)
    K, g0, c = K * (force_scale / gap_scale), g0 / gap_scale, c / force_scale
    f, s, m = np.ones(g0.size), np.ones(g0.size), np.zeros(c.size)
    for _ in range(_STEPS):
        dual = K @ f + g0 + G @ m - s
        primal = G.T @ f + c
        product = float(f @ s) / f.size
        held = float(np.max(np.abs(primal), initial=0.0)) < 1e-9 * max(
            1.0, float(np.max(np.abs(c), initial=0.0))
        )
        if held and product < _DONE and np.max(np.abs(dual)) < 1e-9:
            return _split(f * force_scale, s * gap_scale, m * gap_scale, G, c * force_scale, f > s)
        try:
            factor = cho_factor(K + np.diag(s / f), lower=True, overwrite_a=True, check_finite=False)
            right = -dual + _CENTRING * product / f - s
            solved = cho_solve(factor, np.column_stack([G, right]), check_finite=False)
            dm = np.linalg.solve(G.T @ solved[:, :-1], G.T @ solved[:, -1] + primal)
        except LinAlgError:
            return None
        df = solved[:, -1] - solved[:, :-1] @ dm
        ds = (_CENTRING * product - s * df) / f - s
        step = min(1.0, _TO_BOUNDARY * _room(f, df), _TO_BOUNDARY * _room(s, ds))
        f, s, m = f + step * df, s + step * ds, m + step * dm
        if not (np.all(np.isfinite(f)) and np.all(np.isfinite(s))):
            return None
    return None


def _split(
    f: Floats, s: Floats, m: Floats, G: Floats, c: Floats, closed: Flags
) -> tuple[Floats, Floats, Floats]:
    """Give each cell a force or a gap, and restore the balance by the least change of the closed cells' forces."""
    force, gap = np.where(closed, f, 0.0), np.where(closed, 0.0, s)
    force[closed] -= np.linalg.lstsq(G[closed].T, G.T @ force + c, rcond=None)[0]
    return np.maximum(force, 0.0), gap, m
