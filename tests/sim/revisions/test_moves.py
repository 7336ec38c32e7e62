"""Which verdicts moved, and in which order: made-up verdicts."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from sim.assessment.verdict import NotJudged, Status, Verdict
from sim.revisions.verdicts import moves


def verdict(key: str, status: Status, value: float, limit: float = 1.5, stage: str = "side") -> Verdict:
    return Verdict(key, key, stage, status, value, limit, "", "common practice", "found")


def judged(*verdicts: Verdict, open_: tuple[NotJudged, ...] = ()) -> Any:
    return SimpleNamespace(verdicts=verdicts, not_judged=open_)


def test_worst_first_and_what_stays_is_not_told() -> None:
    old = judged(
        verdict("a", "pass", 3.0),
        verdict("b", "pass", 3.0),
        verdict("c", "fail", 1.0),
        verdict("d", "pass", 2.0),
    )
    new = judged(
        verdict("a", "pass", 2.0),
        verdict("b", "fail", 1.0),
        verdict("c", "pass", 1.6),
        verdict("d", "pass", 2.0),
    )
    found = moves(old, new, {"side": "side"})
    assert [(m.now.key, m.way) for m in found.verdicts] == [("b", "worse"), ("a", "worse"), ("c", "better")]


def test_another_limit_alone_is_a_move_and_rounding_is_none() -> None:
    old = judged(verdict("a", "pass", 3.0), verdict("b", "pass", 3.0))
    new = judged(verdict("a", "pass", 3.0, 2.0), verdict("b", "pass", 3.0 * (1.0 + 1e-9)))
    (one,) = moves(old, new, {}).verdicts
    assert (one.now.key, one.way) == ("a", "worse")


def test_what_is_not_judged_any_more_stands_before_what_passes() -> None:
    """A verdict that is gone does not pass: nobody knows."""
    question = NotJudged("does it hold?", "side", "nothing stated", "a cut", matters=True)
    old = judged(verdict("a", "fail", 1.0), verdict("b", "pass", 3.0))
    new = judged(verdict("b", "pass", 2.0), open_=(question,))
    found = moves(old, new, {})
    assert [(m.now.key, m.way) for m in found.verdicts] == [("a", "gone"), ("b", "worse")]
    assert (found.opened, found.closed) == ((question,), ())
    back = moves(new, old, {})
    assert [(m.now.key, m.way) for m in back.verdicts] == [("a", "new"), ("b", "better")]
    assert (back.opened, back.closed) == ((), (question,))


def test_a_renamed_operation_keeps_its_verdicts() -> None:
    old = judged(verdict("a", "pass", 3.0), verdict("boring", "pass", 2.0, stage="boring"))
    new = judged(verdict("a", "fail", 1.0, stage="A"), verdict("boring", "pass", 2.0, stage="boring"))
    (one,) = moves(old, new, {"A": "side"}).verdicts
    assert one.old is not None
    assert one.way == "worse"
