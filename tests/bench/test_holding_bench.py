"""Time of a holding factor; the peer in the same run is scipy's sequential quadratic programming on true cones.

The peer takes the supports of the package (what presses where) but no pyramid and no linear program, and one spindle
angle; it also says how much the pyramid costs.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from sim.base.kept import forget
from sim.contact.face import FaceGrid
from sim.holding import PYRAMID_ERROR, SIDES, BackFace, evenly_pressed, holding, limits_at
from sim.holding.supports import shifting

MU, GRIP, RADIUS = 0.1, 40e3, 60.0
FACES = evenly_pressed(FaceGrid(np.linspace(-0.4, 0.4, 29), np.linspace(30.0, 54.0, 11), RADIUS))
FORCE = np.array([-500.0, -1000.0, 400.0])
CUT = np.concatenate([FORCE, np.cross([50.0, 0.0, 60.0], FORCE)])


def anew(function, *asked):
    """Work an answer out that is not known yet."""
    forget()
    return function(*asked)


def test_one_revolution_of_equal_jaws(benchmark):
    """Aim: 40 ms, so that two cuts stay under a tenth of a second."""
    found = benchmark(anew, holding, FACES, GRIP, MU, CUT, None, BackFace(52.0, 30.0, 0.3))
    assert found.factors.size == 24


def test_one_spindle_angle(benchmark):
    assert benchmark(anew, limits_at, FACES, GRIP, MU, CUT, np.zeros(1))[0].factor > 0.0


def test_one_spindle_angle_by_the_peer(benchmark):
    jaws = shifting(FACES, MU, tilts=True)
    unit = np.array([1.0, 1.0, 1.0, *([1.0 / RADIUS] * 3)])
    count = len(jaws.capacity)
    rub = jaws.rubbing.reshape(6, count, SIDES)
    linear = np.hstack([jaws.wrench, rub[:, :, 0], rub[:, :, SIDES // 4]]) * unit[:, None]
    load = CUT * unit / GRIP
    size = np.linalg.norm(load)
    balance = np.vstack(
        [np.hstack([load[:, None] / size, linear]), np.concatenate([[0.0], jaws.grip, np.zeros(2 * count)])]
    )
    right = np.array([0.0] * 6 + [1.0])
    ends = np.hstack([np.zeros((len(jaws.least), 1)), jaws.least, np.zeros((len(jaws.least), 2 * count))])

    def spare(x):
        """Capacity squared less friction squared, and pressure at the ends."""
        friction = x[6:].reshape(2, count)
        return np.concatenate([(jaws.capacity @ x[1:6]) ** 2 - np.sum(friction**2, axis=0), ends @ x])

    def slope(x):
        around, along = x[6:].reshape(2, count)
        cones = np.zeros((count, x.size))
        cones[:, 1:6] = 2.0 * (jaws.capacity @ x[1:6])[:, None] * jaws.capacity
        cones[:, 6:] = -2.0 * np.hstack([np.diag(around), np.diag(along)])
        return np.vstack([cones, ends])

    def solve():
        begin = np.zeros(6 + 2 * count)
        begin[1] = 1.0
        return minimize(
            lambda x: -x[0],
            begin,
            jac=lambda x: -np.eye(1, x.size)[0],
            method="SLSQP",
            constraints=[
                {"type": "eq", "fun": lambda x: balance @ x - right, "jac": lambda _: balance},
                {"type": "ineq", "fun": spare, "jac": slope},
            ],
            options={"maxiter": 300, "ftol": 1e-9},
        )

    found = benchmark.pedantic(solve, rounds=3)
    assert np.abs(balance @ found.x - right).max() < 1e-6
    cones = found.x[0] / size
    pyramids = limits_at(FACES, GRIP, MU, CUT, np.zeros(1))[0].factor
    benchmark.extra_info["pyramids over cones"] = round(pyramids / cones, 4)
    assert pyramids == pytest.approx(cones, rel=PYRAMID_ERROR)
