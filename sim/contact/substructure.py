"""Compliance of a body of finite elements under few loads, by nested dissection.

The body is halved again and again; each half is condensed to the nodes that it shares with the rest, and the halves are
joined (A. George, Nested dissection of a regular finite element mesh, SIAM J. Numer. Anal. 10, 1973, 345; held to the
whole body's inverse in `tests/sim/contact/test_substructure.py`). Loads go with their nodes: what a node that goes
takes of them is summed into the compliance and the rest handed on, so that loaded nodes need not stay to the end. A
body that is held in two ways has pieces on which both are the same; these are condensed once. All of the work is
dense, in numpy's routines that release the interpreter, so that pieces can be condensed side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.base.arrays import Flags, Floats, Ints
from sim.base.threads import each

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


def dissection(nodes: Ints, places: Ints) -> Front:
    """Halve a body down to pieces of few elements; of the whole no node stays.

    Parameters
    ----------
    nodes : (m, k) array of int
        Numbers of the nodes of each element.
    places : (m, d) array of int
        Steps at which each element stands along d directions; cuts lie between steps.
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

    return piece(np.arange(len(nodes)), np.zeros(int(nodes.max()) + 1, dtype=np.bool_))


def forward(lower: Floats, right: Floats) -> Floats:
    """Solve lower x = right for a lower triangle (n, n) and right (n, m), by halves that are multiplied whole."""
    n = len(lower)
    if n <= _BLOCK:
        return np.asarray(np.linalg.inv(lower) @ right)
    h, out = n // 2, np.zeros(right.shape)
    out[:h] = forward(lower[:h, :h], right[:h])
    out[h:] = forward(lower[h:, h:], right[h:] - lower[h:, :h] @ out[:h])
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Condensed:
    """A piece condensed to the nodes that it shares with the rest, with the loads on it.

    Attributes
    ----------
    stiffness : (n, n) array
        Of what stays.
    stays : (n,) array of int
        Its dofs.
    right : (n, r) array
        What is handed on of the loads.
    loads : (r,) array of int
        Their numbers.
    compliance : (r, r) array
        Of what has gone, under them.
    """

    stiffness: Floats
    stays: Ints
    right: Floats
    loads: Ints
    compliance: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """Elements, loads (ndof, k) and the dofs that do not move (ndof,) of a body in one way of holding it."""

    stiffness: Floats
    dofs: Ints
    loads: Floats
    held: Flags

    def condensed(self, front: Front, known: dict[int, _Condensed]) -> _Condensed:
        """Condense a piece; parts of it that are known are not condensed again."""
        if id(front) in known:
            return known[id(front)]
        halves = [self.condensed(half, known) for half in front.halves]
        goes, stays = self._free(front.goes), self._free(front.stays)
        e, n = goes.size, goes.size + stays.size
        position = np.full(self.held.size, n, dtype=np.int64)
        position[goes], position[stays] = np.arange(e), np.arange(e, n)
        if halves:
            whole = np.zeros((n, n))
            for half in halves:
                _add(whole, half.stiffness, position[half.stays])
        else:
            own = self.dofs[front.elements]
            whole = _summed(self.stiffness[front.elements], np.where(self.held[own], n, position[own]), n)
        loads, right, compliance = self._loaded(goes, n, position, halves)
        if e == 0:
            return _Condensed(whole, stays, right, loads, compliance)
        try:
            lower = np.asarray(np.linalg.cholesky(whole[:e, :e]), dtype=np.float64)
        except np.linalg.LinAlgError as error:
            raise ValueError("the body is not held: its elements do not hang together") from error
        across = forward(lower, whole[:e, e:])
        left = across.T @ across
        np.subtract(whole[e:, e:], left, out=left)  # in place: these are the largest arrays
        if loads.size:
            taken = forward(lower, right[:e])
            return _Condensed(left, stays, right[e:] - across.T @ taken, loads, compliance + taken.T @ taken)
        return _Condensed(left, stays, right[e:], loads, compliance)

    def _free(self, nodes: Ints) -> Ints:
        of_nodes = (3 * nodes[:, None] + np.arange(3)).ravel()
        return np.asarray(of_nodes[~self.held[of_nodes]], dtype=np.int64)

    def _loaded(
        self, goes: Ints, n: int, position: Ints, halves: list[_Condensed]
    ) -> tuple[Ints, Floats, Floats]:
        """Numbers of the loads on a piece, their forces on its nodes, (n, r), and its halves' compliance, (r, r)."""
        own = self.loads[goes]
        loads = np.flatnonzero(own.any(axis=0))
        for half in halves:
            loads = np.union1d(loads, half.loads)
        right, compliance = np.zeros((n, loads.size)), np.zeros((loads.size, loads.size))
        right[: goes.size] = own[:, loads]
        for half in halves:
            at = np.searchsorted(loads, half.loads)
            right[np.ix_(position[half.stays], at)] += half.right
            compliance[np.ix_(at, at)] += half.compliance
        return loads, right, compliance


def compliances(
    front: Front, stiffness: Floats, dofs: Ints, held: Sequence[Flags], loads: Floats
) -> list[Floats]:
    """Return the compliance (k, k) of a body between its loads in each of some ways of holding it.

    Parameters
    ----------
    front : Front
        From `dissection`; node i has the dofs 3 i, 3 i + 1 and 3 i + 2.
    stiffness, dofs : (m, q, q) and (m, q) arrays
        Of the elements.
    held : sequence of (ndof,) arrays of bool
        Flags of the dofs that do not move, each way.
    loads : (ndof, k) array
        Nodal forces of unit loads.

    Raises
    ------
    ValueError
        When the body is not held.
    """
    bodies = [_Body(stiffness, dofs, loads, one) for one in held]
    differs = np.full(held[0].size, len(held) == 1)  # one way alone has nothing to share
    for one in held[1:]:
        differs |= one != held[0]
    alike = _alike(front, np.asarray(differs.reshape(-1, 3).any(axis=1), dtype=np.bool_))
    found = each(lambda piece: bodies[0].condensed(piece, {}), alike)
    known = {id(piece): one for piece, one in zip(alike, found, strict=True)}

    def under(body: _Body) -> Floats:
        whole = body.condensed(front, known)
        out = np.zeros((loads.shape[1], loads.shape[1]))
        out[np.ix_(whole.loads, whole.loads)] = whole.compliance
        return out

    return each(under, bodies)


def _alike(front: Front, differs: Flags) -> list[Front]:
    """Return the largest pieces without a node that is held otherwise in one way than in another."""
    if not front.halves:
        return [] if differs[front.goes].any() or differs[front.stays].any() else [front]
    halves = [_alike(half, differs) for half in front.halves]
    if all(len(own) == 1 and own[0] is half for own, half in zip(halves, front.halves, strict=True)):
        return [front]
    return [piece for own in halves for piece in own]


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
