"""Moves of a cycle, leg by leg from a starting point."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from meshes.points import Point
from sim.programs.path import Move, MoveKind

_STANDS = 1e-9  # mm


class Leg(NamedTuple):
    """One straight leg: where it ends (x, z in mm), at which feed (mm/rev; rapid without one), what it is for.

    `thread` is that of `Move.thread`.
    """

    end: Point
    feed: float | None = None
    stage: str = ""
    thread: float | None = None
    cuts: bool = False


def rapid(end: Point, stage: str) -> Leg:
    """Return a leg at rapid."""
    return Leg(end, stage=stage)


def cut(end: Point, stage: str, feed: float | None, thread: float | None = None) -> Leg:
    """Return a leg at feed; None where the feed is not known."""
    return Leg(end, feed, stage, thread, cuts=True)


def moves_of(start: Point, legs: Iterable[Leg]) -> tuple[Move, ...]:
    """Return the moves of legs one after the other, without those that stand still."""
    moves: list[Move] = []
    at = start
    for leg in legs:
        if math.dist(at, leg.end) <= _STANDS:
            continue
        kind: MoveKind = "feed" if leg.cuts else "rapid"
        moves.append(Move(kind, at, leg.end, stage=leg.stage, feed=leg.feed, thread=leg.thread))
        at = leg.end
    return tuple(moves)
