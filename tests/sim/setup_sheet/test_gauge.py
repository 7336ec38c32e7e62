"""The band of a grip gauge: it never reaches where a verdict would fail, and there is none where one does."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from sim.assessment.results import Assessment
from sim.setup_sheet.gauge import SHARE, GaugeBand, gauge_band


@pytest.fixture
def judged(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged("valve_bonnet_second_side")


def with_limit(judged: Assessment, key: str, share: float, **more: object) -> Assessment:
    """Return the same with a verdict of the operation at this margin."""
    found = []
    for verdict in judged.verdicts:
        if verdict.key == key and verdict.stage == judged.operations[0].operation.name:
            limit = verdict.value / share if verdict.at_least else verdict.value * share
            verdict = replace(verdict, limit=limit, **more)
        found.append(verdict)
    assert tuple(found) != judged.verdicts
    return replace(judged, verdicts=tuple(found))


def wide(judged: Assessment) -> Assessment:
    """Return the same with no limit near."""
    verdicts = tuple(
        replace(v, limit=v.value / 3.0 if v.at_least else 3.0 * v.value) for v in judged.verdicts
    )
    return replace(judged, verdicts=verdicts)


def band(judged: Assessment) -> GaugeBand:
    return gauge_band(judged, judged.operations[0])


def test_a_tenth_to_each_side_where_nothing_is_near(judged: Assessment) -> None:
    rest = judged.operations[0].grip.rest_total
    found = band(wide(judged))
    assert found.expected == rest
    assert (found.low, found.high) == pytest.approx(((1.0 - SHARE) * rest, (1.0 + SHARE) * rest))


def test_ends_where_a_limit_would_be_missed(judged: Assessment) -> None:
    rest = judged.operations[0].grip.rest_total
    # At rest the requirement is held against the gauge's own figure.
    assert band(with_limit(judged, "grip_at_rest", 1.04)).low == pytest.approx(rest / 1.04)
    assert band(with_limit(judged, "grip_at_rest", 1.04)).stop == pytest.approx(rest / 1.04)
    # What rises in proportion to the grip meets its limit there.
    for key in ("marking", "largest_grip", "guideway_moment"):
        assert band(with_limit(wide(judged), key, 1.02)).high == pytest.approx(rest * 1.02)
    # A factor falls with what the speed leaves: sooner than the grip at rest does.
    low = band(with_limit(judged, "holding_factor", 1.04)).low
    assert rest / 1.04 <= low <= rest


def test_nearer_limits_never_widen_it(judged: Assessment) -> None:
    for key in ("marking", "holding_factor", "grip_at_rest", "jaw_seat_stays_closed", "least_grip_of_a_jaw"):
        found = [band(with_limit(judged, key, share)) for share in (1.15, 1.08, 1.03, 1.0)]
        for wider, nearer in pairwise(found):
            assert not nearer.high - nearer.low > wider.high - wider.low + 1e-6, key


def test_none_where_something_fails_or_was_not_judged(judged: Assessment) -> None:
    failing = with_limit(judged, "marking", 0.9, status="fail")
    assert math.isnan(band(failing).low)
    assert math.isnan(band(failing).high)
    unasked = replace(judged, verdicts=tuple(v for v in judged.verdicts if v.key != "grip_at_rest"))
    assert math.isnan(band(unasked).stop)
    assert math.isnan(band(unasked).low)
    # A lower grip than must be is no grip to go on with, whatever the status says.
    assert math.isnan(band(with_limit(judged, "grip_at_rest", 0.95)).low)
