"""Where the contact begins and ends around a jaw, not bound to whole strips of its face.

Next to an end inside the face the pressure grows like a root of the distance, so the force grows with its power 3/2:
two such sums of the strips next to the end give the end.
"""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Floats
from sim.contact.solve import ContactResult

# Half-angle up to which a contact inside the face is taken as an ellipse: below it Hertz's pressure is within 1 % of
# that of a conformal contact.
_ELLIPSE = np.radians(9.0)


def closed_half_angle(result: ContactResult, jaw: int = 0) -> float:
    """Half-angle at which the contact ends, at the middle of the gripped height, rad; 0 when nothing there carries.

    A narrow contact inside the face is taken as an ellipse, whose half-width is twice the root of its mean square
    angle off its middle (Hertz).
    """
    force = _middle_force(result, jaw)
    edges = result.grid.angle_edges_rad
    if not force.any():
        return 0.0
    ends = []
    for strips, at in ((force, edges), (force[::-1], -edges[::-1])):
        last = int(np.flatnonzero(strips > 0.0)[-1])
        narrow = at[last + 1] <= _ELLIPSE and last + 1 < strips.size
        ends.append(_ellipse_end(strips, at, last) if narrow else _root_end(strips, at, last))
    return max(ends)


def open_half_angle(result: ContactResult, jaw: int = 0) -> float:
    """Half-angle of the gap in the middle of a face whose edges carry, at the middle of the gripped height, rad.

    0 when the middle carries, half the face when nothing does.
    """
    force = _middle_force(result, jaw)
    edges, half = result.grid.angle_edges_rad, force.size // 2
    if force[(force.size - 1) // 2 : half + 1].any():
        return 0.0
    begins = []
    for strips, at in ((force[half:][::-1], -edges[half:][::-1]), (force[:half], edges[: half + 1])):
        carrying = np.flatnonzero(strips > 0.0)
        begins.append(-_root_end(strips, at, int(carrying[-1])) if carrying.size else -float(at[0]))
    return max(begins)


def _middle_force(result: ContactResult, jaw: int) -> Floats:
    """Force per mm of height and of radius on each strip at the middle of the gripped height."""
    nz = result.grid.shape[0]
    middle = result.pressure_mpa[jaw, [(nz - 1) // 2, nz // 2]].mean(axis=0)
    return np.asarray(middle * np.diff(result.grid.angle_edges_rad))


def _within(end: float, edges: Floats, last: int) -> float:
    """Keep an end within the last strip under pressure and the one after it."""
    return min(max(end, float(edges[last])), float(edges[min(last + 2, edges.size - 1)]))


def _ellipse_end(force: Floats, edges: Floats, last: int) -> float:
    centre = 0.5 * (edges[1:] + edges[:-1])
    share = force / force.sum()
    middle = float(share @ centre)
    squares = float(share @ ((centre - middle) ** 2 + np.diff(edges) ** 2 / 12.0))
    return _within(middle + 2.0 * float(np.sqrt(squares)), edges, last)


def _root_end(force: Floats, edges: Floats, last: int) -> float:
    """End of the contact on its rising side, rad, `last` being the last strip under pressure."""
    if last < 3 or not force[last - 3 : last - 1].any():
        return float(edges[last + 1])
    share = float((force[last - 1 :].sum() / force[last - 3 :].sum()) ** (2.0 / 3.0))
    return _within(float((edges[last - 1] - share * edges[last - 3]) / (1.0 - share)), edges, last)
