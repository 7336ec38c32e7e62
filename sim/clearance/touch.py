"""From overlaps of single steps to touches: the first of each kind, where it begins, how deep it gets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags
from sim.clearance.met import Met, measured
from sim.clearance.result import Touch, TouchKind
from sim.clearance.shapes import areal, extent
from sim.clearance.stock_then import StockThen, near
from sim.clearance.sweep import ToolSweep, swept
from sim.programs.path import Move

TOUCH = 5e-3  # mm; overlaps thinner than this are within the tolerance of images and sweeps: no touch
_BISECTIONS = 18


@dataclass(frozen=True, slots=True, eq=False)
class Overlap:
    """A step in which a piece of the tool overlaps a body.

    Attributes
    ----------
    kind : TouchKind
    step, piece : int
        Number of the step and of the tool's piece.
    body : str
    solid : BaseGeometry or StockThen
        Image of the body at that time, mm.
    width : float, optional
        Depth of cut, where that is what is wrong, mm.
    """

    kind: TouchKind
    step: int
    piece: int
    body: str
    solid: BaseGeometry | StockThen
    width: float | None = None


def contact_kind(piece_kind: str, *, feeds: bool) -> TouchKind:
    """Return what it is called when a piece of the tool meets what it must not."""
    if not feeds:
        return "rapid contact"
    if piece_kind == "insert":
        return "insert contact"
    return "holder contact" if piece_kind == "holder" else "shank contact"


def thick(overlaps: NDArray[np.object_], width: float = TOUCH) -> NDArray[np.object_]:
    """Return the overlaps without what is thinner than `width` (mm), outlines moved in by half of it."""
    return np.atleast_1d(
        np.asarray(shapely.buffer(areal(overlaps), -0.5 * width, join_style="mitre"), dtype=object)
    )


def is_thick(overlaps: NDArray[np.object_]) -> Flags:
    """Tell which overlaps are thicker than the tolerance somewhere; most are so by their area or too small for it."""
    shapes = areal(overlaps)
    size = extent(shapes).min(axis=1)
    # Within a shape without holes lies a disc of its area over its length; five times the tolerance leaves the corners
    # that a mitre takes five times as far.
    whole = (shapely.get_type_id(shapes) == 3) & (shapely.get_num_interior_rings(shapes) == 0)
    found: Flags = whole & (shapely.area(shapes) > 5.0 * TOUCH * shapely.length(shapes))
    open_ones = np.flatnonzero(~found & (size >= TOUCH))
    found[open_ones] = ~np.asarray(shapely.is_empty(thick(shapes[open_ones])))
    return found


def touches(overlaps: Sequence[Overlap], sweep: ToolSweep, moves: Sequence[Move]) -> tuple[Touch, ...]:
    """Return one touch per kind, part and body, in the order of the path."""
    groups: dict[tuple[str, str, str], list[Overlap]] = {}
    for overlap in sorted(overlaps, key=lambda one: one.step):
        part = sweep.tool.parts[overlap.piece].name
        groups.setdefault((overlap.kind, part, overlap.body), []).append(overlap)
    found = [(group[0].step, _touch(group, sweep, moves)) for group in groups.values()]
    # Within one step the order is that of the place along it.
    found.sort(key=lambda pair: (pair[0], _along(pair[1], sweep, pair[0])))
    return tuple(touch for _, touch in found)


def _touch(group: list[Overlap], sweep: ToolSweep, moves: Sequence[Move]) -> Touch:
    first = group[0]
    # The first piece of the part to meet the body decides the place.
    at_once = [overlap for overlap in group if overlap.step == first.step]
    share, place = min((_beginning(overlap, sweep) for overlap in at_once), key=lambda pair: pair[0])
    start, end = sweep.path.starts[first.step], sweep.path.ends[first.step]
    tip = start + share * (end - start)
    depth, size = _greatest(group, sweep)
    number = int(sweep.path.move[first.step])
    return Touch(
        kind=first.kind,
        move=number,
        block=moves[number].block,
        line=moves[number].line,
        part=sweep.tool.parts[first.piece].name,
        body=first.body,
        place=place,
        tool_at=(float(tip[0]), float(tip[1])),
        depth=depth,
        overlap=size,
        count=len({int(sweep.path.move[overlap.step]) for overlap in group}),
    )


def _greatest(group: list[Overlap], sweep: ToolSweep) -> tuple[float, tuple[float, float]]:
    """Depth of the deepest overlap, and extent of the one with the largest area."""
    widths = [one.width for one in group if one.width is not None]
    if len(widths) == len(group):
        # Of a cut that is too deep the width tells how deep, and what it overlaps is what it takes.
        solids = np.array([one.solid for one in group], dtype=object)
        across, along = extent(solids[[int(np.argmax(shapely.area(solids)))]])[0]
        return max(widths), (float(across), float(along))
    found = measured([Met(one.step, one.piece, one.solid) for one in group], sweep)
    return found.depth, found.extent


def _beginning(overlap: Overlap, sweep: ToolSweep) -> tuple[float, tuple[float, float]]:
    """Share of the step after which the overlap begins, and where (rho, z), by bisection."""
    part = sweep.tool.parts[overlap.piece]
    start = sweep.path.starts[overlap.step]
    along = sweep.path.ends[overlap.step] - start
    solid = near(overlap.solid, sweep.bounds(overlap.piece, np.array([overlap.step]))[0])

    def common(share: float) -> BaseGeometry:
        shape = swept(part, start[None], (start + share * along)[None])
        met: BaseGeometry = thick(shapely.intersection(shape, solid))[0]
        return met

    low, high = 0.0, 1.0
    region = common(0.0)
    if not region.is_empty:
        high = 0.0
    else:
        for _ in range(_BISECTIONS):
            middle = 0.5 * (low + high)
            tried = common(middle)
            if tried.is_empty:
                low = middle
            else:
                high, region = middle, tried
        if region.is_empty:
            region = common(1.0)
    if region.is_empty:
        region = solid
    point = shapely.point_on_surface(region)
    return high, (float(shapely.get_x(point)), float(shapely.get_y(point)))


def _along(touch: Touch, sweep: ToolSweep, step: int) -> float:
    return float(np.hypot(*(np.array(touch.tool_at) - sweep.path.starts[step])))
