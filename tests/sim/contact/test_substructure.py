"""Compliance by nested dissection against the inverse of the whole matrix."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.contact import substructure
from sim.contact.substructure import compliances, dissection


def bricks(shape, rng):
    """Eight-node bricks on a grid with random positive matrices: nodes (m, 8), places (m, 3), stiffness (m, 24, 24)."""
    number = np.arange(np.prod(np.array(shape) + 1)).reshape(np.array(shape) + 1)
    places = np.stack(np.meshgrid(*map(np.arange, shape), indexing="ij"), axis=-1).reshape(-1, 3)
    corner = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), axis=-1).reshape(-1, 3)
    nodes = number[tuple(np.moveaxis(places[:, None] + corner, -1, 0))]
    root = rng.normal(size=(len(nodes), 24, 24))
    return nodes, places, root @ root.transpose(0, 2, 1)


def dofs_of(nodes):
    return (3 * nodes[:, :, None] + np.arange(3)).reshape(len(nodes), -1)


@settings(max_examples=20, deadline=None)
@given(
    shape=st.tuples(*[st.integers(1, 5)] * 3),
    seed=st.integers(0, 2**32 - 1),
    loaded=st.floats(0.0, 0.9),
    fixed=st.floats(0.0, 0.3),
    ways=st.integers(1, 3),
)
def test_compliance_is_that_of_the_whole_inverse_in_each_way_of_holding(shape, seed, loaded, fixed, ways):
    """The ways differ on one side of the body, so that some of its pieces are held alike and some are not."""
    rng = np.random.default_rng(seed)
    nodes, places, stiffness = bricks(shape, rng)
    count, dofs = nodes.max() + 1, dofs_of(nodes)
    loads = np.where(rng.random((3 * count, 1)) < loaded, rng.normal(size=(3 * count, 4)), 0.0)
    loads[:, 3] = 0.0  # nothing at all
    common, side = (
        rng.random(3 * count) < fixed,
        np.repeat(np.isin(np.arange(count), nodes[places[:, 1] == 0]), 3),
    )
    held = [np.where(side, rng.random(3 * count) < fixed, common) for _ in range(ways)]
    whole = np.zeros((3 * count, 3 * count))
    for K, place in zip(stiffness, dofs, strict=True):
        whole[np.ix_(place, place)] += K
    found = compliances(dissection(nodes, places), stiffness, dofs, held, loads)
    assert len(found) == ways
    for C, own in zip(found, held, strict=True):
        free = ~own
        expected = loads[free].T @ np.linalg.solve(whole[np.ix_(free, free)], loads[free])
        assert (
            pytest.approx(expected, rel=1e-8, abs=1e-9 * max(np.abs(expected).max(initial=0.0), 1e-300)) == C
        )


def test_pieces_that_are_held_alike_in_both_ways_are_condensed_once(monkeypatch):
    nodes, places, stiffness = bricks((9, 7, 5), np.random.default_rng(1))
    dofs, front, summed = dofs_of(nodes), dissection(nodes, places), substructure._summed
    held = np.zeros(3 * (nodes.max() + 1), dtype=bool)
    other, loads = held.copy(), np.eye(held.size)[:, :2]
    held[:3] = other[:6] = True
    pieces = []

    def counted(*of):
        pieces[-1] += 1
        return summed(*of)

    monkeypatch.setattr(substructure, "_summed", counted)
    for ways in ([held], [held, held], [held, other]):
        pieces.append(0)
        compliances(front, stiffness, dofs, ways, loads)
    assert pieces[0] == pieces[1]
    assert pieces[0] < pieces[2] < 1.5 * pieces[0]


def test_every_element_is_in_one_piece_and_every_node_goes_once():
    nodes, places, _ = bricks((9, 7, 5), np.random.default_rng(1))
    elements, goes = [], []

    def walk(front):
        elements.extend(front.elements)
        goes.extend(front.goes)
        for half in front.halves:
            walk(half)

    walk(dissection(nodes, places))
    assert sorted(elements) == list(range(len(nodes)))
    assert sorted(goes) == list(range(nodes.max() + 1))


def test_a_body_that_is_not_held_is_refused():
    nodes, places, stiffness = bricks((2, 2, 2), np.random.default_rng(0))
    dofs, free = dofs_of(nodes), np.zeros(3 * (nodes.max() + 1), dtype=bool)
    with pytest.raises(ValueError, match="not held"):
        compliances(dissection(nodes, places), np.zeros_like(stiffness), dofs, [free], np.eye(free.size))


def test_a_cut_goes_where_few_nodes_are_shared_for_the_sizes_of_the_halves():
    """A block of 6 x 4 x 4 bricks and a bar of 1 x 1 behind it, of 4 bricks, then of 60: 4 nodes lie between them."""
    nodes, places, _ = bricks((66, 4, 4), np.random.default_rng(1))
    stays = np.zeros(nodes.max() + 1, dtype=bool)
    thin = (places[:, 1] == 0) & (places[:, 2] == 0)
    for steps, half in ((10, 3), (66, 6)):  # a bar of 4 is too small a half: the block is cut in two
        body = ((places[:, 0] < 6) | thin) & (places[:, 0] < steps)
        one, shared = substructure._cut(nodes[body], places[body], stays)
        assert np.array_equal(one, places[body][:, 0] < half)
        halves = [set(nodes[body][flags].ravel()) for flags in (one, ~one)]
        assert set(np.flatnonzero(shared)) == halves[0] & halves[1]
    assert np.count_nonzero(shared) == 4
    layer = np.isin(np.arange(stays.size), nodes[places[:, 0] == 2][:, 4:])  # what stays anyway costs nothing
    body = places[:, 0] < 6
    one, _ = substructure._cut(nodes[body], places[body], layer)
    assert np.array_equal(one, places[body][:, 0] < 3)


def test_what_stays_of_a_half_begins_with_what_goes_of_the_whole():
    nodes, places, _ = bricks((9, 7, 5), np.random.default_rng(1))

    def walk(front):
        for half in front.halves:
            count = front.goes.size
            assert np.array_equal(half.stays[:count], front.goes)
            assert np.array_equal(half.stays[count:], front.stays[np.isin(front.stays, half.stays)])
            walk(half)

    walk(dissection(nodes, places))
