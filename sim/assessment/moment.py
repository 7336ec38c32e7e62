"""The moment of a path that matters, its first touch or least clearance: tool, place and stock as they are then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from meshes.points import Point
from meshes.turning_tool import TurningTool
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdicts.path import place
from sim.clearance.runs import stock_at
from sim.clearance.sweep import swept
from sim.clearance.tool import Tool
from sim.programs.path import steps

PLACES = 60  # places along a move at which the least distance is looked for
ASIDE = 13  # places each way in the rectangle of a rapid move that may leave its line


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """The tool at the moment that matters; (rho, z) or (x, z) in mm.

    Attributes
    ----------
    move : int
        Number of the move, from 0.
    tool : Tool
        That stands there.
    drawn : TurningTool
        Its dimensions.
    tip : (x, z)
    stock : BaseGeometry
        What is left of the stock then.
    mark : (rho, z)
        The point of the touch, or the middle of the least clearance.
    ends : two points (rho, z), or None
        Both ends of the least clearance; None at a touch.
    words : str
        What the mark says, in lines.
    """

    move: int
    tool: Tool
    drawn: TurningTool
    tip: Point
    stock: BaseGeometry
    mark: Point
    ends: tuple[Point, Point] | None
    words: str


def moment(path: PathFigures) -> Moment | None:
    """Return the tool at its first touch, or else where its clearance is least; None without either."""
    touch = path.clearance.first_touch
    if touch is not None:
        words = f"{touch.kind}: {touch.part} on {touch.body}\n{touch.depth:.2f} mm deep, {place(path, touch.move)}"
        words += "\noff the line of the rapid move" if touch.astray else ""
        return _standing(path, touch.move, touch.tool_at, touch.place, None, words)
    if not path.clearance.least_clearance < np.inf:
        return None
    number = path.clearance.least_move
    nearest = _nearest(path, number)
    if nearest is None:
        return None
    tip, first, last = nearest
    middle = (0.5 * (first[0] + last[0]), 0.5 * (first[1] + last[1]))
    words = (
        f"least clearance {path.clearance.least_clearance:.2f} mm\n{path.clearance.part[number]} to "
        f"{path.clearance.body[number]}, {place(path, number)}"
    )
    words += "\noff the line of the rapid move" if path.clearance.astray[number] else ""
    return _standing(path, number, tip, middle, (first, last), words)


def image_at(tool: Tool, piece: int, tip: Point) -> BaseGeometry:
    """Return what one piece of a tool covers with its tip at (x, z), (rho, z)."""
    at = np.array([tip])
    image: BaseGeometry = shapely.make_valid(swept(tool.parts[piece], at, at)[0])
    return image


def _standing(
    path: PathFigures,
    move: int,
    tip: Point,
    mark: Point,
    ends: tuple[Point, Point] | None,
    words: str,
) -> Moment:
    run = path.run_of(move)
    stock = stock_at(path.runs, path.stock, move, tip)
    return Moment(move, path.runs[run].tool, path.drawn[run], tip, stock, mark, ends, words)


def _nearest(path: PathFigures, number: int) -> tuple[Point, Point, Point] | None:
    """Return tip and both ends of the least clearance of a move."""
    part, body = path.clearance.part[number], path.clearance.body[number]
    images = [b.image for b in path.bodies if b.name == body]
    chords, tool = steps([path.moves[number]]), path.tool_of(number)
    share = np.linspace(0.0, 1.0, PLACES)[:, None]
    tips = np.vstack([a + share * (b - a) for a, b in zip(chords.starts, chords.ends, strict=True)])
    if path.clearance.astray[number]:
        across, along = np.meshgrid(*np.linspace(chords.starts[0], chords.ends[0], ASIDE).T)
        tips = np.column_stack([across.ravel(), along.ravel()])
    solid = images[0] if images else stock_at(path.runs, path.stock, number, path.moves[number].end)
    best: tuple[float, Point, BaseGeometry] | None = None
    for x, z in tips:
        for piece, of in enumerate(tool.parts):
            if of.name != part:
                continue
            line = shapely.shortest_line(image_at(tool, piece, (float(x), float(z))), solid)
            if not shapely.is_empty(line) and (best is None or line.length < best[0]):
                best = float(line.length), (float(x), float(z)), line
    if best is None:
        return None
    first, last = shapely.get_coordinates(best[2])[:2].tolist()
    return best[1], (first[0], first[1]), (last[0], last[1])
