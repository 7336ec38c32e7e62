"""A tool standing somewhere on its path: what it is nearest to there, and where the two are that near.

The check of a path (`sim.clearance.check`) judges whole moves. This looks at single places of the same path with
the same images and the same rules, so that the least distance over the places of a move is that move's clearance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from sim.base.arrays import Floats, Geometries
from sim.clearance.limits import distance_along
from sim.clearance.obstacle import is_touch
from sim.clearance.result import Body
from sim.clearance.shapes import region
from sim.clearance.sweep import swept
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move, steps

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
    return standings(on, (position,))[0]


def standings(on: Track, positions: Sequence[float]) -> tuple[Standing, ...]:
    """Return `standing` at many places (mm along the path), each piece of a tool put at all of them in one call."""
    wrong = [p for p in positions if not math.isfinite(p)]
    if not on.moves or wrong:
        found = wrong[0] if wrong else positions[0]
        raise ValueError(f"a place on a path needs a move and a finite position, found {found:g} mm")
    held = [min(max(float(p), 0.0), on.length) for p in positions]
    numbers = [min(int(np.searchsorted(on.ends, p)), len(on.moves) - 1) for p in held]
    starts = [float(on.ends[n - 1]) if n else 0.0 for n in numbers]
    tips = [point_on(on.moves[n], p - s) for n, p, s in zip(numbers, held, starts, strict=True)]
    return _stood(on, numbers, tips, held)


def standing_at(on: Track, number: int, tip: Point, position: float = math.nan) -> Standing:
    """Return what the tool is nearest to with its tip at a point (x, z) of a move."""
    return _stood(on, [number], [tip], [position])[0]


def along_move(on: Track, number: int, gone: Sequence[float]) -> tuple[Standing, ...]:
    """Return what the tool is nearest to after so many mm of one move, which are the positions that they tell."""
    return _stood(on, [number] * len(gone), [point_on(on.moves[number], g) for g in gone], list(gone))


def _stood(
    on: Track, numbers: Sequence[int], tips: Sequence[Point], positions: Sequence[float]
) -> tuple[Standing, ...]:
    """Return what the tool is nearest to with its tip at points of moves, tool by tool."""
    found: dict[int, Standing] = {}
    for tool in {id(on.tools[n]): on.tools[n] for n in numbers}.values():
        rows = [k for k, n in enumerate(numbers) if on.tools[n] is tool]
        pairs = _pairs(on, tool, [numbers[k] for k in rows], np.array([tips[k] for k in rows]))
        nearest = (
            np.argmin([pair.gaps for pair in pairs], axis=0) if pairs else np.zeros(len(rows), dtype=int)
        )
        for place, k in enumerate(rows):
            pair = pairs[nearest[place]] if pairs else None
            if pair is None or math.isinf(pair.gaps[place]):
                found[k] = Standing(positions[k], numbers[k], tips[k], math.inf, "", "", None)
                continue
            line = shapely.get_coordinates(pair.line(place))
            ends = ((float(line[0, 0]), float(line[0, 1])), (float(line[-1, 0]), float(line[-1, 1])))
            gap = float(pair.gaps[place])
            found[k] = Standing(positions[k], numbers[k], tips[k], gap, pair.part, pair.body, ends)
    return tuple(found[k] for k in range(len(numbers)))


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    """A piece of a tool and a body at n places.

    Attributes
    ----------
    part, body : str
    images, solids : (n,) arrays of shapely geometries
    gaps : (n,) array
        Distance between the two, mm; inf where it does not count.
    """

    part: str
    body: str
    images: Geometries
    solids: Geometries
    gaps: Floats

    def line(self, place: int) -> BaseGeometry:
        """Return the shortest line from piece to body, a point of what they share where they touch."""
        image, solid = self.images[place], self.solids[place]
        if self.gaps[place] > 0.0:
            line: BaseGeometry = shapely.shortest_line(image, solid)
            return line
        point = shapely.point_on_surface(shapely.intersection(image, solid))
        return shapely.LineString([point, point])


def _pairs(on: Track, tool: Tool, numbers: Sequence[int], tips: Floats) -> list[_Pair]:
    """Return every piece of a tool with every body that it must not touch there, in the order of the check."""
    images = {part: shapely.make_valid(swept(part, tips, tips)) for part in tool.parts}
    found: list[_Pair] = []
    for part in tool.parts:
        beside = [
            _pair(part, images[part], body.name, np.full(len(tips), body.image, dtype=object))
            for body in on.bodies
            if not body.image.is_empty
        ]
        if part.kind == "shank":
            least = np.min([pair.gaps for pair in (*found, *beside)], axis=0, initial=math.inf)
            found += [*beside, _with_stock(on, tool, part, images[part], numbers, tips, least)]
        else:
            found += [_with_stock(on, tool, part, images[part], numbers, tips, np.zeros(len(tips))), *beside]
    return found


def _with_stock(
    on: Track,
    tool: Tool,
    part: ToolPart,
    images: Geometries,
    numbers: Sequence[int],
    tips: Floats,
    near: Floats,
) -> _Pair:
    """Return a piece and the stock as it is then, where they are nearer than `near` (mm), or touch.

    What a move finds holds all that is left of it, so only where that is near enough the rest is worked out. Close
    behind the cut nothing but a touch counts for a head; the insert's own feed is no touch.
    """
    before = np.array([on.stock[n] for n in numbers], dtype=object)
    asked = shapely.distance(images, before) <= near
    if part.kind == "insert":
        asked &= np.array([on.moves[n].kind == "rapid" for n in numbers])
    left = before.copy()
    for k, number in enumerate(numbers):
        if asked[k]:
            left[k] = _less(before[k], tool, on.moves[number], (float(tips[k, 0]), float(tips[k, 1])))
    pair = _pair(part, images, on.stock_name, left)
    counts = asked if part.kind == "shank" else asked & (pair.gaps == 0.0)
    return replace(pair, gaps=np.where(counts, pair.gaps, math.inf))


def _pair(part: ToolPart, images: Geometries, name: str, solids: Geometries) -> _Pair:
    gaps = np.asarray(shapely.distance(images, solids), dtype=np.float64)
    meet = gaps == 0.0
    grazes = np.zeros(len(gaps), dtype=bool)  # they meet within the tolerance of the images
    grazes[meet] = ~is_touch(images[meet], solids[meet])
    return _Pair(part.name, name, images, solids, np.where(grazes, math.inf, gaps))


def point_on(move: Move, gone: float) -> Point:
    """Return the point (x, z) of a move after `gone` mm of it; its ends before and beyond."""
    chords = steps([move])
    lengths = np.hypot(*(chords.ends - chords.starts).T)
    reached = np.concatenate([[0.0], np.cumsum(lengths)])
    points = np.vstack([chords.starts[:1], chords.ends])
    x, z = (float(np.interp(gone, reached, points[:, k])) for k in (0, 1))
    return x, z


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
