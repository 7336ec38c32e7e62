"""Compliance of a body of finite elements under few loads, by nested dissection.

The body is halved again and again; each half is condensed to the nodes that it shares with the rest, and the halves are
joined (A. George, Nested dissection of a regular finite element mesh, SIAM J. Numer. Anal. 10, 1973, 345; held to the
whole body's inverse in `tests/sim/contact/test_substructure.py`). Loads go with their nodes: what a node that goes
takes of them is summed into the compliance and the rest handed on, so that loaded nodes need not stay to the end. A
body that is held in two ways has pieces on which both are the same; these are condensed once. All of the work is
dense, in place and without holding the interpreter (`sim.contact.dense`), so that pieces are condensed side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.base.arrays import Flags, Floats, Ints
from sim.base.threads import each
from sim.contact.dense import factored, less_square, solved_below

_FEW = 32  # elements that are condensed at once
_RUN = 160  # rows at most that are added to others at once
_LEAST = 0.2  # share of the elements that the smaller half has, if any cut leaves it so many


@dataclass(frozen=True, slots=True, eq=False)
class Front:
    """One piece of the body: the nodes that go and those that stay.

    Attributes
    ----------
    goes, stays : array of int
        Numbers of nodes. What stays stands in the order of the whole that this piece is half of: first what goes there,
        then what stays there too; so halves are joined in few runs.
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
    """Flag the elements (m,) of one half and the nodes that both halves share, for the cut that shares fewest.

    Fewest for the sizes of what it leaves: the nodes shared that are not kept anyway, over the product of the numbers
    of elements (the ratio cut of Y. C. Wei and C. K. Cheng, IEEE ICCAD 1989, 298). A cut through the middle alone
    passed by where a body gets coarse, and cost a third more operations.
    """
    fewest = None
    for place in places.T:
        steps = np.unique(place)
        if steps.size < 2:
            continue
        order = np.argsort(place, kind="stable")
        sized = np.searchsorted(place[order], steps[1:])
        balanced = np.minimum(sized, place.size - sized) >= _LEAST * place.size
        balanced[np.abs(sized - 0.5 * place.size).argmin()] = True
        first, last = np.full(stays.size, place.size), np.full(stays.size, -1)
        at = np.searchsorted(steps, place)
        first[nodes[order[::-1]]], last[nodes[order]] = (
            at[order[::-1], None],
            at[order, None],
        )  # the last one counts
        # A node is shared by the cuts between the first and the last step at which it is found.
        between = (last > first) & ~stays
        begun = np.bincount(first[between], minlength=steps.size)
        ended = np.bincount(last[between], minlength=steps.size)
        shared = np.cumsum(begun - ended)[:-1]
        ratio = np.where(balanced, shared / (sized * (place.size - sized)), np.inf)
        cut = int(ratio.argmin())
        if fewest is None or ratio[cut] < fewest[0]:
            fewest = ratio[cut], at <= cut, (first <= cut) & (last > cut)
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

    whole = piece(np.arange(len(nodes)), np.zeros(int(nodes.max()) + 1, dtype=np.bool_))
    return _in_order(whole, whole.stays, _first_and_last(whole, int(nodes.max()) + 1))


def _first_and_last(front: Front, count: int) -> Ints:
    """Return the first and the last of the smallest pieces in which each node (2, count) is found."""
    found = np.stack([np.full(count, count), np.full(count, -1)])

    def walk(piece: Front, before: int) -> int:
        for half in piece.halves:
            before = walk(half, before)
        if piece.halves:
            return before
        own = np.concatenate([piece.goes, piece.stays])
        found[0, own], found[1, own] = np.minimum(found[0, own], before), before
        return before + 1

    walk(front, 0)
    return found


def _in_order(front: Front, stays: Ints, found: Ints) -> Front:
    """Return a piece whose nodes that stay stand as given, each of its halves by its own order."""
    first, last = found[:, front.goes]
    goes = front.goes[np.lexsort([last, first])]
    both = np.concatenate([goes, stays])
    halves = [_in_order(half, both[np.isin(both, half.stays)], found) for half in front.halves]
    return Front(goes, stays, front.elements, tuple(halves))


@dataclass(frozen=True, slots=True, eq=False)
class _Condensed:
    """A piece condensed to the nodes that it shares with the rest, with the loads on it.

    Attributes
    ----------
    stiffness : (n, n) array
        Of what stays; its upper triangle counts.
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
    """Elements, loads (ndof, k), the dofs that have any and those that do not move (ndof,), held in one way."""

    stiffness: Floats
    dofs: Ints
    loads: Floats
    loaded: Flags
    held: Flags

    def condensed(self, front: Front, known: dict[int, _Condensed]) -> _Condensed:
        """Condense a piece; parts of it that are known are not condensed again."""
        if id(front) in known:
            return known[id(front)]
        halves = [self.condensed(half, known) for half in front.halves]
        goes, stays = self._free(front.goes), self._free(front.stays)
        e = goes.size
        position = np.full(self.held.size, e + stays.size, dtype=np.int64)
        position[goes], position[stays] = np.arange(e), np.arange(e, e + stays.size)
        own = (
            _joined(halves, position, e, stays.size)
            if halves
            else self._summed(front, position, e, stays.size)
        )
        loads, right, compliance = self._loaded(goes, e + stays.size, position, halves)
        if e == 0:
            return _Condensed(own.staying, stays, right, loads, compliance)
        try:
            factored(own.going)
        except np.linalg.LinAlgError as error:
            raise ValueError("the body is not held: its elements do not hang together") from error
        across, left = own.between, own.staying
        solved_below(own.going, across)
        less_square(left, across)  # in place, as all of it: these are the largest arrays
        if loads.size:
            taken = right[:e]
            solved_below(own.going, taken)
            return _Condensed(left, stays, right[e:] - across.T @ taken, loads, compliance + taken.T @ taken)
        return _Condensed(left, stays, right[e:], loads, compliance)

    def _free(self, nodes: Ints) -> Ints:
        of_nodes = (3 * nodes[:, None] + np.arange(3)).ravel()
        return np.asarray(of_nodes[~self.held[of_nodes]], dtype=np.int64)

    def _summed(self, front: Front, position: Ints, e: int, s: int) -> _Joined:
        """Sum the elements of a piece that is not halved."""
        own = self.dofs[front.elements]
        whole = _summed(self.stiffness[front.elements], np.where(self.held[own], e + s, position[own]), e + s)
        return _Joined(whole[:e, :e], whole[:e, e:], whole[e:, e:])

    def _loaded(
        self, goes: Ints, n: int, position: Ints, halves: list[_Condensed]
    ) -> tuple[Ints, Floats, Floats]:
        """Numbers of the loads on a piece, their forces on its nodes, (n, r), and its halves' compliance, (r, r)."""
        at = np.flatnonzero(self.loaded[goes])
        own = self.loads[goes[at]]
        loads = np.flatnonzero(own.any(axis=0))
        for half in halves:
            loads = np.union1d(loads, half.loads)
        right, compliance = np.zeros((n, loads.size)), np.zeros((loads.size, loads.size))
        right[at] = own[:, loads]
        for half in halves:
            at = np.searchsorted(loads, half.loads)
            right[np.ix_(position[half.stays], at)] += half.right
            compliance[np.ix_(at, at)] += half.compliance
        return loads, right, compliance


@dataclass(frozen=True, slots=True, eq=False)
class _Joined:
    """Stiffness of a piece before its nodes go: of e that go, between them and s that stay, and of these.

    Attributes
    ----------
    going : (e, e) array
    between : (e, s) array
    staying : (s, s) array
        Of both squares the upper triangle counts.
    """

    going: Floats
    between: Floats
    staying: Floats


def _joined(halves: list[_Condensed], position: Ints, e: int, s: int) -> _Joined:
    """Join two halves: what goes is all of each half's beginning, what stays lies in it in runs of the same order."""
    going = halves[0].stiffness[:e, :e] + halves[1].stiffness[:e, :e]
    between, staying = np.zeros((e, s)), np.zeros((s, s))
    for half in halves:
        S, place = half.stiffness, position[half.stays[e:]] - e
        ends = (np.flatnonzero(np.diff(place) != 1) + 1).tolist()
        # In short runs little of the lower triangle, which nobody asks, is touched.
        edges = sorted({0, place.size, *ends, *range(0, place.size, _RUN)})
        runs = [
            (slice(e + a, e + b), slice(int(place[a]), int(place[a]) + b - a))
            for a, b in pairwise(edges)
            if a < b
        ]
        for number, (own, at) in enumerate(runs):
            between[:, at] += S[:e, own]
            for own_behind, behind in runs[number:]:
                staying[at, behind] += S[own, own_behind]
    return _Joined(going, between, staying)


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
    loaded = np.asarray(loads.any(axis=1), dtype=np.bool_)
    bodies = [_Body(stiffness, dofs, loads, loaded, one) for one in held]
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
