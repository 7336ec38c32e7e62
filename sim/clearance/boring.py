"""Paths that turn the pockets: rough passes, then a finish along the contour with groove and lead-in.

Everything follows from two images, the stock and what is wanted of it, and from the insert's outline: tip
positions at which the insert would meet the wanted shape are blocked (Minkowski sum of the two), and the
border of the blocked region is the finish path. Nose radius and trailing edge are compensated exactly by
that: the insert never cuts below the wanted surface, and what it cannot reach is left.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.base.answers import written
from sim.base.arrays import Floats
from sim.clearance.shapes import bounds
from sim.clearance.sweep import minkowski_blocked
from sim.clearance.tool import Tool
from sim.clearance.union import united_exactly
from sim.programs.path import Move, MoveKind

RETRACT = 0.5  # mm by which the tip leaves the surface at feed before it goes back at rapid
APPROACH = 1.0  # mm before the stock at which rapid turns into feed
_FINE = 1e-4  # mm, vertices of the finish path that matter less are left out


@dataclass(frozen=True, slots=True)
class BoringPlan:
    """How the jaws are turned; lengths in mm.

    Attributes
    ----------
    direction : {'outside', 'inside'}
        Gripping: 'outside' turns bores, from the inside outwards; 'inside' turns outer diameters, from the
        outside inwards (with a tool of the other hand, see `sim.clearance.tool.mirrored`).
    depth_of_cut : float
        Of a rough pass, in radius.
    finish_allowance : float
        Left for the finish pass; 0 for a finish pass on the roughed surface.
    safe_plane : float
        z of rapid moves across.
    speed : float, optional
        Spindle speed, rev/min.
    """

    direction: Literal["outside", "inside"]
    depth_of_cut: float
    finish_allowance: float
    safe_plane: float
    speed: float | None = None

    def __post_init__(self) -> None:
        if not self.depth_of_cut > 0.0 or not math.isfinite(self.depth_of_cut):
            raise ValueError(f"depth of cut must be greater than 0 mm, found {self.depth_of_cut:g} mm")
        if not 0.0 <= self.finish_allowance < math.inf:
            raise ValueError(f"finish allowance must be 0 mm or more, found {self.finish_allowance:g} mm")


@written
def boring_path(stock: BaseGeometry, wanted: BaseGeometry, tool: Tool, plan: BoringPlan) -> tuple[Move, ...]:
    """Return rough passes and a finish pass that turn the stock to the wanted shape.

    Parameters
    ----------
    stock : BaseGeometry
        Image of the jaws as pre-bored, (rho, z) in mm.
    wanted : BaseGeometry
        Image of the jaws as they shall be.
    tool : Tool
        Its insert's outline and nose radius count here; nothing else is looked at (see `check`).
    plan : BoringPlan

    Returns
    -------
    tuple of Move
        From the safe plane to the safe plane; empty if nothing is to be removed.

    Raises
    ------
    ValueError
        If the safe plane does not lie above the stock.
    """
    top = bounds(stock)[3]
    if plan.safe_plane < top + APPROACH:
        raise ValueError(
            f"safe plane must lie at least {APPROACH:g} mm above the jaws' top face ({top:g} mm), "
            f"found {plan.safe_plane:g} mm"
        )
    excess = shapely.difference(stock, wanted)
    if excess.area < 1e-6:
        return ()
    outward = 1.0 if plan.direction == "outside" else -1.0
    rough_shape = shapely.buffer(wanted, plan.finish_allowance, join_style="mitre")
    rough = _rough_passes(_blocked(rough_shape, tool), excess, top, tool, plan, outward)
    finish = _contour(_blocked(wanted, tool), stock, excess, tool, outward)
    if len(finish):
        rough += _pass(finish, top, plan, outward, "finish")
    return _linked(rough, plan)


def _blocked(solid: BaseGeometry, tool: Tool) -> BaseGeometry:
    outlines = [part.outline for part in tool.parts if part.kind == "insert"]
    return united_exactly([minkowski_blocked(solid, outline) for outline in outlines])


def _rough_passes(
    blocked: BaseGeometry,
    excess: BaseGeometry,
    top: float,
    tool: Tool,
    plan: BoringPlan,
    outward: float,
) -> list[tuple[MoveKind, Point, str]]:
    """Axial passes from the opening to the wall, one depth of cut apart, each down to what is blocked."""
    low, bottom, high, _ = bounds(excess)
    first, last = (low, high) if outward > 0.0 else (high, low)
    floor = bottom - tool.nose_radius - RETRACT
    targets: list[tuple[MoveKind, Point, str]] = []
    count = math.ceil(abs(last - first) / plan.depth_of_cut - 1e-9)
    radii = [first + outward * min(k * plan.depth_of_cut, abs(last - first)) for k in range(1, count + 1)]
    done = first
    for radius in radii:
        radius, depth = _deepest(blocked, done, radius, top + APPROACH, floor)
        if depth >= top or abs(radius - done) < 1e-6:
            break
        line = np.array([(radius, top + APPROACH), (radius, depth)])
        targets += _pass(line, top, plan, outward, "rough")
        done = radius
    return targets


def _deepest(
    blocked: BaseGeometry, done: float, radius: float, start: float, floor: float
) -> tuple[float, float]:
    """Return the radius, at most one depth of cut on, that is free from the top, and how deep it is free.

    Where the full depth of cut is blocked from the top (the wall), the largest radius that is free counts.
    """
    for _ in range(40):
        line = shapely.LineString([(radius, start), (radius, floor)])
        hit = shapely.intersection(line, blocked)
        depth = floor if shapely.is_empty(hit) else bounds(hit)[3]
        if depth < start - APPROACH - 1e-9:
            return radius, depth
        radius = 0.5 * (radius + done)
        if abs(radius - done) < 0.02:
            break
    return done, start


def _contour(
    blocked: BaseGeometry,
    stock: BaseGeometry,
    excess: BaseGeometry,
    tool: Tool,
    outward: float,
) -> Floats:
    """Tip positions (n, 2) of the finish pass: the border of what is blocked, from the mouth to its end."""
    low, bottom, high, top = bounds(excess)
    nose = tool.nose_radius
    # The border also runs over faces that are not turned; what the excess does not reach is cut off.
    inner = low + 0.02 if outward > 0.0 else low - 1.0
    outer = high + 1.0 if outward > 0.0 else high - 0.02
    floor = bottom - 1e-3 if bottom > bounds(stock)[1] + 1e-3 else bottom - nose - 0.1
    window = shapely.box(inner, floor, outer, top - 1e-3)
    border = shapely.get_parts(shapely.intersection(shapely.boundary(blocked), window))
    pieces = shapely.multilinestrings([part for part in border if part.geom_type == "LineString"])
    reach = shapely.buffer(excess, 3.0 * nose + 0.5)
    lines = [
        line for line in shapely.get_parts(shapely.line_merge(pieces)) if shapely.intersects(line, reach)
    ]
    if not lines:
        return np.zeros((0, 2))
    line = max(lines, key=shapely.length)
    points = shapely.get_coordinates(shapely.simplify(line, _FINE))
    return points if points[0, 1] >= points[-1, 1] else points[::-1].copy()


def _pass(
    points: Floats, top: float, plan: BoringPlan, outward: float, stage: str
) -> list[tuple[MoveKind, Point, str]]:
    """Rapid above the start, feed through the points, leave the surface at feed, rapid up."""
    begin = max(top + APPROACH, float(points[0, 1]))
    last_x, last_z = float(points[-1, 0]), float(points[-1, 1])
    away = last_x - outward * RETRACT
    targets: list[tuple[MoveKind, Point, str]] = [
        ("rapid", (float(points[0, 0]), plan.safe_plane), stage),
        ("rapid", (float(points[0, 0]), begin), stage),
    ]
    targets += [("feed", (float(x), float(z)), stage) for x, z in points]
    targets += [
        ("feed", (away, last_z + RETRACT), stage),
        ("rapid", (away, plan.safe_plane), stage),
    ]
    return targets


def _linked(targets: list[tuple[MoveKind, Point, str]], plan: BoringPlan) -> tuple[Move, ...]:
    """Make moves from target to target, numbered in tens as programs are."""
    pairs = [
        (before[1], kind, point, stage)
        for before, (kind, point, stage) in itertools.pairwise(targets)
        if before[1] != point
    ]
    return tuple(
        Move(kind, start, end, block=10 * number, speed=plan.speed, stage=stage)
        for number, (start, kind, end, stage) in enumerate(pairs, start=1)
    )
