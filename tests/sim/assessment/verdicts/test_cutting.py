"""Feeds on the noses of a path, which of its moves is judged; shares of the usual by hand; no path is cut."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from meshes.insert import parse
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.cutting import (
    beyond,
    depth_of_the_cuts_and_limit,
    feed_of_the_cuts_and_limit,
    nose_verdicts,
)
from sim.programs.path import Move
from sim.scenario import Cut

NOSE = parse("CNMG 120408")  # 0.8 mm, takes two thirds of it: 0.533 mm/rev


def judged(*feeds: float | None, **changes: Any) -> list[Verdict]:
    made = {"kind": "feed", "thread": None, "depths": [1.0] * len(feeds), "cutter": NOSE} | changes
    moves = tuple(
        Move(made["kind"], (50.0, 9.0 - k), (50.0, 8.0 - k), feed=feed, thread=made["thread"])
        for k, feed in enumerate(feeds)
    )
    path: Any = SimpleNamespace(
        moves=moves, drawn=(SimpleNamespace(cutter=made["cutter"]),), run_of=lambda _: 0, file="",
        runs=(SimpleNamespace(moves=moves),), clearance=SimpleNamespace(depth_of_cut=np.array(made["depths"])),
    )  # fmt: skip
    return list(nose_verdicts(path, "first side", 0.5))


@pytest.mark.parametrize(
    ("feed", "status"), [(0.53, "pass"), (0.54, "warn"), (0.79, "warn"), (0.81, "fail"), (None, "pass")]
)
def test_a_nose_takes_two_thirds_of_itself_and_never_more_than_all(feed: float | None, status: str) -> None:
    (found,) = judged(0.2, feed, 0.1)
    assert (found.status, found.value) == (status, 0.5 if feed is None else feed)
    assert found.limit == pytest.approx(0.8 * 2.0 / 3.0)
    assert "in move 2 on a nose of 0.8 mm" in found.message


def test_only_what_cuts_with_a_nose_along_is_asked() -> None:
    blade = SimpleNamespace()
    for changes in ({"kind": "rapid"}, {"thread": 0.0}, {"depths": [0.0]}, {"cutter": blade}):
        assert judged(0.3, **changes) == []
    (found,) = judged(0.3, 0.9, depths=[0.1, 0.0])
    assert found.value == 0.3


def stated(**changes: Any) -> Cut:
    base = {
        "name": "rough", "kind": "turning", "diameter": "100 mm", "height": "20 mm", "depth_of_cut": "3 mm",
        "feed": "0.4 mm/rev", "feed_towards": "chuck", "cutting_speed": "150 m/min", "insert": "CNMG 120408",
    }  # fmt: skip
    return Cut.model_validate({k: v for k, v in (base | changes).items() if v is not None})


def test_the_worst_of_several_cuts_counts_by_its_own_edge() -> None:
    """0.4 of 0.533 mm/rev is 0.75; a blade of 3 mm takes 0.21 mm/rev: 0.2 of it is 0.952."""
    cuts = [
        stated(),
        stated(kind="grooving", feed_towards="axis", end_diameter="80 mm", insert=None, feed="0.2 mm/rev"),
    ]
    for order in (cuts, cuts[::-1]):
        found = feed_of_the_cuts_and_limit([c.feed for c in order], order)
        assert found == (pytest.approx(0.2 / 0.21), 1.0)
    deep = [stated(), stated(depth_of_cut="6 mm")]
    share, most = depth_of_the_cuts_and_limit([3.0, 6.0], deep)
    assert (share, most) == (pytest.approx(2.0 * depth_of_the_cuts_and_limit([3.0], deep[:1])[0]), 1.0)
    assert [beyond(share) for share in (1.2, 1.49, 1.5, 1.51)] == ["warn", "warn", "warn", "fail"]
