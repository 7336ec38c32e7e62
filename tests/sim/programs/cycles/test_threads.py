"""Passes of threads: worked examples by hand, what holds for all of them, and a second expansion.

How a thread cycle goes in is common practice, no source; the arithmetic is derived beside each case.
"""

from __future__ import annotations

import itertools
import math

import pytest
import thread_expansion
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.programs.cycles.threads import infeeds, pace, phase, threading
from sim.programs.path import Move

SIXTY = math.radians(60.0)


def deep(
    height: float, first: float, least: float = 0.0, allowance: float = 0.0, finish: int = 0
) -> list[float]:
    return list(infeeds(height, first, least, allowance, finish))


def test_each_pass_takes_the_same_section() -> None:
    """0.3 mm at first: 0.3 sqrt(2) = 0.42426, 0.3 sqrt(3) = 0.51962, 0.3 sqrt(4) = 0.6, then what is left to 0.65."""
    assert deep(0.65, 0.3) == pytest.approx([0.3, 0.424264, 0.519615, 0.6, 0.65], abs=1e-6)


def test_the_least_pass_takes_over() -> None:
    """Steps 0.3, 0.1243, 0.0954, 0.0804: from the third on 0.1 counts: 0.4243, 0.5243, 0.6243, at last 0.65."""
    assert deep(0.65, 0.3, least=0.1) == pytest.approx([0.3, 0.424264, 0.524264, 0.624264, 0.65], abs=1e-6)


def test_the_first_finishing_pass_takes_the_allowance() -> None:
    """Roughed to 0.65 - 0.05 = 0.6 in four passes, then 0.65 three times."""
    assert deep(0.65, 0.3, allowance=0.05, finish=3) == pytest.approx(
        [0.3, 0.424264, 0.519615, 0.6, 0.65, 0.65, 0.65]
    )
    assert deep(0.65, 0.3, finish=0, allowance=0.05)[-1] == 0.65
    assert deep(0.6, 0.6) == [0.6]


@pytest.mark.parametrize(
    ("numbers", "what"),
    [
        ((0.6, 0.0, 0.0, 0.0, 1), "first pass"),
        ((0.6, 0.7, 0.0, 0.0, 1), "first pass"),
        ((0.6, 0.3, 0.4, 0.0, 1), "least pass"),
        ((0.6, 0.3, -0.1, 0.0, 1), "least pass"),
        ((0.6, 0.3, 0.0, 0.6, 1), "less for finishing"),
        ((0.9, 0.001, 0.0, 0.0, 1), "more than 500 passes"),
    ],
)
def test_numbers_that_make_no_thread(numbers: tuple[float, float, float, float, int], what: str) -> None:
    with pytest.raises(ValueError, match=what):
        infeeds(*numbers)


lengths = st.floats(0.05, 3.0)


@settings(max_examples=100, deadline=None)
@given(lengths, st.floats(0.06, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 0.5), st.integers(0, 3))
def test_no_pass_is_deeper_than_the_first_or_the_one_before(
    height: float, share: float, least: float, left: float, finish: int
) -> None:
    first = share * height
    found = deep(height, first, least * first, left * height, finish)
    steps = [b - a for a, b in itertools.pairwise([0.0, *found])]
    rough = [step for step, depth in zip(steps, found, strict=True) if depth < height * (1.0 - left) - 1e-6]
    assert max(rough, default=0.0) <= first + 1e-9
    assert all(b <= a + 1e-9 for a, b in itertools.pairwise(rough))
    assert found[-1] == pytest.approx(height, abs=1e-9)
    assert max(found) <= height + 1e-12
    assert all(step >= -1e-12 for step in steps)
    if left > 0.0 or finish > 0:
        assert found[-1] == height


@settings(max_examples=40, deadline=None)
@given(lengths, st.floats(0.1, 1.0), st.floats(0.0, 1.0), st.floats(0.3, 1.5))
def test_depths_as_of_polygons(height: float, share: float, least: float, angle: float) -> None:
    first = share * height
    expected = thread_expansion.depths(height, first, least * first, angle)
    assert deep(height, first, least=least * first) == pytest.approx(expected, abs=1e-7)


def cut_thread(**changes: object) -> tuple[Move, ...]:
    """M30 by 1.5: from diameter 34 at 5 mm before the face to a root of 28.16, 20 mm behind it."""
    numbers: dict[str, object] = {
        "start": (17.0, 5.0), "end": (14.08, -20.0), "taper": 0.0, "lead": 1.5, "height": 0.92, "depths": (0.3, 0.92),
        "angle": SIXTY, "name": "G76",
    }  # fmt: skip
    return threading(**{**numbers, **changes})  # type: ignore[arg-type]


def test_the_moves_of_two_passes() -> None:
    """Crest 14.08 + 0.92 = 15. First pass at 15 - 0.3 = 14.7, begun 0.3 tan(30 deg) = 0.1732 mm nearer to the chuck.

    The last at the root, begun 0.92 tan(30 deg) = 0.5312 mm nearer; both end at -20 and go back by x, then by z.
    """
    moves = cut_thread()
    assert [move.kind for move in moves] == ["rapid", "feed", "rapid", "rapid"] * 2
    ends = [value for move in moves for value in move.end]
    assert ends == pytest.approx(
        [14.7, 5 - 0.173205, 14.7, -20, 17, -20, 17, 5, 14.08, 5 - 0.531162, 14.08, -20, 17, -20, 17, 5],
        abs=1e-6,
    )
    assert [move.stage for move in moves[::4]] == ["thread pass 1 (G76)", "thread pass 2 (G76)"]
    assert [move.feed for move in moves if move.kind == "feed"] == pytest.approx([1.5, 1.5])
    assert all((move.thread is not None) == (move.kind == "feed") for move in moves)


def test_pulled_out_at_the_end() -> None:
    """One lead of 1.5 before the end, at 45 deg: from (14.7, -18.5) to (16.2, -20)."""
    moves = cut_thread(depths=(0.3,), pull_out=1.5)
    assert [move.kind for move in moves] == ["rapid", "feed", "feed", "rapid", "rapid"]
    assert moves[2].start == pytest.approx((14.7, -18.5))
    assert moves[2].end == pytest.approx((16.2, -20.0))
    assert moves[2].feed == pytest.approx(1.5 * math.sqrt(2.0))


def test_inside_the_thread_is_cut_outwards() -> None:
    """Root 15 from a start at 13: crest 15 - 0.92 = 14.08, first pass at 14.38, pulled out to 14.38 - 0.5."""
    moves = cut_thread(start=(13.0, 5.0), end=(15.0, -20.0), depths=(0.3, 0.92), pull_out=0.5)
    assert moves[1].end == pytest.approx((14.38, -19.5))
    assert moves[2].end == pytest.approx((13.88, -20.0))


def test_a_cone_keeps_its_slope() -> None:
    """Taper 1 in 16 over 25 mm: 25 / 32 = 0.78125 less at the start; a pass begun nearer begins on the same cone."""
    moves = cut_thread(taper=-0.78125, depths=(0.92,))
    assert moves[0].end == pytest.approx((14.08 - 0.78125 * (25 - 0.531162) / 25, 5 - 0.531162))
    run, rise = 25 - 0.531162, 0.78125 * (25 - 0.531162) / 25
    assert moves[1].feed == pytest.approx(1.5 * math.hypot(run, rise) / run)


def test_the_tool_must_stand_beyond_the_crests() -> None:
    with pytest.raises(ValueError, match="through its crests"):
        cut_thread(start=(14.9, 5.0))
    with pytest.raises(ValueError, match="through its crests"):
        cut_thread(start=(15.2, 5.0), taper=0.4)
    with pytest.raises(ValueError, match="farther than the tool stands off"):
        cut_thread(start=(15.1, 5.0), pull_out=1.5)
    with pytest.raises(ValueError, match="before it begins"):
        cut_thread(start=(17.0, -18.8), pull_out=1.5)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.2, 3.0), st.floats(0.1, 1.0), st.floats(0.0, 1.0), st.sampled_from([-1.0, 1.0]),
    st.sampled_from([-1.0, 1.0]), st.floats(-0.5, 0.5), st.floats(0.3, 2.0),
)  # fmt: skip
def test_every_pass_is_connected_and_above_the_root(
    height: float, share: float, angle: float, side: float, way: float, taper: float, pull_out: float
) -> None:
    start, end = (20.0 + 4.0 * side, 0.0), (20.0, 30.0 * way)
    depths = infeeds(height, share * height, 0.02 * height, 0.0, 1)
    moves = threading(
        start,
        end,
        taper,
        height,
        height=height,
        depths=depths,
        angle=angle,
        pull_out=0.1 * pull_out,
        name="G76",
    )
    assert (moves[0].start, moves[-1].end) == (start, start)
    for before, after in itertools.pairwise(moves):
        assert before.end == after.start
    reached = []
    for move in moves:
        for x, z in (move.start, move.end):
            root = end[0] + taper * (end[1] - z) / end[1]
            assert side * (x - root) >= -1e-9
            assert 0.0 <= z * way <= 30.0
            if move.kind == "feed":
                reached.append(side * (x - root))
    assert min(reached) == pytest.approx(0.0, abs=1e-9)
    begun = [move.end[1] for move in moves if move.start == start]
    for depth, z in zip(depths, begun, strict=True):
        behind = thread_expansion.tip_along(depth, height, angle) if angle > 1e-3 else 0.0
        assert way * (begun[-1] - z) == pytest.approx(behind, abs=2e-3 if angle <= 1e-3 else 1e-9)


def test_starts_of_a_thread() -> None:
    """Half a lead farther out, or half a turn later: the other start of two. A whole lead: the same."""
    first = phase((17.0, 6.0), (17.0, -20.0), 3.0)
    assert phase((17.0, 7.5), (17.0, -20.0), 3.0) == pytest.approx((first + 0.5) % 1.0)
    assert phase((17.0, 6.0), (17.0, -20.0), 3.0, 0.5) == pytest.approx((first + 0.5) % 1.0)
    assert phase((17.0, 9.0), (17.0, -20.0), 3.0) == pytest.approx(first)
    # On a face it is the radius that counts.
    assert phase((20.0, 0.0), (10.0, -1.0), 4.0) == pytest.approx(0.0)
    assert pace((0.0, 0.0), (3.0, -4.0), 2.0) == pytest.approx(2.5)
