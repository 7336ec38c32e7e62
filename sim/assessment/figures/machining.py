"""A program that machines the part, and how its cuts are held.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.path import PathFigures
from sim.base.arrays import Floats


@dataclass(frozen=True, slots=True, eq=False)
class MoveGrip:
    """Grip along a program that machines the part; n moves.

    Attributes
    ----------
    speed : (n,) array
        Highest spindle speed of each move, rev/min.
    left : (n,) array
        Total grip left where the move is worst, N; the gain of inside gripping is not counted.
    needed : (n,) array
        Total grip that its cut needs there, N, no safety; 0 where nothing is cut.
    assumed_feed : float or None
        Feed (mm/rev) of cutting moves for which the program gives none; None if it gives all.
    assumed_speed : float or None
        Speed (rev/min) of moves for which the program gives none; None if it gives all.
    """

    speed: Floats
    left: Floats
    needed: Floats
    assumed_feed: float | None
    assumed_speed: float | None

    def __post_init__(self) -> None:
        for name in ("speed", "left", "needed"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)

    @property
    def factor(self) -> Floats:
        """Grip left over grip needed, (n,); inf where nothing is cut."""
        cuts = self.needed > 0.0
        return np.where(cuts, self.left / np.where(cuts, self.needed, 1.0), np.inf)


@dataclass(frozen=True, slots=True)
class AskedByMove:
    """A cutting move at one place: its number from 0, what its cut asks for, total grip left there (N)."""

    move: int
    demand: CutDemand
    left: float

    @property
    def factor(self) -> float:
        """Grip left over grip needed, by closed forms; no unit."""
        return self.left / self.demand.needed if self.demand.needed > 0.0 else math.inf


@dataclass(frozen=True, slots=True, eq=False)
class AskedByMoves:
    """What the moves of a program ask of the grip, by closed forms.

    Attributes
    ----------
    grip : MoveGrip
        Each move where it is held least.
    worst : tuple of AskedByMove
        Those to be judged by everything at once: held least, or asking for most grip, whatever is left at their speed.
    pushing : AskedByMove or None
        The cut with the largest side force; None where nothing is cut.
    cuts : tuple of AskedByMove
        Every cutting move where it asks for most grip, in their order.
    """

    grip: MoveGrip
    worst: tuple[AskedByMove, ...]
    pushing: AskedByMove | None
    cuts: tuple[AskedByMove, ...]


@dataclass(frozen=True, slots=True, eq=False)
class HeldMove:
    """The move of a program whose cut is held least: its number from 0, what it asks for, how it is held."""

    move: int
    demand: CutDemand
    holding: CutHolding


@dataclass(frozen=True, slots=True, eq=False)
class HeldMoves:
    """A program as it runs in one way: what its moves ask of the grip, and how the worst of them are held."""

    asked: AskedByMoves
    held: tuple[HeldMove, ...]

    @property
    def least(self) -> HeldMove | None:
        """The move that is held least; None where nothing is cut."""
        return min(self.held, key=lambda one: one.holding.factor, default=None)


@dataclass(frozen=True, slots=True, eq=False)
class MachiningFigures(PathFigures):
    """A program that machines the part of an operation: the part is the stock.

    Attributes
    ----------
    operation : int
    grip : MoveGrip
        By closed forms, for every move.
    held : HeldMove or None
        Out of the moves that these find worst, the one held least by everything at once over one turn; None
        where nothing is cut.
    """

    operation: int
    grip: MoveGrip
    held: HeldMove | None

    @property
    def least_held(self) -> HeldMove | None:
        """The move that is held least, whichever optional blocks are run."""
        found = [one.held for one in self.readings if one.held is not None]
        return min(found, key=lambda one: one.holding.factor, default=None)
