import numpy as np
import pytest
from scipy.optimize import lsq_linear

from sim.contact.errors import ContactNotConverged
from sim.contact.unilateral import solve_unilateral


def bodies(n, seed):
    """Return a random positive definite compliance and a rough gap."""
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(n, n))
    return a @ a.T / n + 0.05 * np.eye(n), rng.uniform(0.0, 2.0, n), rng


@pytest.mark.parametrize("seed", range(6))
def test_same_forces_as_a_general_least_squares_solver(seed):
    """Oracle: scipy's bounded least squares on the Cholesky form of the program, equality by penalty."""
    K, g0, rng = bodies(25, seed)
    G = np.column_stack([-np.ones(25), rng.normal(size=25)])
    c = np.array([40.0, 0.5])
    found = solve_unilateral(K, g0, G, c)
    L = np.linalg.cholesky(K)
    weight = 1e5
    a = np.vstack([L.T, weight * G.T])
    b = np.concatenate([-np.linalg.solve(L, g0), -weight * c])
    oracle = lsq_linear(a, b, bounds=(0.0, np.inf), method="bvls", tol=1e-14, max_iter=2000).x
    assert found.force_n == pytest.approx(oracle, abs=1e-4 * oracle.max())
    assert found.force_n.min() >= 0.0
    assert found.gap_mm.min() >= 0.0
    assert found.force_n @ found.gap_mm == 0.0
    assert G.T @ found.force_n == pytest.approx(-c, rel=1e-10)


def test_a_start_from_elsewhere_gives_the_same_answer():
    K, g0, _ = bodies(40, 7)
    G, c = -np.ones((40, 1)), np.array([10.0])
    cold = solve_unilateral(K, g0, G, c)
    for seed in range(5):
        start = np.random.default_rng(seed).random(40) < 0.3
        assert solve_unilateral(K, g0, G, c, start).force_n == pytest.approx(cold.force_n, abs=1e-10)


def test_single_pivots_still_end(monkeypatch):
    monkeypatch.setattr("sim.contact.unilateral._PATIENCE", 0)
    K, g0, _ = bodies(20, 3)
    G, c = -np.ones((20, 1)), np.array([10.0])
    assert solve_unilateral(K, g0, G, c).force_n.sum() == pytest.approx(10.0)


def test_pulling_loads_cannot_be_held():
    K, g0, _ = bodies(10, 1)
    with pytest.raises(ContactNotConverged, match="cannot be held"):
        solve_unilateral(K, g0, -np.ones((10, 1)), np.array([-10.0]))


def test_running_out_of_steps_is_an_error_not_a_figure():
    K, g0, _ = bodies(30, 2)
    with pytest.raises(ContactNotConverged, match="1 steps"):
        solve_unilateral(K, 10.0 * g0, -np.ones((30, 1)), np.array([1.0]), max_iterations=1)


def test_what_is_not_finite_or_not_positive_is_an_error():
    K, g0, _ = bodies(5, 1)
    G, c = -np.ones((5, 1)), np.array([1.0])
    with pytest.raises(ContactNotConverged, match="finite"):
        solve_unilateral(K, np.full(5, np.nan), G, c)
    with pytest.raises(ContactNotConverged, match="positive definite"):
        solve_unilateral(-K, g0, G, c)
    with pytest.raises(ValueError, match="must be"):
        solve_unilateral(K, g0[:3], G, c)
