"""The stock through all blocks of cuts, in pieces of few corners: a block makes anew only the pieces that it cuts.

So what a block costs hangs on the corners that it meets and not on those of the whole stock, and a piece that stays as
it is through many blocks is kept once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries, Ints
from sim.clearance.cells import MOST, STRAIGHT, in_cells, straightened, without_straight_corners
from sim.clearance.seams import stitched
from sim.clearance.shapes import EMPTY, areal, copied, region
from sim.clearance.union import parted, united

_EVER = np.iinfo(np.int64).max
_FEW = 8  # pieces, from which on it pays to ask rectangles round them first
_WORTH = MOST // 8  # corners of a piece on average; pieces of fewer are put together again


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """Pieces of the stock, each as it is from one block of cuts on to another.

    Attributes
    ----------
    pieces : (k,) array of shapely geometries
        They reach over each other by a little, see `sim.clearance.cells`; mm.
    born, gone : (k,)
        Number of the first block that finds each, and of the first that does not.
    """

    pieces: Geometries
    born: Ints
    gone: Ints

    def before(self, block: int) -> Geometries:
        """Return the pieces of the stock that a block of cuts finds; none where nothing is left of it."""
        return self.pieces[(self.born <= block) & (block < self.gone)]


@dataclass(slots=True, eq=False)
class Standing:
    """The stock while it is cut, block by block; a record that fills up.

    Attributes
    ----------
    pieces : list of BaseGeometry
        All that ever were.
    cells : list of (4,) arrays
        Of each: rho, z, rho, z, mm.
    born, gone : list of int
        See `Tiles`.
    alive : (m,)
        Numbers of the pieces that are there.
    boxes : (m, 4)
        Rectangles round them.
    """

    pieces: list[BaseGeometry] = field(default_factory=list)
    cells: list[Floats] = field(default_factory=list)
    born: list[int] = field(default_factory=list)
    gone: list[int] = field(default_factory=list)
    alive: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    boxes: Floats = field(default_factory=lambda: np.zeros((0, 4)))

    @classmethod
    def whole(cls, stock: BaseGeometry) -> Standing:
        """Start with a stock that nothing has cut."""
        standing = cls()
        standing._take(stock, shapely.bounds(stock), 0)
        standing._stand(0, np.zeros(0, dtype=bool))
        return standing

    def cut(self, block: int, union: BaseGeometry) -> tuple[BaseGeometry, BaseGeometry | None]:
        """Take away what all cuts of a block cover together.

        Returns
        -------
        reached : BaseGeometry
            What of it was there, mm.
        before : BaseGeometry, optional
            The piece of the stock of which all of that was; None where several, or none.
        """
        hit = self._met(union)
        if not len(hit):
            return EMPTY, None
        found = np.array([self.pieces[one] for one in hit], dtype=object)
        within, less = parted(found, np.full(len(hit), union, dtype=object))
        count = len(self.pieces)
        for one, rest in zip(hit.tolist(), less, strict=True):
            self.gone[one] = block + 1
            # Short steps leave corners on straight walls; without them the outline stays as short as it looks.
            self._take(region(shapely.simplify(rest, STRAIGHT)), self.cells[one], block + 1)
        self._stand(count, np.isin(self.alive, hit, invert=True))
        within = areal(within)
        within = within[~shapely.is_empty(within)]
        before = self.pieces[hit[0]] if len(hit) == 1 else None
        if len(within) < 2:
            return (within[0] if len(within) else EMPTY), before
        return united(within[None])[0], before

    def meets(self, shape: BaseGeometry) -> bool:
        """Tell whether a shape meets any of the stock as it stands now."""
        return len(self._met(shape)) > 0

    def onward(self) -> Standing:
        """Return what stands now as a start for further blocks: in its pieces, while those have many corners."""
        alive = [self.pieces[one] for one in self.alive]
        if int(shapely.get_num_coordinates(alive).sum()) < _WORTH * len(alive):
            return Standing.whole(self.left())
        cells, count = [self.cells[one] for one in self.alive], len(alive)
        return Standing(alive, cells, [0] * count, [_EVER] * count, np.arange(count), self.boxes)

    def left(self) -> BaseGeometry:
        """Return what stands now as one shape; its pieces may be asked meanwhile."""
        pieces = np.array([*(self.pieces[one] for one in self.alive), None], dtype=object)[:-1]
        return joined(copied(pieces), [self.cells[one] for one in self.alive])

    def tiles(self) -> Tiles:
        """Return all pieces that were."""
        return Tiles(
            np.array([*self.pieces, None], dtype=object)[:-1], np.array(self.born), np.array(self.gone)
        )

    def _met(self, shape: BaseGeometry) -> Ints:
        """Return the numbers of the pieces that are there and meet a polygon, or several."""
        near = np.flatnonzero(_boxes_meet(self.boxes, shapely.bounds(shape)[None])[:, 0])
        shapely.prepare(shape)
        if len(near) > _FEW:
            # A slanted edge has much around it: of many pieces most lie beside all edges, and wholly out.
            near = near[shapely.intersects(shape, shapely.box(*self.boxes[near].T))]
        if not len(near):
            return near
        near = self.alive[near]
        hit: Ints = near[shapely.intersects(shape, [self.pieces[one] for one in near])]
        return hit

    def _take(self, piece: BaseGeometry, cell: Floats, block: int) -> None:
        parts = [] if piece.is_empty else [(piece, cell)]
        if parts and shapely.get_num_coordinates(piece) > MOST:
            parts = in_cells(piece, cell)
        for part, around in parts:
            if not part.is_empty:
                self.pieces.append(part)
                self.cells.append(around)
                self.born.append(block)
                self.gone.append(_EVER)

    def _stand(self, first: int, stay: Flags) -> None:
        """Take the pieces from a first one on as there, beside those of the earlier ones that stay."""
        new = shapely.bounds(self.pieces[first:]).reshape(-1, 4)
        self.alive = np.r_[self.alive[stay], np.arange(first, len(self.pieces))]
        self.boxes = np.concatenate([self.boxes[stay], new])


def _boxes_meet(boxes: Floats, others: Floats) -> Flags:
    """Tell which rectangles (n, 4) meet which others (m, 4), (n, m)."""
    low, high = boxes[:, None, :2] <= others[:, 2:], boxes[:, None, 2:] >= others[:, :2]
    return np.asarray((low & high).all(axis=2))


def joined(pieces: Geometries, cells: Sequence[Floats]) -> BaseGeometry:
    """Return the stock in pieces and their cells as one shape; empty without a piece."""
    if not len(pieces):
        return EMPTY
    if len(pieces) == 1:
        one: BaseGeometry = pieces[0]
        return one
    whole = stitched(pieces, np.stack(cells))
    if whole is not None:
        plain = without_straight_corners(whole)
        if shapely.is_valid(plain):
            return plain
    return straightened(region(united(pieces[None])[0]))
