"""Depth of cut: how wide the metal is that a step takes, square to the step.

The overlay of a cut with the stock leaves slivers wherever the insert runs along a surface that is cut already: a
retract along a wall takes 1e-14 mm2 of it over the whole length of an edge, and a contour that is cut again a
thousandth of a millimetre, from rounded coordinates and from chords. What is that thin is within the tolerance of
images and sweeps: it is no metal, and its extent no depth. So the width is that of what is thicker than the tolerance
in every direction.

A path of very short moves takes thin slices that together are a cut. So nothing thin is forgotten: it counts wherever
it is thicker than the tolerance together with the thin pieces that other steps take.
"""

from __future__ import annotations

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries
from sim.base.threads import each, shares
from sim.clearance.cells import STRAIGHT, pieces_of
from sim.clearance.reach import reach_within
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.sweep import ToolSweep
from sim.clearance.touch import TOUCH, thick
from sim.clearance.union import GRID

EDGE = 0.05  # mm by which what is thin may go on beyond what is thick and still count as the edge of a cut
FULL = 0.9  # share of width times length of step, from which on what is taken is a cut over its whole width
TOGETHER = 64  # thin pieces, in their order, that are looked at before all of them
_STRAIGHT = 1e-9  # mm; steps that turn by less run straight on


def depth_of_cut(sweep: ToolSweep, removed: Geometries) -> Floats:
    """Return the depth of cut of n steps (mm), 0 where a step takes nothing but slivers.

    Parameters
    ----------
    sweep : ToolSweep
        n steps.
    removed : (n,) array of shapely geometries
        What each of them takes.
    """
    depth = np.zeros(len(removed))
    some = np.flatnonzero(~shapely.is_empty(removed))
    if not len(some):
        return depth
    starts, ends = sweep.path.starts[some], sweep.path.ends[some]
    along, taken = ends - starts, removed[some]
    length = np.hypot(along[:, 0], along[:, 1])
    heading = along / np.where(length > 0.0, length, 1.0)[:, None]
    low, high = spans_across(taken, heading)
    # A step cannot take more of any line along it than its own length: with so much taken, none of it is thin.
    full = (shapely.area(taken) >= FULL * (high - low) * length) & (high - low >= TOUCH)
    run = _run_length(starts, ends, length, full, low, high)
    wide = np.where(run >= 2.0 * TOUCH, high - low, 0.0)
    rest = np.flatnonzero(run < 2.0 * TOUCH)
    if len(rest):
        least, most = _thick_spans(taken[rest], heading[rest])
        wide[rest] = (np.minimum(most, high[rest]) - np.maximum(least, low[rest])).clip(0.0)
    depth[some] = wide
    return depth


def spans_across(shapes: Geometries, heading: Floats) -> tuple[Floats, Floats]:
    """Return where shapes begin and end (mm) square to unit directions (n, 2); inf and -inf for empty ones."""
    coordinates, owner = shapely.get_coordinates(shapes, return_index=True)
    across = coordinates[:, 0] * heading[owner, 1] - coordinates[:, 1] * heading[owner, 0]
    low, high = np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    np.minimum.at(low, owner, across)
    np.maximum.at(high, owner, across)
    return low, high


def _run_length(
    starts: Floats, ends: Floats, length: Floats, full: Flags, low: Floats, high: Floats
) -> Floats:
    """Return how far (mm) full steps of one width run straight on round each step; 0 for one that is not full."""
    before = np.maximum(np.arange(len(length)) - 1, 0)
    along = ends - starts
    turn = along[before, 0] * along[:, 1] - along[before, 1] * along[:, 0]
    joins = full & full[before] & (starts == ends[before]).all(axis=1)
    joins &= (along[before] * along).sum(axis=1) > 0.0
    joins &= np.abs(turn) <= _STRAIGHT * np.maximum(length, length[before])
    joins &= np.maximum(np.abs(low - low[before]), np.abs(high - high[before])) <= EDGE
    joins[0] = False
    run = np.cumsum(~joins) - 1
    total = np.bincount(run, length)[run]
    return np.where(full, total, 0.0)


def _thick_spans(taken: Geometries, heading: Floats) -> tuple[Floats, Floats]:
    """Return where that of shapes which is thick, alone or with the others, begins and ends square to a heading."""
    core = np.concatenate(
        each(lambda run: thick(taken[run]), [run for run in shares(len(taken)) if len(run)])
    )
    least, most = spans_across(core, heading)
    least, most = least - 0.5 * TOUCH - EDGE, most + 0.5 * TOUCH + EDGE
    low, high = spans_across(taken, heading)
    tails = np.flatnonzero((least > low) | (most < high))
    if len(tails):
        around = shapely.buffer(core[tails], TOUCH, join_style="mitre")
        thin = without_slivers(areal(shapely.difference(taken[tails], around)))
        first, last = _counting(thin, heading[tails])
        least[tails], most[tails] = np.minimum(least[tails], first), np.maximum(most[tails], last)
    return least, most


def without_slivers(shapes: Geometries) -> Geometries:
    """Return shapes without the parts that are nowhere wider than rounding: what an overlay leaves is no metal."""
    parts, owner = shapely.get_parts(shapes, return_index=True)
    kept = 2.0 * shapely.area(parts) > STRAIGHT * shapely.length(parts)
    found = shapes.copy()
    lost = np.unique(owner[~kept])
    found[lost] = EMPTY
    some = kept & np.isin(owner, lost)
    shapely.multipolygons(parts[some], indices=owner[some], out=found)
    return found


def _counting(thin: Geometries, heading: Floats) -> tuple[Floats, Floats]:
    """Return where that of thin pieces (n,) which is thick together begins and ends square to a heading.

    First together with the next ones, then with all; inf and -inf where nothing is.
    """
    rows = np.full((-(-len(thin) // TOGETHER), TOGETHER), EMPTY, dtype=object)
    rows.reshape(-1)[: len(thin)] = thin
    near = _thickened(np.asarray(shapely.union_all(rows, axis=1), dtype=object))
    shapely.prepare(near)
    whole = shapely.covers(np.repeat(near, TOGETHER)[: len(thin)], thin)
    least, most = spans_across(thin, heading)
    rest = np.flatnonzero(~whole & ~shapely.is_empty(thin))
    if len(rest):
        # On the grid neighbours share their edges again, and what is thinner than it is gone.
        together = _thickened(np.array([shapely.union_all(thin[rest], grid_size=GRID)], dtype=object))[0]
        pieces = pieces_of(np.array([together, *near], dtype=object))
        least[rest], most[rest] = reach_within(thin[rest], heading[rest], pieces)
    return least, most


def _thickened(shapes: Geometries) -> Geometries:
    """Return shapes without what is thin, and somewhat wider than the rest."""
    return np.asarray(shapely.buffer(thick(shapes), TOUCH, join_style="mitre"), dtype=object)
