"""Moves between other points."""

from __future__ import annotations

import dataclasses

from sim.programs.path import Move


def test_a_move_placed_elsewhere_keeps_all_else() -> None:
    """Against the standard library's way, with every field other than it is by itself."""
    move = Move(
        "feed", (1.0, 2.0), (3.0, 2.0), (2.0, 2.0), clockwise=True, block=7, line=8, speed=900.0, stage="finish",
        feed=0.1, surface_speed=150.0, astray=True, ordinal=9, on_its_line=True, thread=0.25,
    )  # fmt: skip
    for field in dataclasses.fields(Move):
        assert field.default is dataclasses.MISSING or getattr(move, field.name) != field.default, field.name
    there = move.placed((5.0, 6.0), (9.0, 6.0), (7.0, 6.0))
    expected = dataclasses.replace(move, start=(5.0, 6.0), end=(9.0, 6.0), centre=(7.0, 6.0))
    assert (there, there.ordinal) == (expected, 9)
