"""Pockets that would cut a screw."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario

INSIDE = "housing_gripped_inside"


def test_inside_step_may_not_cut_a_screw(varied: Callable[..., Scenario]) -> None:
    """Turned from outside, the step reaches inward to the outer screw's head."""
    with pytest.raises(ScenarioError, match=r"pockets\[0\]\.diameter must not bore through the screw"):
        varied(INSIDE, {"pockets.0.depth": "50 mm", "boring.fixture.height": "2 mm"})
