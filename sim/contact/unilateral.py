"""Unilateral contact of elastic bodies with free rigid motions, as a linear complementarity problem.

Find cell forces f and motions r with

    g = g0 + K f + G r,    f >= 0,    g >= 0,    f g = 0,    G' f = -c

K (n, n) symmetric positive definite, G (n, m) the gap that a unit of each motion opens, c (m,) the loads
that work through the motions: the optimality system of a convex quadratic program, so the forces are unique.

Method: block principal pivoting (Judice & Pires, Comput. Oper. Res. 21, 1994, 587; the same step as the
primal-dual active set or semismooth Newton method of Hintermueller, Ito & Kunisch, SIAM J. Optim. 13, 2002,
865), falling back to Murty's single pivots, which end for every positive
definite matrix, whenever blocks stop making progress, and to an interior-point path when even that does not settle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.errors import ContactNotConverged
from sim.contact.face import frozen_array
from sim.contact.interior import interior

_STEPS = 200
_PATIENCE = 5  # block steps without progress before single pivots
_SINGULAR = 1e-13  # reciprocal condition below which a motion counts as unheld by the closed cells
_POLISH = 20  # pivots before and after an interior-point path
_ROUND_OFF = 1e-11  # share of the largest gap that counts as zero


@dataclass(frozen=True, slots=True, eq=False)
class Unilateral:
    """Solution of one unilateral problem.

    Attributes
    ----------
    force_n : (n,) array
        Cell forces, 0 or more.
    gap_mm : (n,) array
        Gaps, exactly 0 where the force acts.
    motion : (m,) array
        Rigid motions, mm or rad.
    iterations : int
        Pivoting steps.
    penetration_mm : float
        Most negative gap before it is cut to 0 (a residual), 0 or more.
    imbalance : float
        Largest |G' f + c| relative to the largest term of the balance.
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


class Bodies(Protocol):
    """Elastic bodies whose compliance between cells need not be put together."""

    def times(self, force: Floats) -> Floats:
        """Return the displacements (n,) of all cells under their forces, mm."""

    def held(self, displacement: Floats, closed: Flags) -> Floats:
        """Return the forces (c, k) that give the closed cells their displacements (n, k), the others none; N."""

    def whole(self) -> Floats:
        """Return the compliance (n, n), mm/N."""


def _closed_solve(K: Floats, inverse: Floats | None, X: Floats, HX: Floats, closed: Flags) -> Floats:
    """Solve K_cc Y = X_c on the closed cells c.

    With the inverse H of all of K at hand and fewer cells open (o) than closed, Y = (H X)_c - H_co H_oo^-1 (H X)_o
    for X set to 0 on the open cells, which costs a factor of the open cells only. HX (n, k) is H X with X in full.
    """
    cells, open_cells = np.flatnonzero(closed), np.flatnonzero(~closed)
    if inverse is None or open_cells.size >= cells.size:
        return np.asarray(cho_solve(_factor(K[cells], cells), X[cells], check_finite=False))
    if not open_cells.size:
        return HX
    rows = inverse[open_cells]  # symmetric, and its rows lie together
    zeroed = HX - rows.T @ X[open_cells]
    opened = cho_solve(_factor(rows, open_cells), zeroed[open_cells], check_finite=False)
    return np.asarray((zeroed - rows.T @ opened)[cells])


def _factor(rows: Floats, cells: Ints) -> tuple[Floats, bool]:
    """Return Cholesky's factor of some rows' own cells of a symmetric matrix, laid out as LAPACK works in place."""
    own = np.take(rows, cells, axis=1).T
    return cho_factor(own, lower=True, overwrite_a=True, check_finite=False)


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """One unilateral problem with motions in units of their own size.

    `times` and `whole` are those of the bodies; `held` gives the forces of the closed cells that X displaces; X
    (n, m + 1) holds the motions' gaps G and the gap g0.
    """

    times: Callable[[Floats], Floats]
    held: Callable[[Flags], Floats]
    whole: Callable[[], Floats]
    X: Floats
    c: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """State of the pivoting: forces, gaps, motions, closed cells, steps so far, whether nothing is left to change."""

    force: Floats
    gap: Floats
    motion: Floats
    closed: Flags
    count: int
    settled: bool


def _equilibrium(problem: _Problem, closed: Flags) -> tuple[Floats, Floats]:
    """Return forces (n,) and motions (m,) when exactly the `closed` cells touch, pull or push."""
    X, c = problem.X, problem.c
    force = np.zeros(X.shape[0])
    cells = np.flatnonzero(closed)
    solved = problem.held(closed)
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


def _pivoted(problem: _Problem, closed: Flags, limit: int) -> _Step:
    """Close and open cells, in blocks or one by one, until all agree or the steps run out."""
    now, fewest, patience = closed.copy(), closed.size + 1, _PATIENCE
    for step in range(1, limit + 1):
        if not now.any():
            now[:] = True
        force, motion = _equilibrium(problem, now)
        yielded, moved = problem.times(force), problem.X[:, :-1] @ motion
        gap = problem.X[:, -1] + yielded + moved
        gap[now] = 0.0
        slack = _ROUND_OFF * (np.max(np.abs(problem.X[:, -1])) + np.max(np.abs(yielded)))
        wrong = (now & (force < 0.0)) | (~now & (gap < -slack))
        count = int(np.count_nonzero(wrong))
        if count == 0:
            return _Step(force, gap, motion, now, step, settled=True)
        if count < fewest:
            fewest, patience = count, _PATIENCE
        elif patience > 0:
            patience -= 1
        else:
            single = np.zeros_like(wrong)
            single[np.flatnonzero(wrong)[-1]] = True
            wrong = single
        now = now ^ wrong
    return _Step(force, gap, motion, now, limit, settled=False)


def _from_inside(problem: _Problem, used: int) -> _Step | None:
    """Solve by an interior-point path and settle its closed cells by pivoting; None where the path fails.

    Where the closed cells leave a motion free within bounds no pivot settles: the path's own figures stand then.
    """
    found = interior(problem.whole(), problem.X[:, -1], problem.X[:, :-1], problem.c)
    if found is None:
        return None
    force, gap, motion = found
    settled = _pivoted(problem, force > 0.0, _POLISH)
    if settled.settled:
        return replace(settled, count=used + settled.count)
    return _Step(force, gap, motion, force > 0.0, used, settled=True)


def _unheld(G: Floats, c: Floats) -> bool:
    """Tell whether no set of pushing forces can balance the loads at all (a linear program)."""
    from scipy.optimize import linprog  # takes a fifth of all imports, and only what is not held asks

    found = linprog(np.zeros(G.shape[0]), A_eq=G.T, b_eq=-c, bounds=(0.0, None), method="highs")
    return not found.success


def _checked(n: int, g0: Floats, G: Floats, c: Floats, *others: Floats) -> None:
    """Refuse arrays that do not go with n cells, or that hold what is not finite."""
    m = G.shape[1]
    if g0.shape != (n,) or G.shape != (n, m) or c.shape != (m,):
        raise ValueError(
            f"g0, G, c must be ({n},), ({n}, m), (m,) beside K, not {g0.shape}, {G.shape}, {c.shape}"
        )
    if not all(np.all(np.isfinite(a)) for a in (g0, G, c, *others)):
        raise ContactNotConverged("The contact problem holds a value that is not finite.")


def solve_unilateral(
    K: Floats,
    g0: Floats,
    G: Floats,
    c: Floats,
    closed: Flags | None = None,
    max_iterations: int = _STEPS,
    *,
    inverse: Floats | None = None,
) -> Unilateral:
    """Solve the unilateral contact problem of this module.

    Parameters
    ----------
    K : (n, n) array
        Compliance, mm/N, symmetric positive definite.
    g0 : (n,) array
        Gap before loading, mm.
    G : (n, m) array
        Gap opened by unit motions.
    c : (m,) array
        Loads working through the motions.
    closed : (n,) array of bool or None
        Cells closed at the start (a neighbouring solution); all when None.
    max_iterations : int
        Steps before giving up; with no more than 20 only pivots are tried.
    inverse : (n, n) array or None
        Inverse of K when it is known; makes each step at least twice, mostly many times, quicker.

    Returns
    -------
    Unilateral

    Raises
    ------
    ContactNotConverged
        When loads cannot be balanced by pushing forces, or the steps run out.
    """
    if K.shape != (len(K), len(K)):
        raise ValueError(f"K must be (n, n), not {K.shape}")
    # Who has inverted K has seen that it is finite; looking again takes a fifth of a further solve.
    _checked(len(K), g0, G, c, *(() if inverse is not None else (K,)))
    size, X = _scaled(g0, G)
    HX = X if inverse is None else inverse @ X
    problem = _Problem(
        lambda force: np.asarray(K @ force),
        lambda cells: _closed_solve(K, inverse, X, HX, cells),
        lambda: K,
        X,
        c / size,
    )
    return _settled(problem, size, closed, max_iterations)


def solve_bodies(bodies: Bodies, g0: Floats, G: Floats, c: Floats, closed: Flags | None = None) -> Unilateral:
    """Solve the unilateral contact problem of bodies; see `solve_unilateral`.

    Raises
    ------
    ContactNotConverged
        When loads cannot be balanced by pushing forces, or the steps run out.
    """
    _checked(g0.size, g0, G, c)
    size, X = _scaled(g0, G)
    problem = _Problem(bodies.times, lambda cells: bodies.held(X, cells), bodies.whole, X, c / size)
    return _settled(problem, size, closed, _STEPS)


def _scaled(g0: Floats, G: Floats) -> tuple[Floats, Floats]:
    """Return the sizes of the motions, and X of a problem."""
    size = np.maximum(np.max(np.abs(G), axis=0, initial=0.0), 1e-300)
    return size, np.column_stack([G / size, g0])


def _settled(problem: _Problem, size: Floats, closed: Flags | None, max_iterations: int) -> Unilateral:
    start = np.ones(len(problem.X), dtype=bool) if closed is None else np.array(closed, dtype=bool)
    try:
        step: _Step | None = _pivoted(problem, start, min(max_iterations, _POLISH))
        if step is not None and not step.settled:
            # Asked before the path: where nothing holds the part it fails as well, after a hundred times as long.
            if _unheld(problem.X[:, :-1], problem.c):
                raise ContactNotConverged(
                    "The part cannot be held: pushing jaws alone cannot balance the loads on it."
                )
            if max_iterations > _POLISH:
                step = _from_inside(problem, step.count)
    except LinAlgError as error:
        raise ContactNotConverged("The compliance of the contact is not positive definite.") from error
    if step is not None and step.settled:
        return _accepted(problem, step, size)
    raise ContactNotConverged(f"The contact did not settle within {max_iterations} steps.")


def _accepted(problem: _Problem, step: _Step, size: Floats) -> Unilateral:
    gap, deepest = np.maximum(step.gap, 0.0), max(0.0, -float(step.gap.min()))
    if not problem.c.size:
        return Unilateral(step.force, gap, step.motion, step.count, deepest, 0.0)
    G = problem.X[:, :-1]
    balance = G.T @ step.force + problem.c
    terms = np.maximum(np.abs(G).T @ step.force, np.abs(problem.c))
    imbalance = float(np.max(np.abs(balance) / np.maximum(terms, np.max(terms) * 1e-3)))
    if not imbalance < 1e-8:
        raise ContactNotConverged(
            "The part cannot be held: the closed cells leave a motion of the part free "
            f"(forces out of balance by {imbalance:.1e} of the load)."
        )
    return Unilateral(step.force, gap, step.motion / size, step.count, deepest, imbalance)
