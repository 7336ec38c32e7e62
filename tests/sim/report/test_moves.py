"""A path move by move: the program's numbers, and the figures of the check."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from sim.assessment.results import Assessment
from sim.report.moves import move_rows


def test_rows_are_the_programs_own_numbers(assessment: Callable[[str], Assessment]) -> None:
    """N70 G1 X36. and N100 G1 Z-30.3 as the file has them; the tool's name, the grip left over that needed."""
    path = assessment("cast_hub_by_program").machining[0]
    assert path is not None
    rows = {row.block: row for row in move_rows(path)}
    assert (rows[70].kind, rows[70].line) == ("feed", 10)
    assert (rows[70].x, rows[70].z) == pytest.approx((36.0, 0.0))
    assert (rows[100].x, rows[100].z) == pytest.approx((81.0, -30.3))
    assert rows[100].depth == pytest.approx(2.0, abs=0.02)
    assert rows[100].tool == "tool 3, turning tool"
    assert rows[100].factor == path.grip.factor[[m.block for m in path.moves].index(100)]
    assert rows[80].kind == "rapid"
    assert rows[80].between == "holder to soft jaws"


def test_a_made_path_has_no_lines_and_no_grip(assessment: Callable[[str], Assessment]) -> None:
    path = assessment("cast_hub_ring_blocks").boring
    rows = move_rows(path)
    assert len(rows) == len(path.moves)
    assert {row.line for row in rows} == {None}
    assert {row.factor for row in rows} == {None}
    first = path.clearance.first_touch
    assert first is not None
    assert first.kind in rows[first.move].touches


def test_a_speed_that_is_not_stated_or_endless_is_none(assessment: Callable[[str], Assessment]) -> None:
    """At the axis a kept cutting speed asks for an endless one."""
    path = assessment("cast_hub_ring_blocks").boring
    speeds = (None, math.inf, 650.0)
    first = tuple(replace(path.moves[k], speed=speed) for k, speed in enumerate(speeds))
    rows = move_rows(replace(path, moves=(*first, *path.moves[3:])))
    assert [row.speed for row in rows[:3]] == [None, None, 650.0]
