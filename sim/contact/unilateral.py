"""Unilateral contact of elastic bodies with free rigid motions, as a linear complementarity problem.

Find cell forces f and motions r with

    g = g0 + K f + G r,    f >= 0,    g >= 0,    f g = 0,    G' f = -c

K (n, n) symmetric positive definite, G (n, m) the gap that a unit of each motion opens, c (m,) the loads
that work through the motions: the optimality system of a convex quadratic program, so the forces are unique.

Method: block principal pivoting (Judice & Pires, Comput. Oper. Res. 21, 1994, 587; the same step as the
primal-dual active set or semismooth Newton method of Hintermueller, Ito & Kunisch, SIAM J. Optim. 13, 2002,
865; both from memory, not verified), falling back to Murty's single pivots, which end for every positive
definite matrix, whenever blocks stop making progress.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.optimize import linprog

from sim.contact.errors import ContactNotConverged
from sim.contact.face import Flags, Floats, frozen_array

_PATIENCE = 5  # block steps without progress before single pivots
_SINGULAR = 1e-13  # reciprocal condition below which a motion counts as unheld by the closed cells
_ROUND_OFF = 1e-11  # share of the largest gap that counts as zero


@dataclass(frozen=True, slots=True, eq=False)
class Unilateral:
    """Solution of one unilateral problem.

    Attributes
    ----------
    force_n : (n,) cell forces, 0 or more.
    gap_mm : (n,) gaps, exactly 0 where the force acts.
    motion : (m,) rigid motions.
    iterations : pivoting steps.
    penetration_mm : most negative gap before it is cut to 0 (a residual), 0 or more.
    imbalance : largest |G' f + c| relative to the largest term of the balance.
    """

    force_n: Floats
    gap_mm: Floats
    motion: Floats
    iterations: int
    penetration_mm: float
    imbalance: float

    def __post_init__(self) -> None:
        for name in ("force_n", "gap_mm", "motion"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def _closed_solve(K: Floats, inverse: Floats | None, X: Floats, HX: Floats, closed: Flags) -> Floats:
    """Solve K_cc Y = X_c on the closed cells c.

    With the inverse H of all of K at hand and fewer cells open (o) than closed, Y = (H X)_c - H_co H_oo^-1 (H X)_o
    for X set to 0 on the open cells, which costs a factor of the open cells only. HX (n, k) is H X with X in full.
    """
    cells, open_cells = np.flatnonzero(closed), np.flatnonzero(~closed)
    if inverse is None or open_cells.size >= cells.size:
        factor = cho_factor(K[np.ix_(cells, cells)], lower=True, overwrite_a=True, check_finite=False)
        return np.asarray(cho_solve(factor, X[cells], check_finite=False))
    if not open_cells.size:
        return HX
    columns = inverse[:, open_cells]
    zeroed = HX - columns @ X[open_cells]
    factor = cho_factor(columns[open_cells], lower=True, check_finite=False)
    return np.asarray(
        zeroed[cells] - columns[cells] @ cho_solve(factor, zeroed[open_cells], check_finite=False)
    )


def _equilibrium(
    K: Floats, inverse: Floats | None, X: Floats, HX: Floats, c: Floats, closed: Flags
) -> tuple[Floats, Floats]:
    """Return forces (n,) and motions (m,) when exactly the `closed` cells touch, pull or push.

    X (n, m + 1) holds the motions' gaps G and the gap g0.
    """
    force = np.zeros(X.shape[0])
    cells = np.flatnonzero(closed)
    solved = _closed_solve(K, inverse, X, HX, closed)
    G, stiffness, rest = X[cells, :-1], solved[:, :-1], solved[:, -1]
    if not c.size:
        force[cells] = -rest
        return force, c
    schur = G.T @ stiffness
    # A motion that no closed cell resists (a jaw off the part) is held by a soft spring for this step only.
    scale = np.sqrt(np.maximum(np.diag(schur), 1e-300))
    relative = schur / np.outer(scale, scale)
    if np.linalg.eigvalsh(relative)[0] < _SINGULAR or scale.min() < 1e-9 * scale.max():
        schur = schur + 1e-9 * np.max(np.diag(schur)) * np.eye(c.size)
    motion = np.linalg.solve(schur, c - G.T @ rest)
    force[cells] = -rest - stiffness @ motion
    # One step of refinement keeps the balance at machine accuracy.
    miss = np.linalg.solve(schur, c + G.T @ force[cells])
    force[cells] -= stiffness @ miss
    return force, motion + miss


def _unheld(G: Floats, c: Floats) -> bool:
    """Tell whether no set of pushing forces can balance the loads at all (a linear program)."""
    found = linprog(np.zeros(G.shape[0]), A_eq=G.T, b_eq=-c, bounds=(0.0, None), method="highs")
    return not found.success


def _checked(K: Floats, g0: Floats, G: Floats, c: Floats) -> None:
    n, m = G.shape
    if K.shape != (n, n) or g0.shape != (n,) or c.shape != (m,):
        raise ValueError(
            f"K, g0, G, c must be (n, n), (n,), (n, m), (m,), not {K.shape}, {g0.shape}, {G.shape}, {c.shape}"
        )
    if not all(np.all(np.isfinite(a)) for a in (K, g0, G, c)):
        raise ContactNotConverged("The contact problem holds a value that is not finite.")


def solve_unilateral(
    K: Floats,
    g0: Floats,
    G: Floats,
    c: Floats,
    closed: Flags | None = None,
    max_iterations: int = 200,
    *,
    inverse: Floats | None = None,
) -> Unilateral:
    """Solve the unilateral contact problem of this module.

    Parameters
    ----------
    K : (n, n) compliance, mm/N, symmetric positive definite.
    g0 : (n,) gap before loading, mm.
    G : (n, m) gap opened by unit motions.
    c : (m,) loads working through the motions.
    closed : (n,) cells closed at the start (a neighbouring solution); all when None.
    max_iterations : steps before giving up.
    inverse : (n, n) inverse of K when it is known; makes each step at least twice, mostly many times, quicker.

    Returns
    -------
    Unilateral

    Raises
    ------
    ContactNotConverged
        When loads cannot be balanced by pushing forces, or the steps run out.
    """
    _checked(K, g0, G, c)
    size = np.maximum(np.max(np.abs(G), axis=0, initial=0.0), 1e-300)
    G, c = G / size, c / size
    now = np.ones(g0.size, dtype=bool) if closed is None else np.array(closed, dtype=bool)
    if not now.any():
        now[:] = True
    fewest, patience = g0.size + 1, _PATIENCE
    X = np.column_stack([G, g0])
    HX = X if inverse is None else inverse @ X
    for step in range(1, max_iterations + 1):
        try:
            force, motion = _equilibrium(K, inverse, X, HX, c, now)
        except LinAlgError as error:
            raise ContactNotConverged("The compliance of the contact is not positive definite.") from error
        yielded = K @ force
        gap = g0 + yielded + G @ motion
        gap[now] = 0.0
        slack = _ROUND_OFF * (np.max(np.abs(g0)) + np.max(np.abs(yielded)))
        wrong = (now & (force < 0.0)) | (~now & (gap < -slack))
        count = int(np.count_nonzero(wrong))
        if count == 0:
            return _accepted(force, gap, motion / size, step, G, c)
        if count < fewest:
            fewest, patience = count, _PATIENCE
        elif patience > 0:
            patience -= 1
        else:
            single = np.zeros_like(wrong)
            single[np.flatnonzero(wrong)[-1]] = True
            wrong = single
        now = now ^ wrong
        if not now.any():
            now[np.argmin(gap)] = True
    if _unheld(G, c):
        raise ContactNotConverged(
            "The part cannot be held: pushing jaws alone cannot balance the loads on it."
        )
    raise ContactNotConverged(
        f"The contact did not settle within {max_iterations} steps; {count} cells still change."
    )


def _accepted(force: Floats, gap: Floats, motion: Floats, step: int, G: Floats, c: Floats) -> Unilateral:
    if not c.size:
        return Unilateral(force, np.maximum(gap, 0.0), motion, step, max(0.0, -float(gap.min())), 0.0)
    balance = G.T @ force + c
    terms = np.maximum(np.abs(G).T @ force, np.abs(c))
    imbalance = float(np.max(np.abs(balance) / np.maximum(terms, np.max(terms) * 1e-3)))
    if not imbalance < 1e-8:
        raise ContactNotConverged(
            "The part cannot be held: the closed cells leave a motion of the part free "
            f"(forces out of balance by {imbalance:.1e} of the load)."
        )
    return Unilateral(force, np.maximum(gap, 0.0), motion, step, max(0.0, -float(gap.min())), imbalance)
