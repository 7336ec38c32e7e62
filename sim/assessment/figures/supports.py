"""What holds the part while nothing but the jaws does. Lengths in mm, forces in N."""

from __future__ import annotations

from dataclasses import dataclass

from sim.holding import Holding


@dataclass(frozen=True, slots=True, eq=False)
class HeldAlone:
    """The part's weight in the jaws alone, nothing being cut.

    Attributes
    ----------
    weight : float
        N.
    grip : float
        Total grip that is counted at the highest speed, N.
    turn : Holding
        How many times that holds the weight, over one revolution.
    """

    weight: float
    grip: float
    turn: Holding

    @property
    def factor(self) -> float:
        """The least over the revolution."""
        return self.turn.factor
