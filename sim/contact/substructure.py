"""Static condensation of a body of finite elements to few of its nodes, by nested dissection.

The body is halved again and again; each half is condensed to the nodes that it shares with the rest, and the halves are
joined (A. George, Nested dissection of a regular finite element mesh, SIAM J. Numer. Anal. 10, 1973, 345; held to the
whole body's Schur complement in `tests/sim/contact/test_substructure.py`). All of the work is dense, in numpy's
routines that release the interpreter, so that bodies can be condensed side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.base.arrays import Flags, Floats, Ints

_FEW = 32  # elements that are condensed at once
_BLOCK = 96  # rows below which a triangle is inverted as it stands


@dataclass(frozen=True, slots=True, eq=False)
class Front:
    """One piece of the body: the nodes that go and those that stay.

    Attributes
    ----------
    goes, stays : array of int
        Numbers of nodes.
    elements : array of int
        Numbers of the elements of a piece that is not halved any more, else none.
    halves : tuple of Front
        The two pieces that it was halved into, else none.
    """

    goes: Ints
    stays: Ints
    elements: Ints
    halves: tuple[Front, ...]


def _cut(nodes: Ints, places: Ints, stays: Flags) -> tuple[Flags, Flags]:
    """Flag the elements (m,) of one half and the nodes that both halves share, for the cut that shares fewest."""
    fewest = None
    for place in places.T:
        steps = np.unique(place)
        if steps.size < 2:
            continue
        below = np.searchsorted(np.sort(place), steps[1:])
        one = place < steps[1 + np.abs(below - 0.5 * place.size).argmin()]
        shared = _used(nodes[one], stays.size) & _used(nodes[~one], stays.size)
        count = np.count_nonzero(shared & ~stays)
        if fewest is None or count < fewest[0]:
            fewest = count, one, shared
    if fewest is None:
        raise ValueError("elements must stand in different places to be told apart")
    return fewest[1], fewest[2]


def _used(nodes: Ints, count: int) -> Flags:
    used = np.zeros(count, dtype=bool)
    used[nodes.ravel()] = True
    return used


def dissection(nodes: Ints, places: Ints, stays: Flags) -> Front:
    """Halve a body down to pieces of few elements.

    Parameters
    ----------
    nodes : (m, k) array of int
        Numbers of the nodes of each element.
    places : (m, d) array of int
        Steps at which each element stands along d directions; cuts lie between steps.
    stays : (nodes,) array of bool
        Flags of the nodes to which the body is to be condensed.
    """

    def piece(elements: Ints, stays: Flags) -> Front:
        if elements.size <= _FEW:
            used = _used(nodes[elements], stays.size)
            return Front(np.flatnonzero(used & ~stays), np.flatnonzero(used & stays), elements, ())
        one, shared = _cut(nodes[elements], places[elements], stays)
        halves = piece(elements[one], stays | shared), piece(elements[~one], stays | shared)
        left = np.union1d(halves[0].stays, halves[1].stays)
        staying = stays[left]
        return Front(left[~staying], left[staying], elements[:0], halves)

    return piece(np.arange(len(nodes)), np.asarray(stays, dtype=np.bool_))


def forward(lower: Floats, right: Floats) -> Floats:
    """Solve lower x = right for a lower triangle (n, n) and right (n, m), by halves that are multiplied whole."""
    n = len(lower)
    if n <= _BLOCK:
        return np.asarray(np.linalg.inv(lower) @ right)
    h, out = n // 2, np.zeros(right.shape)
    out[:h] = forward(lower[:h, :h], right[:h])
    out[h:] = forward(lower[h:, h:], right[h:] - lower[h:, :h] @ out[:h])
    return out


def condensed(front: Front, stiffness: Floats, dofs: Ints, held: Flags) -> tuple[Floats, Ints]:
    """Condense a body to the nodes that stay.

    Parameters
    ----------
    front : Front
        From `dissection`; node i has the dofs 3 i, 3 i + 1 and 3 i + 2.
    stiffness, dofs : (m, k, k) and (m, k) arrays
        Of the elements.
    held : (ndof,) array of bool
        Flags of the dofs that do not move.

    Returns
    -------
    stiffness (n, n) and dofs (n,) of those that stay.

    Raises
    ------
    ValueError
        When the body is not held.
    """
    position = np.full(held.size, -1, dtype=np.int64)

    def free(nodes: Ints) -> Ints:
        of_nodes = (3 * nodes[:, None] + np.arange(3)).ravel()
        return np.asarray(of_nodes[~held[of_nodes]], dtype=np.int64)

    def piece(front: Front) -> tuple[Floats, Ints]:
        halves = [piece(half) for half in front.halves]
        goes, stays = free(front.goes), free(front.stays)
        e, n = goes.size, goes.size + stays.size
        position[goes], position[stays] = np.arange(e), np.arange(e, n)
        if halves:
            whole = np.zeros((n, n))
            for S, own in halves:
                _add(whole, S, position[own])
        else:
            own = dofs[front.elements]
            whole = _summed(stiffness[front.elements], np.where(held[own], n, position[own]), n)
        if e == 0:
            return whole, stays
        try:
            lower = np.asarray(np.linalg.cholesky(whole[:e, :e]), dtype=np.float64)
        except np.linalg.LinAlgError as error:
            raise ValueError("the body is not held: its elements do not hang together") from error
        half = forward(lower, whole[:e, e:])
        return whole[e:, e:] - half.T @ half, stays

    return piece(front)


def _summed(stiffness: Floats, place: Ints, count: int) -> Floats:
    """Sum element matrices (m, k, k) at their places (m, k), (count, count); those at `count` are left out."""
    wide = count + 1
    flat = (wide * place[:, :, None] + place[:, None, :]).ravel()
    summed = np.bincount(flat, stiffness.ravel(), minlength=wide * wide)
    return np.asarray(summed.reshape(wide, wide)[:count, :count])


def _add(whole: Floats, S: Floats, place: Ints) -> None:
    """Add S to the rows and columns `place` of a matrix, run by run: several times quicker than entry by entry."""
    edges = np.concatenate([[0], np.flatnonzero(np.diff(place) != 1) + 1, [place.size]])
    runs = [(int(a), int(b), int(place[a])) for a, b in pairwise(edges)]
    wide = np.zeros((len(S), len(whole)))
    for a, b, at in runs:
        wide[:, at : at + b - a] = S[:, a:b]
    for a, b, at in runs:
        whole[at : at + b - a] += wide[a:b]
