"""The band of a grip gauge: it never reaches where a verdict would fail, and there is none where one does."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.scenario import Scenario
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
    for key in ("marking", "largest_grip", "guideway_moment", "jaw_pushed_across"):
        assert band(with_limit(wide(judged), key, 1.02)).high == pytest.approx(rest * 1.02)
    # More grip than is expected does not miss what asks for grip, and moves no pressure that is set.
    for key in ("spindle_speed", "steady_pressure"):
        assert band(with_limit(wide(judged), key, 1.02)).high == pytest.approx(rest * (1.0 + SHARE))


def test_nearer_limits_never_widen_it(judged: Assessment) -> None:
    for key in ("marking", "grip_at_rest", "jaw_seat_stays_closed"):
        found = [band(with_limit(judged, key, share)) for share in (1.15, 1.08, 1.03, 1.0)]
        for wider, nearer in pairwise(found):
            assert not nearer.high - nearer.low > wider.high - wider.low + 1e-6, key


LIMITS: tuple[tuple[str, dict[str, Any], int], ...] = (
    # A centre that carries a cut once, not S_z times: what it asks for hangs on how the pressure lies, too.
    (
        "shaft_on_a_centre",
        {"operations.0.tailstock.largest_side_force": "1200 N", "operations.0.program": None},
        0,
    ),
    # Run-out by a grip that is unlike the one that bored the jaws grows faster than the grip, and falls as fast.
    ("valve_bonnet_two_steps", {"operations.1.runout_limit": "17 um"}, 1),
    (
        "valve_bonnet_two_steps",
        {"operations.0.gripping.pressure": "8 bar", "operations.0.runout_limit": "126 um"},
        0,
    ),
)


@pytest.mark.parametrize(("name", "changes", "number"), LIMITS)
def test_at_its_ends_no_verdict_is_missed_and_beyond_one_is(
    varied: Callable[..., Scenario], name: str, changes: dict[str, Any], number: int
) -> None:
    def missed(share: float) -> set[str]:
        place = f"operations.{number}.gripping.pressure"
        found = assess(
            varied(name, {**changes, place: f"{share * pressure} bar"}), contact_model="foundation"
        )
        return {v.key for v in found.verdicts if v.missed} - before

    first = assess(varied(name, changes), contact_model="foundation")
    figures = first.operations[number]
    before = {v.key for v in first.verdicts if v.missed}
    pressure = 10.0 * figures.operation.gripping.pressure
    found = gauge_band(first, figures)
    low, high = found.low / found.expected, found.high / found.expected
    assert missed(low * (1.0 + 1e-6)) == set()
    assert missed(high * (1.0 - 1e-6)) == set()
    # Lobes that less grip presses less flat count in proportion, which is more than they do.
    ends = (low > 1.001 * (1.0 - SHARE), high < 0.999 * (1.0 + SHARE))
    assert any(ends)
    for limited, beyond in zip(ends, (0.94 * low, 1.02 * high), strict=True):
        if limited:
            assert missed(beyond) != set()


def test_none_where_something_fails_or_was_not_judged(judged: Assessment) -> None:
    failing = with_limit(judged, "marking", 0.9, status="fail")
    assert math.isnan(band(failing).low)
    assert math.isnan(band(failing).high)
    unasked = replace(judged, verdicts=tuple(v for v in judged.verdicts if v.key != "grip_at_rest"))
    assert math.isnan(band(unasked).stop)
    assert math.isnan(band(unasked).low)
    # A lower grip than must be is no grip to go on with, whatever the status says.
    assert math.isnan(band(with_limit(judged, "grip_at_rest", 0.95)).low)
