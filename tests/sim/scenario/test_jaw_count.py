"""Chucks with another number of jaws than three are refused with the reason, never judged as if they had three."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"


@pytest.mark.parametrize(
    ("jaws", "reason"),
    [
        (1, "one jaw holds nothing"),
        (2, "across them by friction and the curve of their bores alone.* nearest: three jaws, pointed"),
        (4, "two that meet the part first .* nearest: three sector jaws"),
        (6, "two or three that meet the part first .* nearest: three sector jaws"),
        (5, "judged in threes"),
        (12, "judged in threes"),
    ],
)
def test_other_counts_are_refused(varied: Callable[..., Scenario], jaws: int, reason: str) -> None:
    with pytest.raises(ScenarioError, match=rf"chuck jaws must be 3, found {jaws}: .*{reason}"):
        varied(HUB, {"chuck.jaws": jaws})


def test_three_are_what_is_judged(varied: Callable[..., Scenario]) -> None:
    assert varied(HUB, {"chuck.jaws": 3}) == varied(HUB)
