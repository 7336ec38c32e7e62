"""A tool standing somewhere on its path: what it is nearest to there, and where the two are that near.

The check of a path (`sim.clearance.check`) judges whole moves. This looks at single places of the same path with
the same images and the same rules, so that the least distance over the places of a move is that move's clearance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats
from sim.clearance.limits import distance_along
from sim.clearance.obstacle import is_touch
from sim.clearance.result import Body
from sim.clearance.shapes import region
from sim.clearance.sweep import swept
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move, Point, steps

STOCK = "soft jaws"


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A path made ready to be looked at place by place; n moves.

    Attributes
    ----------
    moves, bodies : tuple of Move, tuple of Body
        As they were checked.
    tools : tuple of Tool
        Of each move.
    stock_name : str
    stock : (n,) tuple of shapely geometries
        The stock as each move finds it, (rho, z) in mm.
    ends : (n,) array
        How far (mm) the tip has gone at the end of each move.
    """

    moves: tuple[Move, ...]
    tools: tuple[Tool, ...]
    bodies: tuple[Body, ...]
    stock_name: str
    stock: tuple[BaseGeometry, ...]
    ends: Floats

    @property
    def length(self) -> float:
        """Length of the path, mm; 0 without moves."""
        return float(self.ends[-1]) if len(self.ends) else 0.0


@dataclass(frozen=True, slots=True)
class Standing:
    """The tool with its tip at one place of the path.

    Attributes
    ----------
    position : float
        How far (mm) the tip has gone along the path.
    move : int
        Number of the move, from 0.
    tip : (x, z)
        mm.
    distance : float
        Least distance to what must not be touched, mm; 0 at a touch, inf where nothing is there.
    part, body : str
        The two that are that near; empty where nothing is.
    ends : ((rho, z), (rho, z)) or None
        The points on tool and body that are that near, mm.
    """

    position: float
    move: int
    tip: Point
    distance: float
    part: str
    body: str
    ends: tuple[Point, Point] | None


def track(
    moves: Sequence[Move],
    tool: Tool | Sequence[Tool],
    bodies: Sequence[Body],
    stock: BaseGeometry,
    stock_name: str = STOCK,
) -> Track:
    """Return a path with the stock that each of its moves finds.

    Parameters
    ----------
    moves, bodies, stock, stock_name : sequence of Move, sequence of Body, BaseGeometry, str
        As for `sim.clearance.check.check`.
    tool : Tool or sequence of Tool
        One for all moves, or one for each.
    """
    tools = (tool,) * len(moves) if isinstance(tool, Tool) else tuple(tool)
    left, found = stock, []
    for move, cutting in zip(moves, tools, strict=True):
        found.append(left)
        left = _less(left, cutting, move, move.end)
    ends = distance_along(moves)
    ends.setflags(write=False)
    return Track(tuple(moves), tools, tuple(bodies), stock_name, tuple(found), ends)


def standing(on: Track, position: float) -> Standing:
    """Return what the tool is nearest to at a place of its path.

    Parameters
    ----------
    on : Track
    position : float
        How far (mm) the tip has gone; held within the path.

    Raises
    ------
    ValueError
        If the path has no move or the position is not a number.
    """
    if not on.moves or not math.isfinite(position):
        raise ValueError(f"a place on a path needs a move and a finite position, found {position:g} mm")
    position = min(max(position, 0.0), on.length)
    number = min(int(np.searchsorted(on.ends, position)), len(on.moves) - 1)
    tip = point_on(on.moves[number], position - (float(on.ends[number - 1]) if number else 0.0))
    return standing_at(on, number, tip, position)


def standing_at(on: Track, number: int, tip: Point, position: float = math.nan) -> Standing:
    """Return what the tool is nearest to with its tip at a point (x, z) of a move."""
    move = on.moves[number]
    tool = on.tools[number]
    stock = _less(on.stock[number], tool, move, tip)
    best: tuple[float, str, str, BaseGeometry | None] = (math.inf, "", "", None)
    for part in tool.parts:
        image = _image(part, tip)
        against = [(body.name, body.image) for body in on.bodies if not body.image.is_empty]
        if part.kind == "shank":
            against.append((on.stock_name, stock))
        elif move.kind == "rapid" or part.kind != "insert":
            # Close behind the cut nothing but a touch counts; the insert's own feed is no touch.
            best = _nearer(best, part, image, on.stock_name, stock, only_touch=True)
        for name, solid in against:
            best = _nearer(best, part, image, name, solid)
    distance, part_name, body, line = best
    ends = None
    if line is not None:
        points = shapely.get_coordinates(line)
        ends = (
            (float(points[0, 0]), float(points[0, 1])),
            (float(points[-1, 0]), float(points[-1, 1])),
        )
    return Standing(position, number, tip, distance, part_name, body, ends)


def point_on(move: Move, gone: float) -> Point:
    """Return the point (x, z) of a move after `gone` mm of it; its ends before and beyond."""
    chords = steps([move])
    lengths = np.hypot(*(chords.ends - chords.starts).T)
    reached = np.concatenate([[0.0], np.cumsum(lengths)])
    points = np.vstack([chords.starts[:1], chords.ends])
    x, z = (float(np.interp(gone, reached, points[:, k])) for k in (0, 1))
    return x, z


def _nearer(
    best: tuple[float, str, str, BaseGeometry | None],
    part: ToolPart,
    image: BaseGeometry,
    name: str,
    solid: BaseGeometry,
    *,
    only_touch: bool = False,
) -> tuple[float, str, str, BaseGeometry | None]:
    gap = float(shapely.distance(image, solid))
    if gap >= best[0] or (only_touch and gap > 0.0):
        return best
    if gap > 0.0:
        return gap, part.name, name, shapely.shortest_line(image, solid)
    met = shapely.intersection(image, solid)
    if is_touch(np.array([image], dtype=object), solid)[0]:
        point = shapely.point_on_surface(met)
        return 0.0, part.name, name, shapely.LineString([point, point])
    return best  # they graze within the tolerance of the images


def _less(stock: BaseGeometry, tool: Tool, move: Move, tip: Point) -> BaseGeometry:
    """Return the stock without what the insert takes from the start of a move to a point of it."""
    if move.kind != "feed":
        return stock
    if move.centre is None:
        starts, ends = np.array([move.start]), np.array([tip])
    else:
        chords = steps([move])
        gone = np.cumsum(np.hypot(*(chords.ends - chords.starts).T))
        done = int(np.searchsorted(gone, _gone(move, tip))) + 1
        starts, ends = chords.starts[:done], chords.ends[:done].copy()
        ends[-1] = tip
    cuts = [
        shapely.make_valid(image)
        for part in tool.parts
        if part.kind == "insert"
        for image in swept(part, starts, ends)
    ]
    if not any(shapely.intersects(stock, cut) for cut in cuts):
        return stock
    return region(shapely.difference(stock, shapely.union_all(cuts)))


def _gone(move: Move, tip: Point) -> float:
    """Length (mm) of an arc up to the point of it that is nearest to a tip."""
    chords = steps([move])
    line = shapely.LineString(np.vstack([chords.starts[:1], chords.ends]))
    return float(shapely.line_locate_point(line, shapely.Point(tip)))


def _image(part: ToolPart, tip: Point) -> BaseGeometry:
    at = np.array([tip])
    image: BaseGeometry = shapely.make_valid(swept(part, at, at)[0])
    return image
