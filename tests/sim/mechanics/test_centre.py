"""What a centre bears across the spindle: by summing the pressure on its cone, in small pieces."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.mechanics.centre import borne_across


@pytest.mark.parametrize("included", [60.0, 75.0, 90.0])
def test_a_seated_cone_by_its_pressure(included: float) -> None:
    """Pressure 1 + cos t on a cone: normals lean by the half angle; forces are added up piece by piece."""
    half = math.radians(0.5 * included)
    t = (np.arange(3600) + 0.5) / 3600.0 * 2.0 * math.pi
    pressure = 1.0 + np.cos(t)
    along = float((pressure * math.sin(half)).sum())
    across = float((pressure * math.cos(half) * np.cos(t)).sum())
    assert borne_across(along, math.radians(included)) == pytest.approx(across, rel=1e-9)
    assert pressure.min() >= 0.0


def test_a_cone_that_bears_on_one_line_alone_would_take_twice_as_much() -> None:
    """A rigid cone without friction on one line: its normal alone, F cot(b) across for F along."""
    assert borne_across(1000.0, math.radians(60.0)) == pytest.approx(
        0.5 * 1000.0 / math.tan(math.radians(30.0))
    )
    assert borne_across(np.array([0.0, 500.0]), math.radians(60.0))[0] == 0.0
