"""Screws and seats of many torques, frictions and moments are each of them, to the last bit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.base.tables import property_class, thread, tightening
from sim.mechanics.jaw_seat import joint, serrations, tipping_moment
from sim.mechanics.screws import allowed_torque, head_pressure, preload

M12 = thread("M12")
CLASS = property_class("10.9", 12.0)
WRENCH = tightening("torque wrench")
COUNT = 200


def test_screws() -> None:
    rng = np.random.default_rng(5)
    torque = rng.uniform(0.0, 200e3, COUNT)
    mu, head = rng.uniform(0.0, 0.3, (2, COUNT))
    many = preload(torque, M12, CLASS, 13.5, mu, head, WRENCH)
    limit = allowed_torque(M12, CLASS, 13.5, mu, head)
    pressed = head_pressure(many.largest, M12, 13.5)
    for k in range(COUNT):
        of = float(mu[k]), float(head[k])
        one = preload(float(torque[k]), M12, CLASS, 13.5, *of, WRENCH)
        assert (many.largest[k], many.least[k]) == (one.largest, one.least)
        assert (many.allowed[k], many.utilisation[k]) == (one.allowed, one.utilisation)
        assert limit[k] == allowed_torque(M12, CLASS, 13.5, *of)
        assert pressed[k] == head_pressure(one.largest, M12, 13.5)


@pytest.mark.parametrize("positions", [(40.0,), (30.0, 60.0), (20.0, 45.0, 70.0)])
def test_seats(positions: tuple[float, ...]) -> None:
    """Leaning out, in and not at all; no force on the teeth at all is borne infinitely often."""
    rng = np.random.default_rng(6)
    force, clamp = rng.uniform(-30e3, 30e3, COUNT), rng.uniform(0.0, 40e3, COUNT)
    force[:5] = 0.0
    moment = tipping_moment(force, 40.0, 0.1 * np.abs(force), 25.0)
    wedging = 0.4 * np.abs(force)
    many = joint(moment, [clamp] * len(positions), positions, 90.0, 30.0, (5.0, 0.0), wedging)
    teeth = serrations(force, many.clamping, 80.0, 25.0, 200.0, 0.12)
    for k in range(COUNT):
        one_moment = tipping_moment(float(force[k]), 40.0, 0.1 * abs(float(force[k])), 25.0)
        preloads, lift = [float(clamp[k])] * len(positions), float(wedging[k])
        one = joint(one_moment, preloads, positions, 90.0, 30.0, (5.0, 0.0), lift)
        assert (many.gaping_factor[k], many.lifting_factor[k]) == (one.gaping_factor, one.lifting_factor)
        tooth = serrations(float(force[k]), one.clamping, 80.0, 25.0, 200.0, 0.12)
        assert (teeth.shear_factor[k], teeth.climbing_factor[k]) == (
            tooth.shear_factor,
            tooth.climbing_factor,
        )
        assert (teeth.shear_stress[k], teeth.friction_share[k]) == (tooth.shear_stress, tooth.friction_share)
    assert (many.gaping_factor[:5] == math.inf).all()
    assert (teeth.climbing_factor[:5] == math.inf).all()


def test_one_bad_value_of_many_is_refused() -> None:
    mu = np.array([0.1, -0.1])
    with pytest.raises(ValueError, match="must be 0 or more"):
        preload(np.full(2, 1e4), M12, CLASS, 13.5, mu, np.abs(mu), WRENCH)
