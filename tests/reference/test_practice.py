"""Facts of the trade: common practice, no source.

They hold the units and the defaults that a scenario gets, not a formula of a book.
"""

from __future__ import annotations

import pytest

from sim.hold import LEAST_HELD_SHARE, held_share
from sim.scenario.chuck import Limits
from sim.units import read


def test_total_grip_per_jaw() -> None:
    """13,000 lbf on three jaws are 19.28 kN each; the trade quotes 19.3 to 19.6 kN."""
    per_jaw = 1e-3 * read("13000 lbf", "force") / 3.0
    assert per_jaw == pytest.approx(19.28, abs=0.005)
    assert 0.98 * 19.6 < per_jaw < 19.6
    assert round(per_jaw, 1) == 19.3


def test_hold_at_least_a_third() -> None:
    assert held_share(20.0, 60.0) == pytest.approx(LEAST_HELD_SHARE) == pytest.approx(1.0 / 3.0)
    assert _limits().held_share == pytest.approx(LEAST_HELD_SHARE)


def test_boring_ring_limits() -> None:
    """At most 7 bar and 900 rev/min, unless the ring's maker says otherwise."""
    limits = _limits()
    assert limits.ring_pressure == pytest.approx(0.7)  # MPa
    assert limits.ring_speed == pytest.approx(900.0)


def test_bore_and_grip_away_from_the_ends_of_the_stroke() -> None:
    assert _limits().stroke_reserve == pytest.approx(1.0 / 6.0)


def _limits() -> Limits:
    return Limits.model_validate({})
