"""Bars of margins: the limit itself has none, twice as much is as far on everywhere, what is missed lies left."""

from __future__ import annotations

import itertools
import math

import pytest

from sim.assessment.verdict import Status, Verdict
from sim.views.margins import LEAST, LIMIT_AT, MOST, bar, dots, place


def _verdict(value: float, limit: float, *, at_least: bool = True, status: Status = "pass") -> Verdict:
    return Verdict("key", "name", "jaws", status, value, limit, "mm", "basis", "message", at_least=at_least)


def test_just_enough_has_no_bar_and_twenty_times_the_whole_width() -> None:
    assert bar(_verdict(5.0, 5.0)) == (pytest.approx(LIMIT_AT), 0.0)
    assert bar(_verdict(100.0, 5.0)) == (pytest.approx(LIMIT_AT), pytest.approx(1.0 - LIMIT_AT))
    assert bar(_verdict(1.0, 20.0, at_least=False)) == bar(_verdict(100.0, 5.0))
    assert bar(_verdict(900.0, 5.0)) == bar(_verdict(100.0, 5.0))


@pytest.mark.parametrize("margin", [1.0, 1.3, 2.0, 7.0])
def test_twice_as_much_is_as_far_on_everywhere(margin: float) -> None:
    here, there = place(margin, missed=False), place(2.0 * margin, missed=False)
    assert here is not None
    assert there is not None
    assert there - here == pytest.approx((1.0 - LIMIT_AT) * math.log(2.0) / math.log(MOST))


def test_what_is_missed_lies_left_of_the_limit_the_more_the_farther() -> None:
    places = [place(m, missed=True) for m in (0.9, 0.5, 0.3)]
    assert all(p is not None and p < LIMIT_AT for p in places)
    assert places == sorted(places, reverse=True)
    assert place(LEAST, missed=True) == place(0.01, missed=True) == 0.0


@pytest.mark.parametrize(("value", "limit", "at_least"), [(2.0, 0.0, False), (-4.0, 0.0, True)])
def test_against_a_limit_of_zero_what_is_missed_is_never_drawn_as_kept(
    value: float, limit: float, *, at_least: bool
) -> None:
    """The quotient says nothing there: of a touch where none may be, and of 4 mm behind a limit of 0."""
    found = bar(_verdict(value, limit, at_least=at_least, status="fail"))
    assert found == (0.0, pytest.approx(LIMIT_AT))


def test_no_figure_has_no_bar() -> None:
    assert bar(_verdict(math.nan, 1.0)) is None


def test_dots_do_not_cover_each_other() -> None:
    found = dots([_verdict(v, 1.0) for v in (1.0, 1.001, 1.002, 3.0, 25.0, 30.0)])
    assert len({(round(one.at, 3), one.row) for one in found}) == 6
    for row in {one.row for one in found}:
        at = sorted(one.at for one in found if one.row == row)
        assert all(b - a >= 0.016 for a, b in itertools.pairwise(at))
