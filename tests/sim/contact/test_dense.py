"""Factors, triangular solutions and updates in place against numpy's own, on arrays and on windows of wider ones."""

import threading
import time

import numpy as np
import pytest
from scipy.linalg import LinAlgError

from sim.contact.dense import factored, less_product, less_square, solved_below


def window(values):
    """Values in the middle of a wider array, whose other entries nothing may touch."""
    wide = np.full((len(values) + 2, values.shape[1] + 3), 7.0)
    inside = wide[1:-1, 2:-1]
    inside[:] = values
    return wide, inside


def outside(wide):
    around = wide.copy()
    around[1:-1, 2:-1] = 7.0
    return np.all(around == 7.0)


def positive(rng, n):
    root = rng.normal(size=(n, n))
    return root @ root.T + n * np.eye(n)


@pytest.mark.parametrize("n", [1, 2, 63, 64, 65, 131, 300])
def test_factor_and_solution_are_those_of_numpy_and_touch_nothing_else(n):
    rng = np.random.default_rng(n)
    matrix, right = positive(rng, n), rng.normal(size=(n, 5))
    lower = np.linalg.cholesky(matrix)
    below = np.tril(rng.normal(size=(n, n)), -1)  # it does not count
    wide, own = window(np.triu(matrix) + below)
    factored(own)
    assert np.triu(own) == pytest.approx(lower.T, rel=1e-11, abs=1e-11)
    assert np.array_equal(np.tril(own, -1), below)
    assert outside(wide)
    wide_right, own_right = window(right)
    solved_below(own, own_right)
    assert own_right == pytest.approx(np.linalg.solve(lower, right), rel=1e-9, abs=1e-11)
    assert outside(wide)
    assert outside(wide_right)


@pytest.mark.parametrize(("k", "m", "n"), [(1, 1, 1), (4, 3, 7), (40, 70, 2)])
def test_products_are_taken_from_what_is_there(k, m, n):
    rng = np.random.default_rng(k)
    one, other, matrix, square = (rng.normal(size=shape) for shape in ((k, m), (k, n), (m, n), (m, m)))
    wide, own = window(matrix)
    less_product(own, window(one)[1], window(other)[1])
    assert own == pytest.approx(matrix - one.T @ other, rel=1e-12, abs=1e-13)
    assert outside(wide)
    wide, own = window(square)
    less_square(own, window(one)[1])
    assert np.triu(own) == pytest.approx(np.triu(square - one.T @ one), rel=1e-12, abs=1e-13)
    assert np.array_equal(np.tril(own, -1), np.tril(square, -1))
    assert outside(wide)


def test_nothing_is_done_with_nothing():
    matrix = np.ones((2, 2))
    factored(np.zeros((0, 0)))
    solved_below(np.zeros((0, 0)), np.zeros((0, 4)))
    solved_below(matrix, np.zeros((2, 0)))
    less_square(matrix, np.zeros((0, 2)))
    less_product(matrix, np.zeros((0, 2)), np.zeros((0, 2)))
    assert np.array_equal(matrix, np.ones((2, 2)))


def test_what_is_not_positive_definite_is_refused():
    with pytest.raises(LinAlgError, match="positive"):
        factored(np.array([[1.0, 2.0], [2.0, 1.0]]))


def test_arrays_that_do_not_fit_or_lie_otherwise_are_refused():
    matrix, rows = np.eye(3), np.ones((3, 2))
    with pytest.raises(ValueError, match="factor of 2 rows"):
        solved_below(matrix, np.ones((2, 2)))
    with pytest.raises(ValueError, match="square cannot"):
        less_square(matrix, rows)
    with pytest.raises(ValueError, match="product of"):
        less_product(matrix, rows, rows)
    fixed = np.eye(3)
    fixed.setflags(write=False)
    for wrong in (np.eye(3, dtype=np.float32), np.asfortranarray(np.arange(9.0).reshape(3, 3)), fixed):
        with pytest.raises(ValueError, match="rows of an array"):
            factored(wrong)
    with pytest.raises(ValueError, match="rows of an array"):
        solved_below(matrix, np.broadcast_to(np.ones(3), (3, 3)))


def test_other_work_goes_on_meanwhile():
    """Calls that hold the interpreter would let nothing be condensed beside them."""
    matrix, rows = np.zeros((1500, 1500)), np.ones((800, 1500))
    counted, over = [0], threading.Event()

    def count():
        while not over.is_set():
            counted[0] += 1
            time.sleep(1e-4)

    beside = threading.Thread(target=count)
    beside.start()
    during = []
    for _ in range(5):  # a busy machine may let neither run for a while
        before = counted[0]
        less_square(matrix, rows)
        during.append(counted[0] - before)
    over.set()
    beside.join()
    assert max(during) > 5
