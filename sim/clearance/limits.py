"""Limits that follow from images alone: swing, and the plane on which rapid moves are safe."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Ints
from sim.clearance.shapes import bounds
from sim.programs.path import Move

_ALONG = 1e-3  # mm in x; a move with less runs along the spindle


def swing_diameter(images: Sequence[BaseGeometry]) -> float:
    """Return the largest diameter (mm) that turns; 0 without bodies. The machine's swing must exceed it."""
    return 2.0 * max((bounds(image)[2] for image in images if not image.is_empty), default=0.0)


def safe_plane(images: Sequence[BaseGeometry], clearance: float) -> float:
    """Return the z (mm) above which a tip may move across at rapid: the highest body and a clearance."""
    tops = [bounds(image)[3] for image in images if not image.is_empty]
    if not tops:
        raise ValueError("a safe plane needs at least one body, found none")
    return max(tops) + clearance


def highest_speed(moves: Sequence[Move]) -> float:
    """Return the highest spindle speed of a path, rev/min; 0 if no move has one."""
    return max((move.speed for move in moves if move.speed is not None), default=0.0)


def rapids_across(moves: Sequence[Move], plane: float) -> Ints:
    """Return the numbers of rapid moves that run across (in x) below a plane (z, mm).

    A move away from where a cut has ended is left out: it leaves the surface just cut.
    """
    found = []
    for number, move in enumerate(moves):
        leaves_cut = number > 0 and moves[number - 1].kind == "feed"
        across = abs(move.end[0] - move.start[0]) > _ALONG
        if (
            move.kind == "rapid"
            and across
            and not leaves_cut
            and min(move.start[1], move.end[1]) < plane - _ALONG
        ):
            found.append(number)
    return np.array(found, dtype=np.int64)


def distance_along(moves: Sequence[Move]) -> Floats:
    """Return how far (mm) the tip has gone at the end of each move, (n,): the abscissa of plots."""
    lengths = []
    for move in moves:
        if move.centre is None:
            lengths.append(math.dist(move.start, move.end))
            continue
        spokes = [math.atan2(p[0] - move.centre[0], p[1] - move.centre[1]) for p in (move.start, move.end)]
        turn = (spokes[0] - spokes[1] if move.clockwise else spokes[1] - spokes[0]) % (2.0 * math.pi)
        lengths.append(math.dist(move.start, move.centre) * (turn if turn > 1e-9 else 2.0 * math.pi))
    return np.cumsum(np.array(lengths, dtype=np.float64))
