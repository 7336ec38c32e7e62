"""A value against its limit: on which side it is good, how near is equal, and what a miss comes to."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from sim.assessment.verdicts.rule import MET, Rule, keys, margins, met, over

WORDS: dict[str, Any] = {"unit": "kN", "basis": "b", "depends": frozenset(), "view": "", "asks": "?"}
LEAST, MOST = (Rule(key=key, name="n", at_least=key == "least", **WORDS) for key in ("least", "most"))


@pytest.mark.parametrize("limit", [5.0, -5.0])
def test_a_limit_is_met_on_its_own_side_but_for_rounding(limit: float) -> None:
    """A billionth of the limit is rounding, a hundred millionth is a miss."""
    for rule, good in ((LEAST, 1.0), (MOST, -1.0)):
        assert rule.met(limit, limit)
        assert rule.met(limit + good, limit)
        assert not rule.met(limit - good, limit)
        assert rule.met(limit - good * 0.9e-9 * 5.0, limit)
        assert not rule.met(limit - good * 1.05e-9 * 5.0, limit)
        assert not rule.met(math.nan, limit)


def test_many_limits_are_met_as_each_is() -> None:
    """Of both directions, both signs of the limit, on both sides of rounding, and without a number."""
    off = np.array([-1e-6, -0.9e-9, 0.0, 0.9e-9, 1.1e-9, 1e-6, math.nan])
    limit = np.repeat([5.0, -5.0, 0.0], off.size)
    value = limit + 5.0 * np.tile(off, 3)
    for rule in (LEAST, MOST):
        many = met(value, limit, at_least=np.full(limit.shape, rule.at_least))
        assert many.tolist() == [
            rule.met(v, bound) for v, bound in zip(value.tolist(), limit.tolist(), strict=True)
        ]
        assert many.any()
        assert not many.all()


@pytest.mark.parametrize("rule", [LEAST, MOST])
def test_a_miss_is_what_the_caller_makes_of_it(rule: Rule) -> None:
    good, bad = (6.0, 4.0) if rule is LEAST else (4.0, 6.0)
    said: dict[str, Any] = {"message": "m", "advice": "a"}
    passed = rule.verdict("s", good, 5.0, **said)
    assert (passed.status, passed.advice, passed.margin) == (
        "pass",
        "",
        pytest.approx(max(good, 5.0) / min(good, 5.0)),
    )
    failed = rule.verdict("s", bad, 5.0, **said)
    assert (failed.status, failed.advice, failed.message, failed.stage) == ("fail", "a", "m", "s")
    assert (failed.value, failed.limit, failed.unit, failed.basis) == (bad, 5.0, "kN", "b")
    assert (failed.key, failed.name, failed.at_least) == (rule.key, "n", rule is LEAST)
    warned = rule.verdict("s", bad, 5.0, **said, otherwise="warn", basis="more exactly")
    assert (warned.status, warned.basis) == ("warn", "more exactly")
    assert rule.verdict("s", good, 5.0, **said, otherwise="warn").status == "pass"
    assert rule.verdict("s", math.nan, 5.0, **said).status == "fail"
    given = rule.given("s", "warn", good, 5.0, message="m")
    assert (given.status, given.advice, given.basis) == ("warn", "", "b")
    assert rule.given("s", "warn", good, 5.0, message="m", basis="c").basis == "c"


def test_many_margins_are_each_verdicts_own() -> None:
    """Six over five and five over six by hand; a limit of nothing is endlessly far, what is unknown stays so."""
    value, limit = np.array([6.0, 4.0, 1.0, 0.5, math.nan]), np.array([5.0, 5.0, 0.0, math.nan, 5.0])
    least = margins(value, limit, at_least=True)
    assert least.tolist()[:3] == [1.2, 0.8, math.inf]
    assert np.isnan(least[3:]).all()
    most = margins(np.array([5.0, 5.0, 0.0, 5.0]), np.array([6.0, 4.0, 1.0, math.nan]), at_least=False)
    assert most.tolist()[:3] == [1.2, 0.8, math.inf]
    assert np.isnan(most[3])
    assert margins(np.array([math.nan]), np.array([5.0]), at_least=False).tolist() == pytest.approx(
        [math.nan], nan_ok=True
    )
    assert margins(np.array([6.0, 5.0]), np.array([5.0, 6.0]), at_least=np.array([True, False])).tolist() == [
        1.2,
        1.2,
    ]


def test_a_small_limit_is_one() -> None:
    """A clearance of 0.03 mm where 0.02 mm is the limit, or the reverse: margin one and a half."""
    small, large = np.array([0.02]), np.array([0.03])
    assert margins(large, small, at_least=True).tolist() == pytest.approx([1.5])
    assert margins(small, large, at_least=False).tolist() == pytest.approx([1.5])


def test_over_is_more_than_a_warning_bears_but_for_rounding() -> None:
    """A feed of twice the usual one still warns where twice is the most that warns."""
    for most in (2.0, 1.25):
        assert over(1.02 * most, most)
        assert over(most * (1.0 + 1.1e-9), most)
        assert not over(most * (1.0 + 0.9e-9), most)
        assert not over(most, most)
        assert not over(0.98 * most, most)
    many = over(np.array([1.9, 2.0, 2.1]), np.array([2.0, 2.0, 2.0]))
    assert np.asarray(many).tolist() == [False, False, True]


def test_a_margin_of_one_but_for_rounding_is_kept() -> None:
    assert 1.0 - 1.1e-9 < MET < 1.0 - 0.9e-9


def test_keys() -> None:
    assert keys(LEAST, MOST) == {"least", "most"}
