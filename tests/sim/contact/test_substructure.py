"""Condensation by nested dissection against the Schur complement of the whole matrix."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import solve_triangular

from sim.contact.substructure import condensed, dissection, forward


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
    kept=st.floats(0.05, 0.9),
    fixed=st.floats(0.0, 0.3),
)
def test_condensed_is_the_schur_complement_of_the_whole(shape, seed, kept, fixed):
    rng = np.random.default_rng(seed)
    nodes, places, stiffness = bricks(shape, rng)
    count = nodes.max() + 1
    stays, held = rng.random(count) < kept, rng.random(3 * count) < fixed
    dofs = dofs_of(nodes)
    S, left = condensed(dissection(nodes, places, stays), stiffness, dofs, held)
    whole = np.zeros((3 * count, 3 * count))
    for K, place in zip(stiffness, dofs, strict=True):
        whole[np.ix_(place, place)] += K
    expected = np.flatnonzero(np.repeat(stays, 3) & ~held)
    assert left.tolist() == expected.tolist()
    goes = np.flatnonzero(~np.repeat(stays, 3) & ~held)
    between = whole[np.ix_(goes, left)]
    schur = whole[np.ix_(left, left)] - between.T @ np.linalg.solve(whole[np.ix_(goes, goes)], between)
    assert pytest.approx(schur, abs=1e-9 * np.abs(whole).max()) == S


def test_every_element_is_in_one_piece_and_every_node_goes_once():
    nodes, places, _ = bricks((9, 7, 5), np.random.default_rng(1))
    stays = np.zeros(nodes.max() + 1, dtype=bool)
    stays[nodes[places[:, 0] == 0][:, :4]] = True
    elements, goes = [], []

    def walk(front):
        elements.extend(front.elements)
        goes.extend(front.goes)
        for half in front.halves:
            walk(half)

    walk(dissection(nodes, places, stays))
    assert sorted(elements) == list(range(len(nodes)))
    assert sorted(goes) == np.flatnonzero(~stays).tolist()


def test_a_body_that_is_not_held_is_refused():
    nodes, places, stiffness = bricks((2, 2, 2), np.random.default_rng(0))
    dofs, free = dofs_of(nodes), np.zeros(3 * (nodes.max() + 1), dtype=bool)
    none = np.zeros(nodes.max() + 1, dtype=bool)
    with pytest.raises(ValueError, match="not held"):
        condensed(dissection(nodes, places, none), np.zeros_like(stiffness), dofs, free)


@pytest.mark.parametrize("size", [1, 96, 97, 500])
def test_forward_is_the_triangular_solve(size):
    rng = np.random.default_rng(size)
    lower = np.tril(rng.normal(size=(size, size))) + size * np.eye(size)
    right = rng.normal(size=(size, 3))
    assert forward(lower, right) == pytest.approx(solve_triangular(lower, right, lower=True), rel=1e-10)
