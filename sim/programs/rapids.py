"""Rapid moves of two axes: straight, or each axis at its own rate until the first arrives."""

from __future__ import annotations

import dataclasses
import math

from sim.programs.path import Move

_ALONG_ONE = 1e-6  # mm; what is less comes from rounding


def oblique(move: Move) -> bool:
    """Tell whether a rapid move runs both axes, each as it may."""
    return (
        move.kind == "rapid"
        and not move.on_its_line
        and move.centre is None
        and abs(move.end[0] - move.start[0]) > _ALONG_ONE
        and abs(move.end[1] - move.start[1]) > _ALONG_ONE
    )


def dogleg(move: Move, ratio: float) -> tuple[Move, ...]:
    """Return both axes at their own rates until the first arrives, then the other alone.

    Other moves stay as they are.

    Parameters
    ----------
    move : Move
    ratio : float
        Rate of the x slide over that of the z slide.
    """
    if not oblique(move):
        return (move,)
    dx, dz = move.end[0] - move.start[0], move.end[1] - move.start[1]
    along_z = min(abs(dz), abs(dx) / ratio)
    along_x = min(abs(dx), abs(dz) * ratio)
    if along_x == abs(dx) and along_z == abs(dz):
        return (move,)
    corner = (
        move.end[0] if along_x == abs(dx) else move.start[0] + math.copysign(along_x, dx),
        move.end[1] if along_z == abs(dz) else move.start[1] + math.copysign(along_z, dz),
    )
    return dataclasses.replace(move, end=corner), dataclasses.replace(move, start=corner)
