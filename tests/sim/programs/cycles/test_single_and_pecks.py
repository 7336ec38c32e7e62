"""Single turning and facing, pecking and holes: worked examples by hand, and what holds for all of them.

How these cycles go is common practice, no source.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.programs.cycles.holes import hole
from sim.programs.cycles.pecks import pecked, stops
from sim.programs.cycles.single import facing, turning
from sim.programs.path import Move


def written(moves: Sequence[Move]) -> str:
    """Return the moves in short: r or f, and where each ends."""
    return " ".join(f"{move.kind[0]}({move.end[0]:g},{move.end[1]:g})" for move in moves)


def test_single_turning() -> None:
    """Straight: in along x, along the part, out at feed, back. With a taper of -2 the cut begins 2 mm farther in."""
    assert written(turning((27, 5), (25, -20), 0.0, 0.2, "")) == "r(25,5) f(25,-20) f(27,-20) r(27,5)"
    assert written(turning((27, 5), (25, -20), -2.0, 0.2, "")) == "r(23,5) f(25,-20) f(27,-20) r(27,5)"
    assert written(facing((27, 5), (10, 1), 0.0, 0.2, "")) == "r(27,1) f(10,1) f(10,5) r(27,5)"
    assert written(facing((27, 5), (10, 1), -3.0, 0.2, "")) == "r(27,-2) f(10,1) f(10,5) r(27,5)"
    assert [m.feed for m in turning((27, 5), (25, -20), 0.0, 0.2, "")] == [None, 0.2, 0.2, None]


def test_pecking_a_groove() -> None:
    """A groove 7 deep in pecks of 3: 24, 21, 20, each backed off by 0.2; then 2 mm aside, and the last 1 mm."""
    moves = pecked((27, -10), (20, -13), deep=0, peck=3.0, aside=2.0, back_off=0.2, feed=0.1, name="G75")
    one = "f(24,{0}) r(24.2,{0}) f(21,{0}) r(21.2,{0}) f(20,{0}) r(27,{0})"
    assert written(moves) == (
        f"{one.format(-10)} r(27,-12) {one.format(-12)} r(27,-13) {one.format(-13)} r(27,-10)"
    )
    assert moves[0].stage == "peck 1 at place 1 (G75)"


def test_pecking_a_hole() -> None:
    moves = pecked((0, 2), (0, -7), deep=1, peck=4.0, aside=None, back_off=0.5, feed=0.1, name="G74")
    assert written(moves) == "f(0,-2) r(0,-1.5) f(0,-6) r(0,-5.5) f(0,-7) r(0,2)"


def drilled(**changes: Any) -> str:
    numbers: dict[str, Any] = {
        "kind": "pecking", "plane": 2.0, "ends_at": 5.0, "peck": 4.0, "peck_return": "out", "back_off": 0.5,
        "feed": 0.1, "name": "G83",
    }  # fmt: skip
    return written(hole((0.0, 5.0), -7.0, **{**numbers, **changes}))


def test_holes() -> None:
    """From 2 to -7 in pecks of 4: -2, -6, -7. Back out and in to half a millimetre, or off by as much."""
    assert drilled() == "r(0,2) f(0,-2) r(0,2) r(0,-1.5) f(0,-6) r(0,2) r(0,-5.5) f(0,-7) r(0,5)"
    assert drilled(peck_return="back off") == "r(0,2) f(0,-2) r(0,-1.5) f(0,-6) r(0,-5.5) f(0,-7) r(0,5)"
    assert drilled(kind="drilling") == "r(0,2) f(0,-7) r(0,5)"
    assert drilled(kind="drilling", ends_at=2.0) == "r(0,2) f(0,-7) r(0,2)"
    assert drilled(kind="boring") == "r(0,2) f(0,-7) f(0,2) r(0,5)"
    tap = hole(
        (0.0, 5.0), -7.0, kind="tapping", plane=2.0, ends_at=5.0, peck=4.0, peck_return="out", back_off=0.5,
        feed=1.5, name="G84",
    )  # fmt: skip
    assert written(tap) == "r(0,2) f(0,-7) f(0,2) r(0,5)"
    assert [move.thread is not None for move in tap] == [False, True, True, False]


def test_a_plane_must_lie_on_the_way() -> None:
    for plane in (6.0, -7.0, -8.0):
        with pytest.raises(ValueError, match="must lie between"):
            drilled(plane=plane)


def test_steps_reach_their_end_exactly() -> None:
    assert stops(0.0, -1.0, 0.4) == [-0.4, -0.8, -1.0]
    assert stops(0.0, 1.2, 0.4) == pytest.approx([0.4, 0.8, 1.2])
    assert stops(3.0, 3.0, 0.4) == []
    assert stops(0.0, 9.0, None) == [9.0]
    with pytest.raises(ValueError, match="steps are followed"):
        stops(0.0, 100.0, 0.001)


numbers = st.floats(-50.0, 50.0)


@settings(max_examples=100, deadline=None)
@given(
    st.tuples(numbers, numbers), st.tuples(numbers, numbers), st.sampled_from([0, 1]), st.floats(0.5, 30.0),
    st.floats(1.0, 30.0), st.floats(0.0, 3.0),
)  # fmt: skip
def test_pecks_stay_within_their_corners(
    start: tuple[float, float],
    end: tuple[float, float],
    deep: int,
    peck: float,
    aside: float,
    back_off: float,
) -> None:
    moves = pecked(start, end, deep=deep, peck=peck, aside=aside, back_off=back_off, feed=None, name="G75")
    if not moves:
        assert start[deep] == end[deep] or math.isclose(start[deep], end[deep], abs_tol=1e-8)
        return
    assert (moves[0].start, moves[-1].end) == (start, start)
    for before, after in itertools.pairwise(moves):
        assert before.end == after.start
    reach = [sorted(pair) for pair in zip(start, end, strict=True)]
    for move in moves:
        for value, (low, high) in zip(move.end, reach, strict=True):
            assert low - 1e-9 <= value <= high + 1e-9
        if move.kind == "feed":
            assert abs(move.end[deep] - move.start[deep]) <= peck + back_off + 1e-9
            assert move.end[1 - deep] == move.start[1 - deep]
    cuts = [move for move in moves if move.kind == "feed"]
    if cuts:
        assert {move.end[deep] for move in cuts} >= {end[deep]}
        places = sorted({move.end[1 - deep] for move in cuts})
        assert places[-1] - places[0] == pytest.approx(abs(end[1 - deep] - start[1 - deep]), abs=1e-8)
        assert all(b - a <= aside + 1e-9 for a, b in itertools.pairwise(places))
