"""Faces and edges of a solid over a plan: what they lie on, and how they go round. Lengths in mm, angles in rad."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

from sim.exports.jaw_sheets import Sheet

Corner: TypeAlias = tuple[int, float]  # number of a point of the plan, and height


@dataclass(frozen=True, slots=True)
class Surface:
    """What a face lies on.

    Attributes
    ----------
    curve : int or None
        Number of the plan's line or circle over which it stands upright; None for a level or a cone.
    sheet : Level or Cone or None
    outward : bool
        The metal's outside is where the surface's own normal points: up of a level, left of a straight line, away from
        the axis of a cylinder or cone.
    """

    curve: int | None
    sheet: Sheet | None
    outward: bool


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge from corner to corner over a curve of the plan at a sheet, or upright.

    Attributes
    ----------
    curve : int or None
        Number of the plan's curve; None for an upright edge.
    sheet : Level or Cone or None
    start, end : Corner
    low, high : float
        Places on the plan's curve: mm along a line, rad about a circle.
    """

    curve: int | None
    sheet: Sheet | None
    start: Corner
    end: Corner
    low: float = 0.0
    high: float = 0.0


Way: TypeAlias = tuple[Edge, bool]  # an edge, from its start to its end or back
Loop: TypeAlias = tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Face:
    """A face with its loops, counter-clockwise as seen from outside of the metal about what is the face."""

    surface: Surface
    loops: tuple[Loop, ...]


def longer(edge: Edge, after: Edge) -> Edge:
    """Return an edge and the one that follows on the same curve as one."""
    return replace(edge, end=after.end, high=edge.high + (after.high - after.low))
