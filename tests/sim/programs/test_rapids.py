"""Rapid moves of both axes, each at its own rate."""

from __future__ import annotations

from sim.programs.program import read
from sim.programs.reading import Reading

START = (50.0, 50.0)


def test_dogleg_rapids() -> None:
    text = "G0 X40 Z0\nG1 X20 Z-5"
    moves = read(text, Reading(start=START, rapid="dogleg")).moves
    assert [move.end for move in moves] == [(20.0, 20.0), (20.0, 0.0), (10.0, -5.0)]
    # x runs half as fast: 30 mm of it take as long as 60 of z, so z arrives first, after 25 mm of x.
    slow = read(text, Reading(start=START, rapid="dogleg", rapid_ratio=0.5)).moves
    assert [move.end for move in slow] == [(25.0, 0.0), (20.0, 0.0), (10.0, -5.0)]
    fast = read(text, Reading(start=START, rapid="dogleg", rapid_ratio=2.0)).moves
    assert [move.end for move in fast] == [(20.0, 35.0), (20.0, 0.0), (10.0, -5.0)]


def test_a_rapid_of_both_axes_may_stray_where_it_is_not_known_how_it_runs() -> None:
    moves = read(
        "G0 X40 Z0\nX20\nG1 X10 Z-5\nG28 U2 W2", Reading(start=START, rapid="unknown", home=(90.0, 90.0))
    ).moves
    assert [(move.end, move.astray) for move in moves] == [
        ((20.0, 0.0), True), ((10.0, 0.0), False), ((5.0, -5.0), False), ((6.0, -3.0), True), ((90.0, 90.0), True),
    ]  # fmt: skip
