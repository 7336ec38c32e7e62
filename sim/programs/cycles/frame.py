"""One frame for every cycle: first coordinate across the passes, away from the part; second against their feed."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import NamedTuple

from meshes.points import Point
from sim.programs.path import Move


class Frame(NamedTuple):
    """How x and z lie in the frame of a cycle, in which passes step down the first axis and feed down the second.

    Attributes
    ----------
    facing : bool
        Passes step along z and feed along x.
    across, along : int
        Sign of the machine's axis in each of both.
    """

    facing: bool
    across: int
    along: int

    def seen(self, point: Point) -> Point:
        """Return a point (x, z) in the frame of the cycle."""
        first, second = (point[1], point[0]) if self.facing else point
        return self.across * first, self.along * second

    def back(self, point: Point) -> Point:
        """Return a point of the cycle's frame as (x, z)."""
        first, second = self.across * point[0], self.along * point[1]
        return (second, first) if self.facing else (first, second)

    @property
    def mirrors(self) -> bool:
        """Whether an arc turns the other way in it."""
        return self.facing != (self.across * self.along < 0)


def seen(frame: Frame, move: Move) -> Move:
    """Return a move in the frame of a cycle."""
    return _placed(move, frame.seen, mirrored=frame.mirrors)


def back(frame: Frame, move: Move) -> Move:
    """Return a move of a cycle's frame in x and z."""
    return _placed(move, frame.back, mirrored=frame.mirrors)


def shifted(move: Move, by: Point) -> Move:
    """Return a move moved aside by (x, z), mm."""
    return _placed(move, lambda point: (point[0] + by[0], point[1] + by[1]), mirrored=False)


def _placed(move: Move, place: Callable[[Point], Point], *, mirrored: bool) -> Move:
    """Return a move with all its points somewhere else."""
    return dataclasses.replace(
        move,
        start=place(move.start),
        end=place(move.end),
        centre=None if move.centre is None else place(move.centre),
        clockwise=move.centre is not None and move.clockwise != mirrored,
    )
