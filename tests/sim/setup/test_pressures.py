"""Pressures that chuck and machine may get."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario

OUTSIDE = "cast_hub_on_ring"


def test_the_machine_may_be_the_weaker(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match=r"at most 18 bar, machine\.pressure_limit"):
        varied(OUTSIDE, {"machine.pressure_limit": "18 bar"})


def test_pressure_at_the_limit_is_allowed(varied: Callable[..., Scenario]) -> None:
    assert varied(
        OUTSIDE, {"operations.0.gripping.pressure": "30 bar"}
    ).chuck.pressure_limit == pytest.approx(3.0)
