"""Torque and thrust of twist drills beside published ones (`published_drills`)."""

from __future__ import annotations

import pytest
from published_drills import MAKERS, published, sharp

DRILLS = [(6.0, 0.1), (10.0, 0.2), (20.0, 0.3), (30.0, 0.3)]
FEED_FACTORS = {0.1: 0.158, 0.2: 0.276, 0.3: 0.382, 0.5: 0.574}


@pytest.mark.parametrize(("diameter", "feed"), DRILLS)
@pytest.mark.parametrize("name", MAKERS)
def test_torque_and_thrust_beside_a_tool_makers(name: str, diameter: float, feed: float) -> None:
    constant, least, most = MAKERS[name]
    pairs = zip(sharp(name, diameter, feed), published(constant, diameter, feed), strict=True)
    ratios = [ours / theirs for ours, theirs in pairs]
    assert least < min(ratios) <= max(ratios) < most


@pytest.mark.parametrize("feed", [0.1, 0.2, 0.5])
def test_how_torque_grows_with_the_feed(feed: float) -> None:
    """By the handbook's factors over that at 0.3 mm; Kienzle's exponents of the group lie within 7 % of them."""
    ratio = sharp("steel C45", 20.0, feed)[0] / sharp("steel C45", 20.0, 0.3)[0]
    assert ratio == pytest.approx(FEED_FACTORS[feed] / FEED_FACTORS[0.3], rel=0.07)
