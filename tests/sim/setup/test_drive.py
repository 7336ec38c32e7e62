"""A wedge that locks."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.drive import locks

OUTSIDE = "cast_hub_on_ring"


def test_locking_guideway(varied: Callable[..., Scenario]) -> None:
    """1 - mu tan(alpha + phi) - 3 mu a/L = 0 (free body of the jaw) at mu = 0.581 for 19 deg, 15 mm, 80 mm."""

    def left(mu: float) -> float:
        return 1.0 - mu * math.tan(math.radians(19.0) + math.atan(mu)) - 3.0 * mu * 15.0 / 80.0

    low, high = 0.1, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if left(middle) > 0.0 else (low, middle)
    assert varied(OUTSIDE, {"chuck.guideway_friction": low - 1e-4})
    with pytest.raises(ScenarioError, match=r"chuck\.guideway_friction"):
        varied(OUTSIDE, {"chuck.guideway_friction": high + 1e-4})


def test_many_frictions_lock_as_each_does(varied: Callable[..., Scenario]) -> None:
    """The same chuck, whose jaw locks at 0.581; of none there is no answer."""
    chuck, many = varied(OUTSIDE).chuck, np.array([0.0, 0.08, 0.57, 0.59, 1.5])
    assert np.asarray(locks(chuck, many)).tolist() == [False, False, False, True, True]
    assert [bool(locks(chuck, float(one))) for one in many] == [False, False, False, True, True]
    assert np.shape(locks(chuck, many[:0])) == (0,)
