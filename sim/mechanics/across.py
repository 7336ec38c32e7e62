"""What is pushed across a jaw: its slim tip bends sideways, its seat tips about an edge. Closed forms; mm, N, MPa.

A section of the tip is a rectangle as wide as the jaw is there, less a hole on its middle; it is bent in its plane and
pressed along the jaw. The seat is pressed on two strips beside the T-slot, as wide as the cones of the screws reach.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from sim.base.floats import Number, choose, larger


@dataclass(frozen=True, slots=True)
class Section:
    """A section across a jaw between its face and where it is held.

    Attributes
    ----------
    lever : float
        From the force across to it, along the jaw, mm.
    width, hole : float
        Of the jaw there, and of a hole on its middle, mm.
    """

    lever: float
    width: float
    hole: float = 0.0

    def __post_init__(self) -> None:
        if not (self.lever >= 0.0 and 0.0 <= self.hole < self.width):
            raise ValueError(f"a section has a lever of 0 or more and is wider than its hole, not {self}")


def tip_stress(sections: Iterable[Section], along: Number, share: Number, height: float) -> Number:
    """Return the largest stress of a tip, MPa: pressed along the jaw, and bent by a share of that across it.

    Parameters
    ----------
    sections : iterable of Section
    along : float or array
        Force along the jaw, N.
    share : float or array
        Force across the jaw over that along it, no unit.
    height : float
        Of the metal that carries it, mm.
    """
    found = []
    for one in sections:
        bent = 6.0 * one.lever * one.width / (one.width**3 - one.hole**3)
        found.append((share * bent + 1.0 / (one.width - one.hole)) * along / height)
    return reduce(larger, found)


def sideways_lever(width: float, slot: float, reach: float) -> float:
    """Return the moment (N mm for each N of preload) at which a seat gapes along one of its sides.

    The core of two strips: modulus over area of a rectangle less one on its middle.

    Parameters
    ----------
    width, slot : float
        What soft jaw and master jaw have of width in common, and the T-slot's neck on its middle, mm.
    reach : float
        How far beyond a screw's axis its preload presses the seat, mm; see `screws.seat_reach`.

    Raises
    ------
    ValueError
        If no serrations are pressed beside the slot.
    """
    pressed = min(width, 2.0 * reach)
    if not 0.0 <= slot < pressed:
        raise ValueError(f"a seat pressed over {pressed:g} mm must be wider than its slot, {slot:g} mm")
    return (pressed**2 + pressed * slot + slot**2) / (6.0 * pressed)


def sideways_factor(preload: Number, moment: Number, wedging: Number, lever: float) -> Number:
    """Return how many times its load a seat stays closed along its sides, no unit; the wedging takes of the preload.

    Parameters
    ----------
    preload, wedging : float or array
        Sum of the least preloads, and what the serrations' flanks lift with, N.
    moment : float or array
        Of what is pushed across, about the seat, N mm.
    lever : float
        From `sideways_lever`, mm.
    """
    load = moment + wedging * lever
    idle = load == 0.0
    return choose(idle, 0.0 * load + float("inf"), preload * lever / choose(idle, 1.0, load))
