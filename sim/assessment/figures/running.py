"""Whether the part runs true: the budget of run-out and squareness.

Lengths in mm, angles in rad, what is judged in micrometres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Share:
    """One cause by which the part's axis stands off the spindle's.

    Attributes
    ----------
    name : str
        In the shop's words.
    worst, root : float
        Distance of the axes where all errors add up, and the root of their squares, mm.
    basis : str
        How it is found, and from what.
    """

    name: str
    worst: float
    root: float
    basis: str


@dataclass(frozen=True, slots=True)
class RunningFigures:
    """The budget of one operation in the state in which it is largest.

    Attributes
    ----------
    state : str
        'at rest' or 'at the highest speed'.
    rho : float
        Share of a jaw's stiffness, with its contact, along the jaw. No unit.
    shares : tuple of Share
        In the order in which they come about; what is not there is 0.
    tilt_worst, tilt_root : float
        Of the part's axis to the spindle's, rad.
    by_seats : bool
        The jaws' back faces tilt it more than their walls.
    face : float
        Largest diameter of the part, mm, over which its faces are judged.
    roundness : float
        Of what is turned, after release, um; 0 where it is not known.
    chip : float
        Thickness of the chip of which is told what it would add, mm.
    chip_shift, chip_tilt : float
        What it adds behind the part, mm, and under it, rad.
    """

    state: str
    rho: float
    shares: tuple[Share, ...]
    tilt_worst: float
    tilt_root: float
    by_seats: bool
    face: float
    roundness: float
    chip: float
    chip_shift: float
    chip_tilt: float

    @property
    def worst(self) -> float:
        """Distance of the axes at their worst, mm."""
        return math.fsum(share.worst for share in self.shares)

    @property
    def root(self) -> float:
        """Root of the shares' squares, mm."""
        return math.sqrt(math.fsum(share.root**2 for share in self.shares))

    @property
    def run_out(self) -> float:
        """Total indicator run-out at its worst, with what the turned surface is out of round, um."""
        return 2e3 * self.worst + self.roundness

    @property
    def run_out_root(self) -> float:
        """The same by the root of squares, um."""
        return 2e3 * self.root + self.roundness

    @property
    def out_of_square(self) -> float:
        """Run-out of a face square to the axis over the part's largest diameter at its worst, um."""
        return 1e3 * self.tilt_worst * self.face

    @property
    def out_of_square_root(self) -> float:
        """The same by the root of squares, um."""
        return 1e3 * self.tilt_root * self.face

    @property
    def chip_run_out(self) -> float:
        """What the chip adds to the run-out, um."""
        return 2e3 * self.chip_shift

    @property
    def chip_out_of_square(self) -> float:
        """What the chip adds to how far a face is out of square, um."""
        return 1e3 * self.chip_tilt * self.face
