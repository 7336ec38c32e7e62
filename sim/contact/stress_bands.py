"""Bands along a part's outline over which its stress is averaged.

At a sharp corner that points into the metal, and under the edge of a jaw, an elastic stress grows without bound as the
elements get smaller, so no stress at a point is asked for. A mean over a band of a stated width is finite and hardly
depends on the elements.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats, Ints
from sim.contact.bodies import TurnedPart
from sim.contact.face import frozen_array

WIDTH_MM = 2.0  # of a band along the outline
MOST = 240  # bands of one outline; a longer one gets wider bands
_ON_AXIS = 1e-6  # mm
_GAUSS = np.polynomial.legendre.leggauss(3)


@dataclass(frozen=True, slots=True, eq=False)
class StressBands:
    """Pieces of an outline's edges.

    Attributes
    ----------
    points_mm : (b, 3, 2) array
        r and z of three points in each, at Gauss's places.
    weights : (3,) array
        Their shares of a mean, no unit.
    edge : (b,) array of int
        Number of the outline's edge that each lies on.
    width_mm : float
        Largest width of a band along the outline.
    """

    points_mm: Floats
    weights: Floats
    edge: Ints
    width_mm: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "points_mm", frozen_array(self.points_mm))
        object.__setattr__(self, "weights", frozen_array(self.weights))
        self.edge.setflags(write=False)

    @property
    def middles_mm(self) -> Floats:
        """Return r and z of the bands' middles, (b, 2)."""
        return np.asarray(self.points_mm[:, 1])


def stress_bands(part: TurnedPart) -> StressBands:
    """Divide each edge of the outline, but one on the axis, evenly into bands of about 2 mm."""
    start, end = part.outline_mm, np.roll(part.outline_mm, -1, axis=0)
    free = ~((start[:, 0] < _ON_AXIS) & (end[:, 0] < _ON_AXIS))
    lengths = np.linalg.norm(end - start, axis=1)
    width = max(WIDTH_MM, float(lengths[free].sum()) / max(MOST - len(lengths), 0.25 * MOST))
    places, weights = _GAUSS
    points, edges = [], []
    for edge in np.flatnonzero(free):
        count = max(1, math.ceil(lengths[edge] / width - 1e-9))
        share = (np.arange(count)[:, None] + 0.5 * (1.0 + places)) / count
        points.append(start[edge] + share[..., None] * (end[edge] - start[edge]))
        edges.append(np.full(count, edge))
    return StressBands(np.concatenate(points), 0.5 * weights, np.concatenate(edges), width)
