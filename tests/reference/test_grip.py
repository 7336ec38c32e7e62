"""The wedge-hook free body against values worked out by hand and common practice.

With alpha = 19 deg, a = 15 mm, L = 80 mm, h = 60 mm: Fg/Fa = 1.787 for mu = 0.08 and 0.686 for mu = 0.25.
Steps for mu = 0.08: phi = 4.574 deg, tan 23.574 deg = 0.43634, Fr/Fa = 2.2918; 1 - 0.03491 - 0.045 =
0.92009; 1 + 0.18.
"""

from __future__ import annotations

import math

import pytest

from sim.mechanics.grip import Wedge, back_drive_ratio, jaw_force


def wedge(mu: float) -> Wedge:
    return Wedge(math.radians(19.0), 15.0, 80.0, mu)


@pytest.mark.parametrize(("mu", "ratio"), [(0.08, 1.787), (0.25, 0.686)])
def test_worked_values(mu: float, ratio: float) -> None:
    assert jaw_force(1.0, 60.0, wedge(mu)) == pytest.approx(ratio, abs=0.0005)


def test_back_drive_ratio_by_hand() -> None:
    """tan(23.574 deg) / tan(14.426 deg) = 0.43634 / 0.25724."""
    assert back_drive_ratio(math.radians(19.0), 0.08) == pytest.approx(1.696, abs=0.001)


def test_an_ungreased_chuck_loses_half_or_more() -> None:
    """Common practice, no source: half or more of the greased grip."""
    assert jaw_force(1.0, 60.0, wedge(0.25)) < 0.5 * jaw_force(1.0, 60.0, wedge(0.08))
