"""The cycle that holds from block to block of a program."""

from __future__ import annotations

from typing import Literal, NamedTuple

from meshes.points import Point
from sim.programs.code_systems import Place

CycleKind = Literal[
    "turning", "facing", "threading", "thread", "thread cycle", "peck along z", "peck along x",
    "drilling", "pecking", "tapping", "boring",
]  # fmt: skip
# They hold until another motion is given: a block with an axis word only repeats them.
MODAL = ("turning", "facing", "threading", "thread", "drilling", "pecking", "tapping", "boring")


class Cycle(NamedTuple):
    """A cycle and what its next blocks need not repeat; lengths in mm.

    Attributes
    ----------
    kind : CycleKind
    place : Place
        The word that called it.
    end : (x, z), optional
        Where its cut ends.
    taper : float
    lead : float
        Of a thread.
    turned : float
        By which the spindle is turned as a thread begins, turns.
    plane : float, optional
        z at which a drill begins to feed.
    peck : float, optional
    returns : {'start', 'plane'}
        Where a drill goes back to.
    """

    kind: CycleKind
    place: Place
    end: Point | None = None
    taper: float = 0.0
    lead: float = 0.0
    turned: float = 0.0
    plane: float | None = None
    peck: float | None = None
    returns: Literal["start", "plane"] = "start"


class ThreadParameters(NamedTuple):
    """What the first block of a thread cycle says: finishing passes, pull-out in leads, angle in rad, lengths in mm."""

    line: int
    finish: int
    pull_out: float
    angle: float
    least_pass: float | None
    allowance: float | None


class FirstBlocks(NamedTuple):
    """Last first block of each cycle in two blocks: parameters of a thread, and by how much a peck backs off (mm)."""

    thread: ThreadParameters | None = None
    along_z: float | None = None
    along_x: float | None = None
