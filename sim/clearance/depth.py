"""Depth of cut: how wide the metal is that a step takes, square to the step.

The overlay of a cut with the stock leaves slivers wherever the insert runs along a surface that is cut already: a
retract along a wall takes 1e-14 mm2 of it over the whole length of an edge, and a contour that is cut again a
thousandth of a millimetre, from rounded coordinates and from chords. What is that thin is within the tolerance of
images and sweeps: it is no metal, and its extent no depth. So the width is that of what is thicker than the tolerance
in every direction.

A path of very short moves takes thin slices that together are a cut. So nothing thin is forgotten: it counts wherever
it is thicker than the tolerance together with the thin pieces that other steps take. How thick something is at a place
hangs on what lies beside that place alone, so no step asks farther than its own group of steps and those beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.base.threads import each, shares
from sim.clearance.cells import STRAIGHT, pieces_of
from sim.clearance.reach import reach_within
from sim.clearance.removal import BLOCK, BUNDLE, Removal
from sim.clearance.shapes import EMPTY, areal
from sim.clearance.sweep import ToolSweep
from sim.clearance.touch import TOUCH, thick
from sim.clearance.union import GRID

EDGE = 0.05  # mm by which what is thin may go on beyond what is thick and still count as the edge of a cut
FULL = 0.9  # share of width times length of step, from which on what is taken is a cut over its whole width
BESIDE = 0.04  # mm; a mitred outline that is moved in and out again by the tolerance asks no farther
COARSE = 5e-5  # mm; corners of what groups take that stand out less are not looked at
WIDER = 2.0 * COARSE  # mm; so what is left without them holds all of it
ROUGH = 1e-3  # mm; and of those where it is asked what lies beside what
_BACK = 3  # steps before each, to which it is held
_STRAIGHT = 1e-9  # mm; steps that turn by less run straight on


@dataclass(frozen=True, slots=True, eq=False)
class _Groups:
    """Which of n pieces belong together, and what those of each group are together, where that is known.

    Attributes
    ----------
    of : (n,)
        Number of each one's group.
    together : (g,) array of shapely geometries
        Empty where it is not known.
    bundled : (b,) array of shapely geometries
        The same of `BUNDLE` groups that follow each other.
    """

    of: Ints
    together: Geometries
    bundled: Geometries

    @classmethod
    def of_pieces(cls, of: Ints, taken: Removal | None) -> _Groups:
        """Return groups; without what blocks take nothing is known of them."""
        if taken is None:
            return cls(of, np.full(int(of.max()) + 1, EMPTY, dtype=object), np.zeros(0, dtype=object))
        return cls(of, taken.together, taken.bundled)

    def of_thin(self, tails: Ints, alone: Ints) -> _Groups:
        """Return the groups of some pieces; a group is known together if all its pieces are among those `alone`.

        Of groups that follow each other those are put together of which that is known: they are thick together where
        each of them alone is not, and have fewer corners.
        """
        count, size = len(self.together), BUNDLE
        all_thin = np.bincount(self.of[alone], minlength=count) == np.bincount(self.of, minlength=count)
        known = ~shapely.is_empty(self.bundled)
        known &= np.logical_and.reduceat(all_thin, np.arange(0, count, size)) if len(known) else known
        together = self.together.copy()
        together[~all_thin] = EMPTY
        first = size * np.flatnonzero(known)
        together[first] = self.bundled[known]
        of = self.of[tails]
        bundle = np.zeros(count, dtype=bool)
        bundle[: size * len(known)] = np.repeat(known, size)[:count]
        return _Groups(np.where(bundle[of], of // size * size, of), together, self.bundled[:0])


def depth_of_cut(sweep: ToolSweep, removed: Geometries, taken: Removal | None = None) -> Floats:
    """Return the depth of cut of n steps (mm), 0 where a step takes nothing but slivers.

    Parameters
    ----------
    sweep : ToolSweep
        n steps.
    removed : (n,) array of shapely geometries
        What each of them takes.
    taken : Removal, optional
        What blocks of the feed steps take together; without it that is put together from the steps.
    """
    depth = np.zeros(len(removed))
    some = np.flatnonzero(~shapely.is_empty(removed))
    if not len(some):
        return depth
    pieces = without_slivers(removed[some])
    some, pieces = some[~shapely.is_empty(pieces)], pieces[~shapely.is_empty(pieces)]
    if not len(some):
        return depth
    starts, ends = sweep.path.starts[some], sweep.path.ends[some]
    along = ends - starts
    length = np.hypot(along[:, 0], along[:, 1])
    heading = along / np.where(length > 0.0, length, 1.0)[:, None]
    low, high = spans_across(pieces, heading)
    # A step cannot take more of any line along it than its own length: with so much taken, none of it is thin.
    full = (shapely.area(pieces) >= FULL * (high - low) * length) & (high - low >= TOUCH)
    run = _run_length(starts, ends, length, full, low, high)
    wide = np.where(run >= 2.0 * TOUCH, high - low, 0.0)
    rest = np.flatnonzero(run < 2.0 * TOUCH)
    if len(rest):
        cuts = np.arange(len(some)) if taken is None else np.cumsum(sweep.path.feeds)[some] - 1
        groups = _Groups.of_pieces(cuts // BLOCK, taken)
        # Of a line along it a step takes no more than its length.
        most_thick = np.minimum(length, _beyond_earlier(sweep, some))
        least, most = _thick_spans(pieces, heading, (low, high), most_thick, rest, groups)
        wide[rest] = (np.minimum(most, high[rest]) - np.maximum(least, low[rest])).clip(0.0)
    depth[some] = wide
    return depth


def spans_across(shapes: Geometries, heading: Floats) -> tuple[Floats, Floats]:
    """Return where shapes begin and end (mm) square to unit directions (n, 2); inf and -inf for empty ones."""
    coordinates, owner = shapely.get_coordinates(shapes, return_index=True)
    low, high = np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    if len(owner):
        across = coordinates[:, 0] * heading[owner, 1] - coordinates[:, 1] * heading[owner, 0]
        first = np.flatnonzero(np.r_[True, owner[1:] != owner[:-1]])
        low[owner[first]], high[owner[first]] = (
            np.minimum.reduceat(across, first), np.maximum.reduceat(across, first),
        )  # fmt: skip
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


def _thick_spans(
    pieces: Geometries,
    heading: Floats,
    spans: tuple[Floats, Floats],
    most_thick: Floats,
    rest: Ints,
    groups: _Groups,
) -> tuple[Floats, Floats]:
    """Return where that of the `rest` of pieces which is thick, alone or together, begins and ends across headings.

    Parameters
    ----------
    pieces : (n,) array of shapely geometries
        What steps take.
    heading : (n, 2) array
        Of the steps, unit directions.
    spans : (n,), (n,)
        Where pieces begin and end across headings, mm.
    most_thick : (n,) array
        Discs in the pieces are no wider, mm.
    rest : (m,)
    groups : _Groups
    """
    taken, heading = pieces[rest], heading[rest]
    core = np.full(len(rest), EMPTY, dtype=object)
    # No disc is wider than that.
    long = np.flatnonzero(most_thick[rest] >= TOUCH)
    runs = [long[run] for run in shares(len(long)) if len(run)]
    for run, found in zip(runs, each(lambda run: thick(taken[run]), runs), strict=True):
        core[run] = found
    least, most = spans_across(core, heading)
    least, most = least - 0.5 * TOUCH - EDGE, most + 0.5 * TOUCH + EDGE
    low, high = spans[0][rest], spans[1][rest]
    tails = np.flatnonzero((least > low) | (most < high))
    if len(tails):
        thin, cored = taken[tails], np.flatnonzero(~shapely.is_empty(core[tails]))
        around = shapely.buffer(core[tails[cored]], TOUCH, join_style="mitre")
        thin[cored] = without_slivers(areal(shapely.difference(thin[cored], around)))
        low, high = low[tails], high[tails]
        low[cored], high[cored] = spans_across(thin[cored], heading[tails[cored]])
        alone = np.delete(rest[tails], cored)
        first, last = _counting(thin, heading[tails], (low, high), groups.of_thin(rest[tails], alone))
        least[tails], most[tails] = np.minimum(least[tails], first), np.maximum(most[tails], last)
    return least, most


def _beyond_earlier(sweep: ToolSweep, some: Ints) -> Floats:
    """Return how far (mm) some steps get from the nearest of the feed steps just before; inf where that tells nothing.

    What a flat convex insert covers in a step lies no farther from what it covers in another than the one line does
    from the other. A disc in the first that is not in the second, which is convex, is no wider than that.
    """
    path, found = sweep.path, np.full(len(some), np.inf)
    inserts = [part for part in sweep.tool.parts if part.kind == "insert"]
    if len(inserts) > 1:
        return found
    cutting = inserts[0].folded(path.starts[path.feeds], path.ends[path.feeds])
    flat = cutting.on_one_side(path.starts, path.ends)
    for back in range(1, _BACK + 1):
        before = np.maximum(some - back, 0)
        known = (some >= back) & path.feeds[before] & flat[before] & flat[some]
        one, other = path.starts[before], path.ends[before]
        along = other - one
        square = (along**2).sum(axis=1)
        apart = np.zeros(len(some))
        for point in (path.starts[some], path.ends[some]):
            share = ((point - one) * along).sum(axis=1) / np.where(square > 0.0, square, 1.0)
            off = point - one - share.clip(0.0, 1.0)[:, None] * along
            apart = np.maximum(apart, np.hypot(off[:, 0], off[:, 1]))
        found[known] = np.minimum(found, apart)[known]
    return found


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


def _counting(
    thin: Geometries, heading: Floats, spans: tuple[Floats, Floats], groups: _Groups
) -> tuple[Floats, Floats]:
    """Return where that of thin pieces (n,) which is thick together begins and ends square to a heading.

    inf and -inf where nothing is; `spans` tell the same of the whole pieces, mm.
    """
    least, most = spans
    some = np.flatnonzero(~shapely.is_empty(thin))
    if not len(some):
        return least, most
    numbers, of = np.unique(groups.of[some], return_inverse=True)
    wholes = groups.together[numbers]
    for number in np.flatnonzero(shapely.is_empty(wholes)):
        wholes[number] = shapely.union_all(thin[some[of == number]], grid_size=GRID)
    # With the corners that matter, and so much wider that what lies side by side overlaps.
    wholes = shapely.buffer(shapely.simplify(wholes, COARSE), WIDER, join_style="mitre")
    # Most are thick with those of their own group; beside others a group is no less thick.
    rest, of = _not_within(_thickened(wholes), thin, some, of)
    if not len(rest):
        return least, most
    open_ones, of = np.unique(of, return_inverse=True)
    boxes = np.full((len(open_ones), 4), -np.inf)
    np.maximum.at(boxes, of, shapely.bounds(thin[rest]) * [-1.0, -1.0, 1.0, 1.0])
    shapes, bundle = _with_those_beside(wholes, boxes * [-1.0, -1.0, 1.0, 1.0])
    near = _thickened(shapes)
    rest, of = _not_within(near, thin, rest, bundle[of])
    if len(rest):
        # The others may be many, and all of them large; no more of them is looked at than can meet those.
        tree, solids = shapely.STRtree(thin[rest]), pieces_of(near)
        solids = solids[np.unique(tree.query(solids)[0])]
        least[rest], most[rest] = reach_within(thin[rest], heading[rest], solids)
    return least, most


def _not_within(solids: Geometries, shapes: Geometries, some: Ints, of: Ints) -> tuple[Ints, Ints]:
    """Return those of `some` shapes that do not lie in the solid of their group, and their groups."""
    shapely.prepare(solids)
    out = ~np.asarray(shapely.covers(solids[of], shapes[some]))
    return some[out], of[out]


def _with_those_beside(wholes: Geometries, boxes: Floats) -> tuple[Geometries, Ints]:
    """Put together what of shapes lies in each of some rectangles (n, 4) and near enough to make it thicker there.

    The shorter the steps, the more shapes lie beside each other. A bundle holds as many rectangles in a row as half of
    the shapes that each has about it, so that none is put together more than some three times, however short they are.

    Returns
    -------
    array of shapely geometries
        Of each bundle.
    (n,) array
        Which bundle is whose.
    """
    # Few corners are enough to tell which may be that near.
    rough = shapely.simplify(wholes, ROUGH)
    near = BESIDE + 2.0 * ROUGH
    one, other = shapely.STRtree(rough).query(shapely.box(*boxes.T), predicate="dwithin", distance=near)
    bundle = np.arange(len(boxes)) // max(1, round(0.5 * len(one) / len(boxes)))
    pairs = np.unique(np.column_stack([bundle[one], other]), axis=0)
    first = np.searchsorted(bundle, np.arange(bundle[-1] + 1))
    low, high = np.minimum.reduceat(boxes[:, :2], first), np.maximum.reduceat(boxes[:, 2:], first)
    around = np.asarray(shapely.box(*(low - 2.0 * near).T, *(high + 2.0 * near).T), dtype=object)
    # A bundle of nothing has none beside it, and keeps its number.
    rows = np.split(pairs[:, 1], np.searchsorted(pairs[:, 0], np.arange(1, len(first))))
    found = each(
        lambda row: shapely.union_all(shapely.intersection(wholes[rows[row]], around[row])), range(len(rows))
    )
    return np.array([*found, None], dtype=object)[:-1], bundle


def _thickened(shapes: Geometries) -> Geometries:
    """Return shapes that are too wide by `WIDER` without what is thin, and somewhat wider than the rest."""
    core = thick(shapes, TOUCH + 2.0 * WIDER)
    return np.asarray(shapely.buffer(core, TOUCH, join_style="mitre"), dtype=object)
