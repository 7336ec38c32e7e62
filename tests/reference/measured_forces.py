"""Cutting forces of turning that somebody measured and laid open, and Kienzle's law fitted to some of them.

Public repository 'Turning-Cutting-Forces', files of mean forces by a dynamometer under the tool: 1080 rev/min, feeds by
clocking a length of cut. Neither metal, edge nor nose radius are named there, so the values of our table cannot be held
to it, only the form of the law. Of the three forces z is the cutting force; x falls and y rises in its share as the cut
gets shallower, as feed and passive force of a round nose do.

(The open data set of dry orthogonal cuts in Ck45 of H. Klippel et al., Int. J. Adv. Manuf. Technol. 135, 2024, 2871,
with coefficients for Kienzle's law, is known to us by its abstract alone.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut: feed and depth in mm, cutting, feed and passive force in N."""

    feed: float
    depth: float
    cutting: float
    along: float
    passive: float


BY_FEED = (  # 1 mm deep
    Cut(0.098, 1.0, 212.562, 100.478, 78.235),
    Cut(0.176, 1.0, 371.112, 147.247, 124.364),
    Cut(0.303, 1.0, 569.022, 194.856, 201.554),
    Cut(0.401, 1.0, 725.633, 250.863, 287.815),
)
BY_DEPTH = (
    Cut(0.102, 0.25, 65.517, 8.026, 47.229),
    Cut(0.100, 0.5, 120.192, 38.892, 62.217),
    Cut(0.101, 1.25, 268.151, 120.353, 69.189),
)


def fitted() -> tuple[float, float]:
    """Return kc1.1 (MPa) and mc by the logarithms of the four cuts 1 mm deep, h and b taken as feed and depth."""
    specific = [cut.cutting / (cut.feed * cut.depth) for cut in BY_FEED]
    slope, level = np.polyfit(np.log([cut.feed for cut in BY_FEED]), np.log(specific), 1)
    return math.exp(level), -float(slope)


def thinned(depth: float, nose_radius: float = 0.8) -> float:
    """Return by what the law rises at a depth against 1 mm where a nose of this radius thins the chip; no unit.

    The edge stands at about half of acos(1 - a / r) to the feed: 23 deg at 0.25 mm, 52 deg at 1 mm under 0.8 mm.
    """
    shallow, deep = (0.5 * math.acos(max(-1.0, 1.0 - a / nose_radius)) for a in (depth, 1.0))
    return (math.sin(shallow) / math.sin(deep)) ** -fitted()[1]
