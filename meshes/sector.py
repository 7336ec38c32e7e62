"""Sector jaws (pie jaws): blanks that are pieces of a disc, three of them nearly the whole.

The flanks leave the corners of a flat inner end, each at half of the sector's angle to the middle plane, and go on to
the outer end, which is round about the line in which they would meet. Lengths in mm, angles in rad.
"""

from __future__ import annotations

import math

LARGEST = math.radians(119.0)  # three sectors leave at least 1 deg between neighbours
AGREES = 0.05  # mm by which a stated width may be off what the other dimensions give


def sector_radius(length: float, tip_width: float, angle: float) -> float:
    """Return the radius (mm) of the round end, about the line in which the flanks would meet.

    Parameters
    ----------
    length, tip_width : float
        From the inner end to the crown of the round end, and of the flat inner end, mm.
    angle : float
        Between the flanks, rad.
    """
    return length + 0.5 * tip_width / math.tan(0.5 * angle)


def sector_width(length: float, tip_width: float, angle: float) -> float:
    """Return the width (mm) over the outer corners; parameters as of `sector_radius`."""
    return 2.0 * sector_radius(length, tip_width, angle) * math.sin(0.5 * angle)
