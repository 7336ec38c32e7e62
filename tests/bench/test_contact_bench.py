"""Time of a contact: first solve of a new part and jaw, and further solves; a general-purpose peer in the same run.

The peer of the further solve is scipy's non-negative least squares on the same compliance (equilibrium by penalty);
the peer of the jaw is the same block in quadratic tetrahedra of scikit-fem, which lives with its accuracy check in
tests/reference/test_jaw_block.py.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import nnls

from sim.contact import GripLoad, prepare, press
from sim.contact.face import first_touch_offset, initial_gap
from sim.contact.jaw import jaw_compliance
from sim.contact.plain_case import STEEL, plain_setup
from sim.contact.solve import motions

PLACES = np.array([[40.0, 25.0]])
SIDE = GripLoad(60e3, side_load_n=(3000.0, 1000.0), moment_nmm=(2e4, 1e4))


@pytest.fixture(scope="module")
def setup():
    return plain_setup(0.02, 40.0, STEEL)


@pytest.fixture(scope="module")
def bodies(setup):
    return prepare(setup, PLACES)


def test_first_solve_of_a_new_part_and_jaw(benchmark, setup):
    """Aim: 3 s."""
    result = benchmark.pedantic(lambda: press(setup, None, prepare(setup, PLACES)), rounds=3)
    assert result.residuals.relative < 1e-8


def test_first_solve_from_the_cache(benchmark, setup, tmp_path):
    prepare(setup, PLACES, tmp_path)
    assert (
        benchmark.pedantic(
            lambda: press(setup, None, prepare(setup, PLACES, tmp_path)), rounds=5
        ).grip_n.sum()
        > 0.0
    )


def test_jaw_block_alone(benchmark, setup, bodies):
    K = benchmark.pedantic(lambda: jaw_compliance(setup.grip, bodies.grid, setup.jaw), rounds=3)
    assert K.shape == (bodies.grid.areas_mm2.size,) * 2


def test_further_solve_at_another_pressure(benchmark, setup, bodies):
    """Aim: 5 ms."""
    last = press(setup, None, bodies)
    other = replace(setup, load=GripLoad(66e3))
    assert benchmark(press, other, last, bodies).grip_n.sum() == pytest.approx(66e3)


def test_further_solve_at_another_fit(benchmark, setup, bodies):
    """Another part of the same kind, or another travel, is another gap: 0.03 mm smaller. Aim: 5 ms."""
    last = press(setup, None, bodies)
    other = replace(setup, grip=replace(setup.grip, bore_radius_mm=50.05))
    assert benchmark(press, other, last, bodies).grip_n.sum() == pytest.approx(60e3)


def test_further_solve_under_a_side_load(benchmark, setup, bodies):
    """All 720 cells. Aim: 5 ms."""
    loaded = replace(setup, load=SIDE, hold_square=False)
    last = press(loaded, None, bodies)
    other = replace(loaded, load=replace(SIDE, closing_force_n=66e3))
    assert benchmark(press, other, last, bodies).grip_n.sum() == pytest.approx(66e3)


def test_peer_non_negative_least_squares(benchmark, setup, bodies):
    loaded = replace(setup, load=SIDE, hold_square=False)
    gap = initial_gap(loaded.grip, bodies.grid, first_touch_offset(loaded.grip, bodies.grid)).ravel()
    G = motions(bodies.grid, loaded.grip.z_middle_mm)
    G = G / np.abs(G).max(axis=0)
    c = np.array([*SIDE.side_load_n, *np.array(SIDE.moment_nmm) / 15.0, SIDE.closing_force_n])
    root = np.linalg.cholesky(bodies.total_mm_n)
    a, b = np.vstack([root.T, 1e2 * G.T]), np.concatenate([-np.linalg.solve(root, gap), -1e2 * c])
    force = benchmark.pedantic(lambda: nnls(a, b, maxiter=5000)[0], rounds=1)
    ours = press(loaded, None, bodies)
    expected = (ours.pressure_mpa * bodies.grid.areas_mm2).ravel()
    assert force == pytest.approx(expected, abs=0.02 * expected.max())
