"""Soft jaws on their master jaws: T-nuts within the chuck body, serrations."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario

OUTSIDE = "cast_hub_on_ring"


@pytest.mark.parametrize(
    ("diameter", "refused"),
    # Nut: 45 mm + 57 mm + 12.5 mm = 114.5 mm from the axis with the jaws open.
    [("229.0 mm", False), ("228.9 mm", True)],
)
def test_nut_ends_at_the_body(varied: Callable[..., Scenario], diameter: str, refused: bool) -> None:
    changes = {"chuck.body_diameter": diameter}
    if not refused:
        assert varied(OUTSIDE, changes)
        return
    with pytest.raises(ScenarioError, match=r"T-nut within the chuck body, radius 114\.45 mm.*114\.5 mm"):
        varied(OUTSIDE, changes)


def test_serrations_move_the_jaw(varied: Callable[..., Scenario]) -> None:
    """Eight teeth of 1.5 mm outward carry the outer T-nut from 114.5 mm to 126.5 mm, past the master jaw's 126 mm."""
    assert varied(OUTSIDE, {"soft_jaw.serration_index": 7})
    with pytest.raises(ScenarioError, match=r"126\.5 mm"):
        varied(OUTSIDE, {"soft_jaw.serration_index": 8})
