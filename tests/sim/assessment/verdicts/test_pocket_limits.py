"""Which verdicts are worse at a limit of the pockets: made-up verdicts, nothing is judged."""

from __future__ import annotations

from sim.assessment.verdict import Status, Verdict
from sim.assessment.verdicts.pocket_limits import AtLimit, pocket_limit_verdicts


def one(key: str, status: Status, stage: str = "first side", value: float = 1.0) -> Verdict:
    return Verdict(key, f"name of {key}", stage, status, value, 1.0, "", "", f"{key} is so.", f"Mend {key}.")


STATED = [one("a", "pass"), one("b", "warn"), one("c", "fail"), one("a", "pass", "second side")]


def test_without_a_tolerance_nothing_is_asked() -> None:
    assert list(pocket_limit_verdicts(STATED, [])) == []


def test_what_stays_as_it_is_or_gets_better_passes() -> None:
    better = AtLimit("a bore of 80.1 mm", (one("a", "pass"), one("b", "pass"), one("c", "warn")))
    (found,) = pocket_limit_verdicts(STATED, [better, AtLimit("one of 79.9 mm", tuple(STATED))])
    assert (found.status, found.value, found.limit) == ("pass", 0.0, 0.0)
    assert "with a bore of 80.1 mm; with one of 79.9 mm: no verdict is worse" in found.message
    (many,) = pocket_limit_verdicts(STATED, [better] * 4)
    assert "at their limits in all 4 combinations" in many.message
    assert "combinations" not in next(iter(pocket_limit_verdicts(STATED, [better] * 3))).message


def test_each_verdict_that_is_worse_anywhere_counts_once() -> None:
    small = AtLimit("small", (one("a", "warn"), one("b", "warn"), one("a", "pass", "second side")))
    large = AtLimit("large", (one("a", "warn"), one("b", "fail"), one("a", "warn", "second side")))
    (found,) = pocket_limit_verdicts(STATED, [small, large])
    assert (found.status, found.value, found.limit) == ("fail", 3.0, 0.0)
    assert found.message.startswith("with large, name of b (first side) fails: b is so; worse there")
    assert "name of a (first side), name of a (second side)" in found.message
    assert found.advice.endswith("Of name of b: Mend b.")
    (warned,) = pocket_limit_verdicts(STATED, [small])
    assert (warned.status, warned.value) == ("warn", 1.0)
    assert "worse there or at another limit" not in warned.message


def test_of_what_is_alike_the_smaller_margin_is_told() -> None:
    at = AtLimit("x", (one("a", "fail", value=0.9), one("d", "fail", value=0.5), one("e", "warn", value=0.1)))
    (found,) = pocket_limit_verdicts(STATED, [at])
    assert "name of d (first side) fails" in found.message
    two = AtLimit("x", (one("a", "fail"), one("b", "fail", value=0.5)))
    (found,) = pocket_limit_verdicts(STATED, [two])
    assert found.message.endswith("worse there or at another limit, too: name of a (first side).")


def test_only_three_are_named() -> None:
    at = AtLimit("x", tuple(one(key, "fail") for key in "abdefg"))
    (found,) = pocket_limit_verdicts(STATED, [at])
    assert found.value == 6.0
    assert found.message.count("name of") == 3


def test_what_is_asked_only_at_a_limit_was_no_trouble_before() -> None:
    (found,) = pocket_limit_verdicts(STATED, [AtLimit("x", (one("new", "warn"),))])
    assert (found.status, found.value) == ("warn", 1.0)
    (fine,) = pocket_limit_verdicts(STATED, [AtLimit("x", (one("new", "pass"),))])
    assert fine.status == "pass"
