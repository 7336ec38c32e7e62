"""Judge a path: what every move removes, how near it comes to what it must not touch, what it touches first.

Feed moves cut the stock with the insert; everything else must stay clear. Every move is judged against the
stock as it is then.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.base.garbage import left_alone
from sim.base.share import part_of, tell_share
from sim.base.threads import beside
from sim.clearance.astray import strayed
from sim.clearance.cells import straightened
from sim.clearance.depth import depth_of_cut
from sim.clearance.layers import Uppers
from sim.clearance.led_runs import LedRuns
from sim.clearance.obstacle import Nearest, against_bodies, is_touch
from sim.clearance.removal import BLOCK, Cuts, removal_of
from sim.clearance.result import Body, ClearanceResult, Touch
from sim.clearance.shapes import EMPTY, areal, copied, depth_inside, region
from sim.clearance.stock import against_stock
from sim.clearance.stretches import put_together, stretches
from sim.clearance.sweep import ToolSweep, along_path, fronts_of, swept
from sim.clearance.tiles import Standing
from sim.clearance.tool import Tool, ToolPart
from sim.clearance.touch import TOUCH, Overlap, is_thick, touches
from sim.programs.path import Move

_AT_ONCE = 4096  # images
_STRAIGHT = 1e-9  # mm; corners that stand out less are none


def clearance_of(
    moves: Sequence[Move],
    tool: Tool,
    bodies: Sequence[Body],
    stock: BaseGeometry,
    wanted: BaseGeometry | None,
    required_clearance: float,
    *,
    stock_name: str = "soft jaws",
    depth_limit: float | None = None,
) -> ClearanceResult:
    """Check a path of the tool against everything that turns.

    Parameters
    ----------
    moves : sequence of Move
        The path of the programmed tip.
    tool : Tool
        At rest in space but for its moves.
    bodies : sequence of Body
        What must not be touched at all, as images.
    stock : BaseGeometry
        Image of what may be cut (jaws or workpiece) before the first move, mm.
    wanted : BaseGeometry, optional
        Image of what must remain of it; without it nothing is called a gouge or left over.
    required_clearance : float
        mm.
    stock_name : str
        What the stock is called in touches.
    depth_limit : float, optional
        Largest depth of cut, mm.

    Raises
    ------
    ValueError
        If the clearance required is negative or not finite.
    """
    return clearance_of_sweep(
        along_path(moves, tool),
        bodies,
        stock,
        wanted,
        required_clearance,
        stock_name=stock_name,
        depth_limit=depth_limit,
    )


@left_alone()
def clearance_of_sweep(
    sweep: ToolSweep,
    bodies: Sequence[Body],
    stock: BaseGeometry,
    wanted: BaseGeometry | None,
    required_clearance: float,
    *,
    stock_name: str = "soft jaws",
    depth_limit: float | None = None,
    last: bool = True,
) -> ClearanceResult:
    """Check a tool that is already laid along its path; see `clearance_of`.

    Where others follow it is not the `last`: nothing is called a gouge area or left over yet.
    """
    if not 0.0 <= required_clearance < np.inf:
        raise ValueError(f"required clearance must be 0 mm or more, found {required_clearance:g} mm")
    stock = straightened(stock)

    def ending(left: BaseGeometry) -> _End:
        return _End.of(left, wanted if last else None)

    bodies = [replace(body, image=shapely.simplify(body.image, _STRAIGHT)) for body in bodies]
    found = []
    # In pieces from stretch to stretch: put together and cut up again, a stock of many corners takes as long as them.
    standing = Standing.whole(stock)
    steps, done = len(sweep.path.move), 0
    for stretch in stretches(sweep):
        tell_share(done, steps)
        with part_of(done, len(stretch.path.move), max(1, steps)):
            standing = standing.onward() if done else standing
            ends = ending if sweep.path.feeds.any() and done + len(stretch.path.move) == steps else None
            found.append(_stretch(stretch, bodies, standing, wanted, stock_name, depth_limit, ends))
        done += len(stretch.path.move)
    end = found[-1].end or ending(stock)
    starts = np.cumsum([0, *(len(one.clearance) for one in found[:-1])]).tolist()
    return ClearanceResult(
        clearance=np.concatenate([one.clearance for one in found]),
        part=tuple(itertools.chain.from_iterable(one.part for one in found)),
        body=tuple(itertools.chain.from_iterable(one.body for one in found)),
        approach=np.concatenate([one.approach for one in found]),
        astray=np.concatenate([one.astray for one in found]),
        removed=np.concatenate([one.removed for one in found]),
        depth_of_cut=np.concatenate([one.depth_of_cut for one in found]),
        touches=put_together([one.touches for one in found], starts),
        stock_left=end.left,
        gouge=end.gouge[0],
        leftover=end.leftover[0],
        gouge_depth=end.gouge[1],
        leftover_depth=end.leftover[1],
        required=required_clearance,
    )


class _End(NamedTuple):
    """What a path leaves, and what is missing of what is wanted and left beyond it, with how deep that is (mm)."""

    left: BaseGeometry
    gouge: tuple[BaseGeometry, float]
    leftover: tuple[BaseGeometry, float]

    @classmethod
    def of(cls, left: BaseGeometry, wanted: BaseGeometry | None) -> _End:
        """Return it of what is left."""
        if wanted is None:
            return cls(left, (EMPTY, 0.0), (EMPTY, 0.0))
        wanted = copied(np.array([wanted], dtype=object))[0]  # others may ask the one that is prepared
        beyond: BaseGeometry = shapely.difference(left, wanted)
        missing = wanted.area - (left.area - beyond.area)
        # In so little lies no disc that is as wide as the tolerance.
        whole = abs(missing) < 0.25 * TOUCH**2
        gouge = (EMPTY, 0.0) if whole else _gouged(wanted, left)
        return cls(left, gouge, _left_over(beyond, wanted))


class _Stretch(NamedTuple):
    """What some moves of a path do, as in `ClearanceResult`, and how it ends, of the last of a path that cuts."""

    clearance: Floats
    part: tuple[str, ...]
    body: tuple[str, ...]
    approach: Floats
    astray: Flags
    removed: Floats
    depth_of_cut: Floats
    touches: tuple[Touch, ...]
    end: _End | None


def _stretch(
    sweep: ToolSweep,
    bodies: Sequence[Body],
    standing: Standing,
    wanted: BaseGeometry | None,
    stock_name: str,
    depth_limit: float | None,
    ending: Callable[[BaseGeometry], _End] | None,
) -> _Stretch:
    """Judge one stretch of a path on the stock that it finds, and cut that."""
    moves, tool, path, count = sweep.moves, sweep.tool, sweep.path, len(sweep.path.move)
    feeding = np.flatnonzero(path.feeds)
    nearest = Nearest.nothing(count)
    # What the cuts take hangs on no body, how deep they are on no distance: one beside the other.
    taken, (overlaps, gouges) = beside(
        lambda: removal_of(len(feeding), lambda some: _cuts(sweep, feeding[some]), standing),
        lambda: (
            against_bodies(sweep, bodies, nearest),
            [] if wanted is None else _gouges(sweep, wanted, stock_name),
        ),
    )
    removed = np.full(count, EMPTY, dtype=object)
    removed[feeding] = taken.removed
    ((approach, found), end), depth = beside(
        lambda: beside(
            lambda: against_stock(sweep, taken, removed, nearest, len(bodies), stock_name),
            lambda: ending(standing.left()) if ending else None,
        ),
        lambda: depth_of_cut(sweep, removed, taken),
    )
    overlaps += found
    cutting = next(index for index, part in enumerate(tool.parts) if part.kind == "insert")
    if depth_limit is not None:
        overlaps += [
            Overlap("depth of cut", int(k), cutting, stock_name, removed[k], float(depth[k]))
            for k in np.flatnonzero(depth > depth_limit + TOUCH)
        ]
    overlaps += gouges
    met, off_line = touches(overlaps, sweep, moves), np.zeros(len(moves), dtype=bool)
    if path.astray.any():
        off = strayed(sweep, bodies, taken, removed, stock_name, overlaps)
        off_line[path.move[off.told(nearest, approach)]] = True
        met = tuple(sorted((*met, *off.touches), key=lambda touch: touch.move))
    least, part, body = _by_move(sweep, nearest, [*(one.name for one in bodies), stock_name], len(moves))
    return _Stretch(
        clearance=least,
        part=part,
        body=body,
        approach=_least(approach, path.move, len(moves)),
        astray=off_line,
        removed=np.bincount(path.move, shapely.area(removed), len(moves)).astype(np.float64),
        depth_of_cut=-_least(-depth, path.move, len(moves), start=0.0),
        touches=met,
        end=end,
    )


def _cuts(sweep: ToolSweep, feeding: Ints) -> Cuts:
    """Return what the insert covers in some feed steps."""
    starts, ends = sweep.path.starts[feeding], sweep.path.ends[feeding]
    cutting = [part.folded(starts, ends) for part in sweep.tool.parts if part.kind == "insert"]

    def whole(some: Ints) -> Geometries:
        found = swept(cutting[0], starts[some], ends[some])
        for part in cutting[1:]:
            found = areal(shapely.union(found, swept(part, starts[some], ends[some])))
        return found

    def straight(some: Ints) -> Geometries:
        return _covers(sweep, feeding[some])

    if len(cutting) > 1 or cutting[0].far > 0.0 or not len(feeding):
        return Cuts(whole, straight, whole)
    joins = np.r_[False, (starts[1:] == ends[:-1]).all(axis=1)]

    def fronts(some: Ints) -> Geometries:
        found = fronts_of(cutting[0], starts[some], ends[some])
        known = joins[some] & ~shapely.is_missing(found)
        found[~known] = whole(some[~known])
        return found

    across = ~cutting[0].on_one_side(starts, ends)
    if across.all():
        return Cuts(whole, straight, fronts)

    led = LedRuns.of(cutting[0].outline, starts, ends, BLOCK, across)

    def covers(some: Ints) -> Geometries:
        runs, found = led.only(some), np.full(len(some), EMPTY, dtype=object)
        found[runs.rows()] = runs.covers()
        beyond = across[some]
        if beyond.any():
            found[beyond] = whole(some[beyond])
        return found

    def uppers(some: Ints) -> Uppers | None:
        return Uppers.of(cutting[0].outline, starts[some], ends[some])

    return Cuts(whole, covers, fronts, led, uppers, across)


def _covers(sweep: ToolSweep, feeding: Ints) -> Geometries:
    """Return for each cut what the insert covers in it and in the cuts after it that run straight on, else nothing.

    Straight runs end where a block of cuts does, see `sim.clearance.removal`; one shape for a run costs less than many.
    """
    starts, ends = sweep.path.starts[feeding], sweep.path.ends[feeding]
    along = ends - starts
    length = np.hypot(along[:, 0], along[:, 1])
    if not len(feeding):
        return np.zeros(0, dtype=object)
    before = np.maximum(np.arange(len(feeding)) - 1, 0)
    turn = along[before, 0] * along[:, 1] - along[before, 1] * along[:, 0]
    forward = (along[before] * along).sum(axis=1) > 0.0
    joins = (starts == ends[before]).all(axis=1)
    straight = np.abs(turn) <= _STRAIGHT * np.maximum(length, length[before])
    first = ~(joins & forward & straight) | (np.arange(len(feeding)) % BLOCK == 0)
    runs = np.flatnonzero(first)
    last = np.r_[runs[1:], len(feeding)] - 1
    covers = np.full(len(feeding), EMPTY, dtype=object)
    whole: Geometries | None = None
    for part in sweep.tool.parts:
        if part.kind == "insert":
            images = swept(part, starts[runs], ends[last])
            whole = images if whole is None else areal(shapely.union(whole, images))
    covers[runs] = whole
    return covers


def _gouges(sweep: ToolSweep, wanted: BaseGeometry, name: str) -> list[Overlap]:
    """Feed steps in which the insert cuts into what is wanted."""
    shapely.prepare(wanted)
    found = []
    for index, part in enumerate(sweep.tool.parts):
        if part.kind == "insert":
            near = sweep.within(index, np.flatnonzero(sweep.path.feeds), shapely.bounds(wanted))
            near = _in_runs_that_touch(sweep, part, near, wanted)
            for rows in np.split(near, range(_AT_ONCE, len(near), _AT_ONCE)):
                images = sweep.images(index, rows)
                met = np.flatnonzero(shapely.intersects(wanted, images))
                met = met[is_touch(images[met], wanted)]
                found += [Overlap("gouge", int(step), index, name, wanted) for step in rows[met]]
    return found


def _in_runs_that_touch(sweep: ToolSweep, part: ToolPart, rows: Ints, wanted: BaseGeometry) -> Ints:
    """Return those of some steps that lie in runs which as a whole touch what is wanted."""
    starts, ends = sweep.path.starts[rows], sweep.path.ends[rows]
    across = ~part.on_one_side(starts, ends)
    if across.all():
        return rows
    runs = LedRuns.of(part.outline, starts, ends, BLOCK, across)
    if len(runs.first) > len(rows) // 4:
        return rows
    covers = runs.covers()
    met = np.flatnonzero(shapely.intersects(wanted, covers))
    return rows[across | np.isin(runs.run, met[is_touch(covers[met], wanted)])]


def _gouged(wanted: BaseGeometry, stock: BaseGeometry) -> tuple[BaseGeometry, float]:
    """Return what is missing of what is wanted, and how deep (mm) it reaches below the surface."""
    gouge = _without_slivers(shapely.difference(wanted, stock))
    return gouge, depth_inside(gouge, wanted)


def _left_over(beyond: BaseGeometry, wanted: BaseGeometry) -> tuple[BaseGeometry, float]:
    """Return what of the stock beyond what is wanted is no sliver, and how far (mm) it reaches from it."""
    leftover = _without_slivers(beyond)
    return leftover, _reach(leftover, wanted)


def _without_slivers(excess: BaseGeometry) -> BaseGeometry:
    """Return the parts of a region that are thicker than the tolerance somewhere."""
    parts = shapely.get_parts(region(excess))
    parts = parts[is_thick(parts)] if len(parts) else parts
    if not len(parts):
        return EMPTY
    # They have no area in common: they were one shape.
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(list(parts))


def _reach(leftover: BaseGeometry, wanted: BaseGeometry) -> float:
    """Greatest distance (mm) of what is left over from the wanted shape."""
    if shapely.is_empty(leftover):
        return 0.0
    points = np.asarray(shapely.points(shapely.get_coordinates(leftover)), dtype=object)
    shapely.prepare(wanted)
    points = points[~shapely.intersects(wanted, points)]
    surface = shapely.boundary(wanted)
    shapely.prepare(surface)
    return float(np.max(shapely.distance(surface, points), initial=0.0))


def _by_move(
    sweep: ToolSweep, nearest: Nearest, names: list[str], count: int
) -> tuple[Floats, tuple[str, ...], tuple[str, ...]]:
    """Least distance of each move and the names of the two that are that near."""
    order = np.lexsort((nearest.distance, sweep.path.move))
    first = order[np.r_[True, np.diff(sweep.path.move[order]) != 0][: len(order)]]
    least = np.full(count, np.inf)
    least[sweep.path.move[first]] = nearest.distance[first]
    part, body = [""] * count, [""] * count
    for step in first:
        if nearest.piece[step] >= 0:
            part[sweep.path.move[step]] = sweep.tool.parts[nearest.piece[step]].name
            body[sweep.path.move[step]] = names[nearest.body[step]]
    return least, tuple(part), tuple(body)


def _least(values: Floats, move: Ints, count: int, start: float = np.inf) -> Floats:
    """Least value over the steps of each move."""
    least = np.full(count, start)
    np.minimum.at(least, move, values)
    return least
