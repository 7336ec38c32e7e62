"""Amounts of cycles that a control keeps among its own parameters, where the program does not say them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sim.programs.cycles.holes import PeckReturn

Plane = Literal["absolute", "from the start"]


@dataclass(frozen=True, slots=True)
class Amounts:
    """What a control's own parameters say; the defaults are common practice, no source.

    Attributes
    ----------
    pull_out : float
        How far before its end a thread is left at 45 deg, in leads. 0 judges it as cut in full to the end.
    least_pass : float
        By which each pass of a thread goes deeper at least, mm.
    finish_allowance : float
        Of a thread, mm.
    back_off : float
        By which a tool backs off after a peck, and short of which it stops on its way back in, mm.
    peck_return : {'out', 'back off'}
        How a drill goes back after a peck, see `sim.programs.cycles.holes`.
    roughing_retract : float, optional
        How far roughing along a contour retracts in both axes behind each pass, mm; the usual amount without it.
    plane : {'absolute', 'from the start'}, optional
        What R of a drilling cycle is: a coordinate, or the way from where the tool stands.
    """

    pull_out: float = 0.0
    least_pass: float = 0.05
    finish_allowance: float = 0.0
    back_off: float = 0.5
    peck_return: PeckReturn = "out"
    roughing_retract: float | None = None
    plane: Plane | None = None
