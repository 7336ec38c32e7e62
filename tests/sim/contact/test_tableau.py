"""Cells exchanged a few at a time are those solved at once: numpy's solver is the oracle."""

import numpy as np
import pytest

from sim.contact.tableau import Tableau


def effects_of(n, seed):
    """Return effects M (n, n) as a pivot has them: forces on gaps and gaps on forces of opposite signs."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(n, n))
    spd, side = a @ a.T / n + np.eye(n), np.where(rng.random(n) < 0.5, 1.0, -1.0)
    return np.where(side[:, None] != side, spd * side[:, None], spd), rng


def solved(M, v, k):
    """Return what the cells k take, and what is left at all cells."""
    w = np.zeros(len(v))
    w[k] = -np.linalg.solve(M[np.ix_(k, k)], v[k])
    return w, v + M @ w


@pytest.mark.parametrize("seed", range(3))
def test_cells_that_join_change_and_go_are_as_if_solved_at_once(seed):
    M, rng = effects_of(70, seed)
    table = Tableau(lambda cells: M.T[cells], 70)
    most = 0
    for _ in range(40):
        table.join(rng.choice(70, 6, replace=False))
        table.exchange(rng.random(table.cells.size) < rng.choice([0.05, 0.3]))
        v = rng.normal(size=70)
        w, now = solved(M, v, table.cells[table.changed])
        answer = table.answered(v[table.cells])
        assert answer == pytest.approx(np.where(table.changed, w[table.cells], now[table.cells]), abs=1e-12)
        assert v + table.everywhere(np.where(table.changed, answer, 0.0)) == pytest.approx(now, abs=1e-12)
        most = max(most, table.cells.size)
    assert most > 60


def test_trimming_lets_go_what_has_not_changed_and_is_not_asked_for():
    M, rng = effects_of(120, 7)
    table = Tableau(lambda cells: M.T[cells], 120)
    table.join(np.arange(10, 110))
    table.exchange(table.marked(np.arange(20, 30)))
    before = table.cells.copy()
    table.trim(np.arange(100))  # most are asked for: nothing goes
    assert np.array_equal(table.cells, before)
    table.trim(np.arange(30, 50))  # less than a few more than twice what is needed: nothing goes
    assert np.array_equal(table.cells, before)
    table.trim(np.array([15, 3]))
    assert set(table.cells) == {15, *range(20, 30)}
    assert set(table.cells[table.changed]) == set(range(20, 30))
    table.join(np.array([3, 15, 60]))
    assert set(table.cells) == {3, 15, 60, *range(20, 30)}  # what had gone comes back
    v = rng.normal(size=120)
    w, now = solved(M, v, np.arange(20, 30))
    expected = np.where(table.changed, w[table.cells], now[table.cells])
    assert table.answered(v[table.cells]) == pytest.approx(expected, abs=1e-12)


def test_a_load_settles_from_any_cells_on_the_same():
    """Against all sets of six cells: only one has neither a force nor a gap below 0."""
    M, rng = effects_of(6, 11)
    for _ in range(20):
        v = rng.normal(size=6)
        right = []
        for number in range(64):
            changed = np.array([bool(number >> bit & 1) for bit in range(6)])
            w, now = solved(M, v, np.flatnonzero(changed))
            if np.where(changed, w, now).min() >= 0.0:
                right.append(changed)
        assert len(right) == 1
        table = Tableau(lambda cells: M.T[cells], 6)
        table.join(np.arange(6))
        rounds, _ = table.settle(v, np.zeros(6), np.zeros(6), rng.random(6) < 0.5)
        if rounds:
            assert np.array_equal(table.changed, right[0])
        again, own = table.settle(v, np.zeros(6), np.zeros(6), right[0])
        assert again == 1
        assert own.min() >= 0.0


def test_a_load_that_never_settles_is_told():
    """Pushing makes its own gap smaller: no state is right."""
    table = Tableau(lambda cells: -np.eye(1)[cells], 1)
    table.join(np.array([0]))
    assert table.settle(np.array([-1.0]), np.zeros(1), np.zeros(1), np.zeros(1, dtype=bool))[0] == 0
