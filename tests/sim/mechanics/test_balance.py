"""Unbalance and energy by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.balance import (
    GRADE,
    OffsetMass,
    loose_jaw_energy,
    permissible_unbalance,
    unbalance,
    unbalance_force,
)


def _jaws(*masses: float) -> list[OffsetMass]:
    angles = [2.0 * math.pi * i / 3.0 for i in range(3)]
    return [
        OffsetMass(m, 85.0 * math.cos(a), 85.0 * math.sin(a)) for m, a in zip(masses, angles, strict=True)
    ]


def test_three_equal_jaws_balance() -> None:
    assert unbalance(_jaws(1.4, 1.4, 1.4)).amount == pytest.approx(0.0, abs=1e-9)


def test_one_heavier_jaw_is_its_difference() -> None:
    """10 g at 85 mm towards jaw 2."""
    found = unbalance(_jaws(1.4, 1.41, 1.4))
    assert found.amount == pytest.approx(850.0)
    assert found.angle == pytest.approx(2.0 * math.pi / 3.0)


def test_unbalance_takes_any_iterable_once() -> None:
    assert unbalance(iter([OffsetMass(1.0, 0.03, -0.04)])).amount == pytest.approx(50.0)


def test_permissible_unbalance_of_a_chuck() -> None:
    """ISO 21940-11, as public tables quote it: the grade is e_per omega in mm/s; G 6.3 at 3000 rev/min, 20 g mm/kg."""
    assert permissible_unbalance(1.0, 3000.0) == pytest.approx(20.0, rel=0.005)
    assert permissible_unbalance(40.0, 1500.0) == pytest.approx(80.0 * permissible_unbalance(1.0, 3000.0))
    assert permissible_unbalance(1.0, 3000.0, 2.5) == pytest.approx(8.0, rel=0.01)


def test_permissible_unbalance_is_an_offset_that_moves_at_the_grade() -> None:
    """Newton: mass m with its centre off by e turns with e omega = G, so U omega / m = G."""
    omega = 2.0 * math.pi * 2500.0 / 60.0
    assert permissible_unbalance(30.0, 2500.0) * omega / 30e3 == pytest.approx(GRADE)


def test_force_by_hand() -> None:
    """1 g at 1 m, 1000 g mm, at 60 rev/min: 1e-3 kg * 1 m * (2 pi)^2."""
    assert unbalance_force(1000.0, 60.0) == pytest.approx(1e-3 * (2.0 * math.pi) ** 2)


def test_energy_of_a_loose_jaw() -> None:
    """1.4 kg at 85 mm and 3000 rev/min: 26.7 m/s, about 500 J."""
    assert loose_jaw_energy(1.4, 85.0, 3000.0) == pytest.approx(0.5 * 1.4 * 26.704**2, rel=1e-4)
    assert loose_jaw_energy(1.4, 85.0, 3000.0) == pytest.approx(500.0, rel=0.01)


def test_what_is_small_is_no_mistake() -> None:
    """Only what is not greater than 0 is refused: 50 g at 0.05 rev/min and 0.05 mm/s, U = m G / omega."""
    omega = 0.05 * 2.0 * math.pi / 60.0
    assert permissible_unbalance(0.05, 0.05, 0.05) == pytest.approx(1e3 * 0.05 * 0.05 / omega)


@pytest.mark.parametrize(("mass", "speed"), [(0.0, 100.0), (1.0, 0.0), (math.nan, 100.0)])
def test_permissible_unbalance_refuses(mass: float, speed: float) -> None:
    with pytest.raises(ValueError, match="greater than 0"):
        permissible_unbalance(mass, speed)


def test_one_speed_of_many_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="greater than 0"):
        permissible_unbalance(1.0, np.array([100.0, 0.0]))
