"""Permissible speed by VDI 3106 against the worked example that public chuck manuals carry.

The example, in more than one operating manual of power chucks (makers not named): F_sp0 = 17723 N, F_spz =
3000 N, sum of M_c = 2.668 kg m, S_z = S_sp = 1.5; top jaw m_AB = 5.33 kg at r_sAB = 0.107 m.

Erratum: those manuals print n = 1495 rev/min for these data. Their own formula gives 500 rev/min, and at 500
rev/min 1.5 (1.5 x 3000 + 2.668 (500 pi / 30)^2) = 17722 N, their grip to 1 N; 1495 would need about a ninth
of their moment. The example is checked as consistent at 500 rev/min; that it was meant so is inferred. The
standard itself was not at hand.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.contact.face import FaceGrid
from sim.holding import evenly_pressed, holding
from sim.mechanics.spin import (
    LARGEST_LOSS,
    TurningMass,
    centrifugal_force,
    centrifugal_moment,
    grip_at_speed,
    permissible_speed,
    required_grip_at_rest,
)

MOMENT = 2668.0  # kg mm


def test_grip_at_rest_of_the_example() -> None:
    """Printed 17723 N; M_c is printed to four digits, which leaves the grip uncertain by 6 N."""
    centrifugal = centrifugal_force(MOMENT, 500.0)
    assert centrifugal == pytest.approx(2.668 * (math.pi * 500.0 / 30.0) ** 2)
    assert required_grip_at_rest(3000.0, centrifugal, "outside") == pytest.approx(17_723.0, abs=6.0)


def test_permissible_speed_of_the_example() -> None:
    found = permissible_speed(17_723.0, 3000.0, MOMENT, 3200.0, "outside")
    assert found.by_cutting == pytest.approx(500.0, abs=0.5)
    assert found.governing == "VDI 3106"
    assert abs(found.by_cutting - 1495.0) > 900.0  # the erratum: not the printed speed


def test_required_grip_at_the_speed_of_the_first_example() -> None:
    """The same manuals' n = 1200 rev/min: F_c = 2.668 x 125.66^2 = 42.13 kN, so F_sp0 = 69.9 kN by hand."""
    grip = required_grip_at_rest(3000.0, centrifugal_force(MOMENT, 1200.0), "outside")
    assert grip == pytest.approx(69_945.0, abs=20.0)


def test_centrifugal_force_at_n_67_is_two_thirds_of_the_grip() -> None:
    """EN 1550 as quoted in public manuals: the centrifugal force may be at most 67 % of the grip at rest."""
    found = permissible_speed(60_000.0, 0.0, MOMENT, 9000.0, "outside", grip_factor=1.0)
    assert centrifugal_force(MOMENT, found.by_loss) / 60_000.0 == pytest.approx(0.67, abs=0.005)
    assert pytest.approx(0.67, abs=0.005) == LARGEST_LOSS


def test_a_250_mm_chuck_with_steel_jaws_loses_more_than_half_at_3000_rpm() -> None:
    """Common practice, no source: 59 kN in total at rest, 19.7 kN per jaw.

    Jaw by plain boxes of steel. Soft jaw 110 x 40 x 50 mm less a quarter for bore, tip and counterbores: 1.3
    kg at 75 mm. Master jaw 95 x 45 x 55 mm, 65 % of it left by slot and guideways: 1.2 kg at 80 mm. T-nuts
    and screws: 0.35 kg at 80 mm. That pulls 21.8 kN at 3000 rev/min. All of it off the grip, the cautious
    reading, would leave none; half of it (lam = 0.5) already takes more than half.
    """
    steel = 7.85e-6
    soft = TurningMass(0.75 * 110.0 * 40.0 * 50.0 * steel, 75.0)
    master = TurningMass(0.65 * 95.0 * 45.0 * 55.0 * steel, 80.0)
    centrifugal = centrifugal_force(centrifugal_moment([soft, master, TurningMass(0.35, 80.0)]), 3000.0)
    at_rest = 59_000.0 / 3.0
    assert centrifugal == pytest.approx(21_800.0, abs=100.0)
    assert grip_at_speed(at_rest, centrifugal, "outside") == 0.0
    assert 0.0 < grip_at_speed(at_rest, centrifugal, "outside", 0.5) < 0.5 * at_rest


def test_the_example_holds_its_cut_by_the_factor_it_was_made_for() -> None:
    """F_sp0 / S_sp less the centrifugal force at 500 rev/min holds a cut that needs F_spz = 3000 N S_z = 1.5 times.

    The cut is a torque of mu F_spz r on any diameter; the factor is found by the linear program, not by the formula.
    """
    radius, mu = 75.0, 0.15
    faces = evenly_pressed(FaceGrid(np.linspace(-0.3, 0.3, 7), np.linspace(0.0, 20.0, 5), radius))
    left = 17_723.0 / 1.5 - centrifugal_force(MOMENT, 500.0)
    cut = np.array([0.0, 0.0, 0.0, 0.0, 0.0, -mu * 3000.0 * radius])
    assert holding(faces, left, mu, cut).factor == pytest.approx(1.5, abs=0.002)
