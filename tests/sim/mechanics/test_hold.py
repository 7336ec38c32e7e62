"""Needed grip against free bodies worked out by hand and against a linear program over line jaws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from sim.mechanics.hold import (
    axial_factor,
    held_share,
    holding_factor,
    needed_grip,
    overhang_lever,
    torque_factor,
)


def test_pure_torque_and_pure_axial_force_by_hand() -> None:
    """30 kN at mu 0.1 is 3 kN of friction: 150 N m at a radius of 50 mm."""
    assert torque_factor(30e3, 0.1, 50.0, 75e3) == pytest.approx(2.0)
    assert axial_factor(30e3, 0.1, -1000.0) == pytest.approx(3.0)
    assert torque_factor(30e3, 0.1, 50.0, 0.0) == math.inf


def test_combined_is_three_four_five() -> None:
    needed = needed_grip(300.0, 200.0, 0.0, 50.0, 100.0, 0.1, 0.0, 20.0)
    assert (needed.torque_term, needed.axial_term) == pytest.approx((1500.0, 2000.0))
    assert needed.combined == pytest.approx(2500.0)


def test_needed_grip_just_holds_the_cut_it_was_made_for() -> None:
    """Torque and axial force as friction at the gripped radius use up exactly mu F."""
    needed = needed_grip(2000.0, 700.0, 400.0, 80.0, 120.0, 0.14, 0.0, 30.0)
    friction = math.hypot(2000.0 * 40.0 / 60.0, 700.0)
    assert friction == pytest.approx(0.14 * needed.combined, rel=1e-12)


def test_feed_on_the_back_face_needs_no_friction() -> None:
    pulled = needed_grip(300.0, 200.0, 0.0, 50.0, 100.0, 0.1, 0.0, 20.0)
    pushed = needed_grip(300.0, 200.0, 0.0, 50.0, 100.0, 0.1, 0.0, 20.0, feed_on_back_face=True)
    assert pushed.axial_term == 0.0
    assert pushed.combined == pytest.approx(1500.0)
    assert pushed.overhang == pulled.overhang


def test_overhang_by_hand() -> None:
    """Fc 800, Fp 400 and Ff 500 N at l = 100 mm and d_cut = 80 mm: M = hypot(80, 60) N m = 100 N m."""
    needed = needed_grip(800.0, 500.0, 400.0, 80.0, 100.0, 0.12, 100.0, 36.0)
    assert needed.overhang == pytest.approx(100e3 / (3.0 + 3.0))
    assert needed.governing == "overhang"
    assert needed.total == needed.overhang
    assert needed.superposed == pytest.approx(needed.overhang + needed.combined)
    assert holding_factor(50e3, needed) == pytest.approx(3.0)


@pytest.mark.parametrize("direction", np.linspace(0.0, math.pi, 13).tolist())
def test_lever_is_never_more_than_what_three_line_jaws_can_resist(direction: float) -> None:
    """A linear program may choose pressure and axial friction freely, so it can only resist more.

    At most three times: the end of a jaw (l/2) instead of the kern (l/6).
    """
    mu, diameter, length, nodes = 0.15, 90.0, 40.0, 21
    z = np.tile(np.linspace(-0.5, 0.5, nodes) * length, 3)
    theta = np.repeat(2.0 * math.pi / 3.0 * np.arange(3), nodes)
    lean, cross = np.cos(theta - direction), np.sin(theta - direction)
    n = 3 * nodes
    jaw = np.repeat(np.eye(3), nodes, axis=1)
    arm = np.concatenate([z * lean, 0.5 * diameter * lean])
    off = np.concatenate([z * cross, 0.5 * diameter * cross])
    equal = np.vstack([np.hstack([jaw, np.zeros((3, n))]), off, np.concatenate([np.zeros(n), np.ones(n)])])
    slip = np.hstack([-mu * np.eye(n), np.eye(n)])
    slip = np.vstack([slip, np.hstack([-mu * np.eye(n), -np.eye(n)])])
    solved = linprog(
        -arm,
        A_ub=slip,
        b_ub=np.zeros(2 * n),
        A_eq=equal,
        b_eq=[1 / 3, 1 / 3, 1 / 3, 0.0, 0.0],
        bounds=[(0.0, None)] * n + [(None, None)] * n,
    )
    assert solved.success
    ratio = -solved.fun / overhang_lever(mu, diameter, length)
    assert 1.0 - 1e-9 <= ratio <= 3.0


def test_lever_is_what_cosine_states_resist() -> None:
    """The state that the docstring describes, summed over the jaws: friction mu p cos, kern shift l/6 cos."""
    mu, diameter, length = 0.2, 80.0, 30.0
    z = (np.arange(20000) + 0.5) / 20000 * length - 0.5 * length
    total = 0.0
    for theta in np.arange(3) * 2.0 * math.pi / 3.0 + 0.4:
        pressure = (1.0 + math.cos(theta) * 2.0 * z / length) / z.size / 3.0
        assert pressure.min() >= 0.0
        total += math.cos(theta) * np.sum(pressure * z)
        total += math.cos(theta) * np.sum(mu * math.cos(theta) * pressure) * diameter / 2.0
    assert overhang_lever(mu, diameter, length) == pytest.approx(total, rel=1e-6)


def test_held_share() -> None:
    assert held_share(20.0, 50.0) == pytest.approx(0.4)


@pytest.mark.parametrize(("held", "length"), [(60.0, 50.0), (-1.0, 50.0), (0.0, 0.0), (math.nan, 50.0)])
def test_held_share_refuses(held: float, length: float) -> None:
    with pytest.raises(ValueError, match="held length"):
        held_share(held, length)


@pytest.mark.parametrize("mu", [0.0, -0.1, math.nan])
def test_needed_grip_refuses_friction(mu: float) -> None:
    with pytest.raises(ValueError, match="friction"):
        needed_grip(100.0, 0.0, 0.0, 50.0, 50.0, mu, 0.0, 10.0)


def test_needed_grip_refuses_a_negative_overhang() -> None:
    with pytest.raises(ValueError, match="-5 mm"):
        needed_grip(100.0, 0.0, 0.0, 50.0, 50.0, 0.1, -5.0, 10.0)


def test_what_is_small_is_no_mistake() -> None:
    """Only what is not greater than 0, or a length under it, is refused: 100 N at 0.05 mm on 0.05 mm at mu 0.05."""
    needed = needed_grip(100.0, 0.0, 0.0, 0.05, 0.05, 0.05, 0.0, 0.05)
    assert needed.total == pytest.approx(100.0 / 0.05)
    assert needed_grip(100.0, 0.0, 0.0, 0.0, 50.0, 0.1, 0.05, 0.0).overhang == pytest.approx(
        5.0 / (0.1 * 50.0 / 4.0)
    )
    assert held_share(0.0, 0.05) == 0.0
    assert held_share(0.05, 0.05) == 1.0


@pytest.mark.parametrize("diameter", [0.0, -1.0, math.nan])
def test_needed_grip_refuses_what_has_no_diameter(diameter: float) -> None:
    with pytest.raises(ValueError, match="gripped diameter"):
        needed_grip(100.0, 0.0, 0.0, 50.0, diameter, 0.1, 0.0, 10.0)
    with pytest.raises(ValueError, match="gripped diameter"):
        needed_grip(100.0, 0.0, 0.0, 50.0, np.array([50.0, diameter]), 0.1, 0.0, 10.0)
