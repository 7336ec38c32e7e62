"""Arcs, the way home, and feeds of moves.

The meaning of the words is that of the standard (quoted in `tests/corpus`); what goes beyond it is common practice, no
source, and said beside the check.
"""

from __future__ import annotations

import math

import pytest

from sim.programs.path import arc_points
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

START = (50.0, 50.0)


def test_sense_of_an_arc() -> None:
    """G3 seen with z right and x up is counter-clockwise: from z = 0 over the left to x = 30 it passes above."""
    move = read("G0 X40 Z0\nG3 X60 Z-10 R10", Reading(start=START)).moves[1]
    assert move.centre == pytest.approx((20.0, -10.0))
    middle = arc_points(move, 1e-4)[len(arc_points(move, 1e-4)) // 2]
    assert middle.tolist() == pytest.approx(
        [20.0 + 10.0 / math.sqrt(2.0), -10.0 + 10.0 / math.sqrt(2.0)], abs=0.1
    )


def test_an_arc_turns_fastest_where_it_is_nearest_to_the_axis() -> None:
    """From (30, 10) to (30, -10) about (35, 0), radius sqrt(125): the way below comes as near as x 35 - 11.18 mm.

    The other way goes as far as x 46.18 mm, where the spindle is slowest and a feed per minute largest.
    """
    found = {}
    for code in (2, 3):
        text = f"G95 G96 S100\nG0 X60 Z10\nG94\nG{code} X60 Z-10 I5 K-10 F100"
        move = read(text, Reading(start=START)).moves[-1]
        assert move.speed is not None
        assert move.feed is not None
        found[code] = (1e5 / (2.0 * math.pi * move.speed), 1e5 / (2.0 * math.pi * 100.0 / move.feed))
    reach, ends = math.sqrt(125.0), 30.0
    assert sorted(found.values()) == [
        (pytest.approx(35.0 - reach, abs=0.01), pytest.approx(ends, abs=0.01)),
        (pytest.approx(ends, abs=0.01), pytest.approx(35.0 + reach, abs=0.01)),
    ]


def test_home_is_reached_over_the_point_of_the_block() -> None:
    """G28 U0 W0 and G28 W5.: common practice, no source."""
    reading = Reading(start=START, home=(150.0, 300.0))
    moves = read("G1 X40 Z-5 F.2\nG28 U0 W0\nG0 X40 Z-5\nG28 W5.\nG28 U10", reading).moves
    assert [(move.kind, move.end) for move in moves[1:]] == [
        ("rapid", (150.0, 300.0)), ("rapid", (20.0, -5.0)), ("rapid", (20.0, 0.0)), ("rapid", (20.0, 300.0)),
        ("rapid", (25.0, 300.0)), ("rapid", (150.0, 300.0)),
    ]  # fmt: skip
    for text, what in (("G28", "must name the axes"), ("G41 G1 X1 Z1\nG28 U0", "while G41 or G42 is on")):
        with pytest.raises(ProgramError, match=what):
            read(text, reading)


def test_feed_of_every_move() -> None:
    """F per revolution or per minute, in mm or inches; modal, and without a value after the mode has changed."""
    text = "G1 X10 F.2\nX11\nG0 X12\nG98 S500 M3\nG1 X13\nX14 F100\nG20 G99\nG1 X.5 F.01\nG97 S400 X.6"
    feeds = [move.feed for move in read(text, Reading(start=START, code_system="G90 cycles")).moves]
    assert feeds == [0.2, 0.2, None, None, 0.2, pytest.approx(0.254), pytest.approx(0.254)]


def test_feed_per_minute_is_judged_where_the_spindle_turns_slowest() -> None:
    """F100 at v = 100 pi m/min: 1000 rev/min on 100 mm, 10000 on 10 mm; a machine's limit makes it slower still."""
    text = f"G95\nG94 G96 S{100.0 * math.pi:.6f} F100\nG1 X10\nG97 S9000 X20"
    assert [move.feed for move in read(text, Reading(start=START)).moves] == pytest.approx(
        [0.1, 100.0 / 9000.0]
    )
    held = read(text, Reading(start=START, speed_limit=500.0)).moves
    assert [move.feed for move in held] == pytest.approx([0.2, 0.2])
