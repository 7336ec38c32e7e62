"""What is printed beside a limit compares as what was computed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.rounding import (
    against,
    at_least_text,
    at_most_text,
    margin_text,
    near,
    range_texts,
    speed_against,
    within_text,
)
from sim.scenario import Scenario
from sim.terminal import layouts as layouts_terminal
from sim.terminal import uncertainty as uncertainty_terminal
from sim.terminal.figures import figures
from sim.views.wording import row

FIGURES = st.floats(-1e5, 1e5).filter(lambda x: x == 0.0 or abs(x) > 1e-6)
LIMITS = st.floats(1e-4, 1e5)
NEARLY = st.floats(1e-8, 0.1)


def verdict(value: float, limit: float, *, least: bool, unit: str = "MPa") -> Verdict:
    rule = Rule("marking", "marking", unit, least, "b", frozenset(), "", "is it more?")
    return rule.verdict("first side", value, limit, message="m", advice="a")


@given(FIGURES, FIGURES)
@example(85.02, 85.0)
@example(0.997, 1.0)
@example(99.96, 100.0)
@example(100.4, 99.97)
@example(1000.0, 0.0)
@example(1.0, 0.0001)
def test_the_larger_is_larger_as_printed(value: float, limit: float) -> None:
    assume(value == limit or abs(value - limit) > 2e-9 * max(abs(limit), 1e-3))
    shown, bound = against(value, limit)
    assert (float(shown) > float(bound)) == (value > limit)
    assert (float(shown) < float(bound)) == (value < limit)
    assert float(near(value, limit, 1)) != pytest.approx(limit, rel=0, abs=0) or value == limit


@given(LIMITS, NEARLY, st.booleans())
def test_no_row_of_a_failing_verdict_reads_as_kept(limit: float, beyond: float, least: bool) -> None:
    """In the terminal and in the pages' rows, however little is missing."""
    value = limit * (1.0 - beyond if least else 1.0 + beyond)
    missed = verdict(value, limit, least=least)
    assert missed.status == "fail"
    assert missed.missed
    cells = figures(missed)
    page = row(missed)
    for shown, bound in (cells, (page["value"], page["limit"])):
        printed = float(shown.removesuffix(" MPa"))
        allowed = float(bound.removesuffix(" MPa").removeprefix("≥ ").removeprefix("≤ ").split()[-1])
        assert printed < allowed if least else printed > allowed
    assert float(page["margin"]) < 1.0


@given(LIMITS, NEARLY, st.booleans())
def test_no_row_of_a_passing_verdict_reads_as_missed(limit: float, spare: float, least: bool) -> None:
    kept = verdict(limit * (1.0 + spare if least else 1.0 - spare), limit, least=least)
    assert kept.status == "pass"
    shown, bound = figures(kept)
    assert float(shown.split()[0]) != float(bound[2:])
    assert float(row(kept)["margin"]) >= 1.0


def test_usual_figures_keep_their_three_digits() -> None:
    assert against(88.44, 165.0) == ("88.4", "165")
    assert against(617.2, 630.0) == ("617", "630")
    assert against(0.0, 0.01) == ("0.00", "0.01")
    assert against(85.0, 85.0) == ("85.0", "85.0")
    assert against(85.02, 85.0) == ("85.02", "85.00")
    assert near(0.997, 1.0, 1) == "0.997"
    assert near(0.45, 1.0, 1) == "0.5"
    assert near(math.inf, 1.0, 1) == "no limit"


def test_a_limit_of_zero_is_no_rounded_one() -> None:
    """'speed <= 0.00' looked like a speed too small to print."""
    assert against(1000.0, 0.0) == ("1000", "0")
    assert against(0.0, 0.0) == ("0.00", "0")
    assert against(0.3, 0.004) == ("0.30", "0.004")


def test_no_margin_does_not_look_like_a_wide_one() -> None:
    """Value over a limit of zero is infinite, and 'over 10' of nothing."""
    short = replace(verdict(1.0, 1.0, least=True), value=-5.0, limit=0.0, status="fail")
    assert row(short)["margin"] == "0"
    assert margin_text(math.inf, missed=True, most=10.0) == "0"
    assert margin_text(math.inf, missed=False, most=10.0) == "over 10"
    assert margin_text(0.9996, missed=True) == "0.9996"
    assert margin_text(0.9996, missed=False) == "0.9996"
    assert margin_text(1.0, missed=False) == "1.00"
    assert margin_text(0.0, missed=True) == "0.00"
    assert margin_text(math.nan, missed=False) == "–"


def test_a_seat_that_gapes_is_not_said_to_hold(varied: Callable[..., Scenario]) -> None:
    """The gaping factor goes with the torque: three in a thousand short of the moment, it 'gapes at 1.0 times'."""

    def seat(torque: float) -> Verdict:
        found = assess(
            varied("cast_hub_on_plug", {"soft_jaw.screws.torque": f"{torque!r} N*m"}),
            contact_model="foundation",
        )
        return next(v for v in found.verdicts if v.name == "jaw seat stays closed")

    short = seat(100.0 * 0.9967 / seat(100.0).value)
    assert short.status == "warn"
    assert short.value == pytest.approx(0.9967, rel=1e-6)
    gapes = re.search(r"gapes at ([\d.]+) times", short.message)
    assert gapes is not None
    assert float(gapes[1]) < 1.0


@given(LIMITS, st.integers(0, 3))
def test_a_named_end_lies_within(limit: float, decimals: int) -> None:
    """'So much or less', 'so much or more'."""
    slack = 1e-9 * max(1.0, limit)
    step = 10.0**-decimals
    assert limit - step < float(at_most_text(limit, decimals)) <= limit + slack
    assert limit - slack <= float(at_least_text(limit, decimals)) < limit + step
    assert at_most_text(231.4999, 0) == at_most_text(231.9, 0) == "231"
    assert at_most_text(7.0 - 1e-14, 1) == at_least_text(7.0 + 1e-14, 1) == "7.0"


@given(LIMITS, st.floats(1e-6, 10.0))
@example(2.986, 0.004)
def test_both_ends_of_a_range_lie_in_it(low: float, width: float) -> None:
    first, last = range_texts(low, low + width, 2)
    slack = 1e-9 * max(1.0, low + width)
    assert low - slack <= float(first) <= float(last) <= low + width + slack
    assert low - slack <= float(within_text(low, low + width, 0)) <= low + width + slack


def test_no_margin_of_a_window_and_no_probability_is_rounded_to_enough() -> None:
    assert layouts_terminal._margin(0.997) == "0.997"
    assert layouts_terminal._margin(1.0) == "1.00"
    assert uncertainty_terminal._margin(0.9996) == "0.9996"
    assert uncertainty_terminal._margin(1.004) == "1.00"
    assert uncertainty_terminal._margin(12.3) == "12.3"
    assert uncertainty_terminal.hundredths(0.9998) == "99.98"
    assert uncertainty_terminal.hundredths(1.0) == "100.0"
    assert uncertainty_terminal.hundredths(0.0002) == "0.02"
    assert uncertainty_terminal.hundredths(0.0) == "0.0"
    assert uncertainty_terminal.hundredths(0.974) == "97.4"


@example(speed=263.6, limit=263.6)
@example(speed=263.0, limit=263.6)
@example(speed=1000.0, limit=263.6)
@given(speed=st.floats(1.0, 6000.0), limit=st.floats(1.0, 6000.0))
def test_a_speed_limit_is_never_named_higher_than_it_is(speed: float, limit: float) -> None:
    """A whole speed meets the limit as named just where it meets the limit; what is beyond reads as beyond."""
    first, second = speed_against(speed, limit)
    if speed <= limit * (1.0 + 1e-9):
        assert float(first) <= float(second)
    else:
        assert float(first) > float(second)
    if speed == round(speed):
        assert float(second) <= limit * (1.0 + 1e-9)
        assert second == at_most_text(limit, 0)
