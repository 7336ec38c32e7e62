"""Pieces put together at their seams are what the overlay of all of them is."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity

from sim.clearance import seams
from sim.clearance.cells import OVERLAP, in_cells
from sim.clearance.seams import stitched
from sim.clearance.tiles import joined

SAME = 1e-9  # mm2


def in_pieces(shape):
    found = [one for one in in_cells(shape, shapely.bounds(shape)) if not one[0].is_empty]
    return np.array([*(piece for piece, _ in found), None], dtype=object)[:-1], [cell for _, cell in found]


def star(seed, count=2000):
    random = np.random.default_rng(seed)
    turn = np.sort(random.uniform(0.0, 2.0 * np.pi, count))
    far = random.uniform(6.0, 9.0, count)
    return shapely.Polygon(np.column_stack([30.0 + far * np.cos(turn), 20.0 + far * np.sin(turn)]))


def comb(count=2000):
    z = np.repeat(np.linspace(0.0, 40.0, count), 2)
    rho = np.where(np.arange(len(z)) % 2, 57.0, 58.0)
    return shapely.Polygon([*np.column_stack([rho, z])[1:-1].tolist(), (70.0, 40.0), (70.0, 0.0)])


def ringed(seed):
    """A star with holes, of which some lie across seams."""
    holes = [
        affinity.scale(shapely.Point(x, y).buffer(1.0, quad_segs=90), 0.9, 0.7)
        for x in (27.0, 30.1, 33.0) for y in (18.0, 21.3)
    ]  # fmt: skip
    return shapely.difference(star(seed), shapely.union_all(holes))


def apart(seed):
    """Several stars beside each other, one with a hole within a hole of another."""
    outer = shapely.difference(star(seed), shapely.Point(30.0, 20.0).buffer(5.5, quad_segs=200))
    inner = affinity.scale(star(seed + 1), 0.4, 0.4, origin=(30.0, 20.0))
    inner = shapely.difference(inner, shapely.Point(30.0, 20.0).buffer(1.0))
    return shapely.MultiPolygon([outer, inner, affinity.translate(star(seed + 2), 25.0, 3.0)])


@pytest.mark.parametrize("at_once", [3, 1000])
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("kind", [star, ringed, apart])
def test_seams_give_what_the_overlay_does(kind, seed, at_once, monkeypatch):
    monkeypatch.setattr(seams, "_AT_ONCE", at_once)
    shape = kind(seed)
    pieces, cells = in_pieces(shape)
    assert len(pieces) > 8
    found = stitched(pieces, np.stack(cells))
    assert found is not None
    assert found.is_valid
    assert shapely.symmetric_difference(found, shapely.union_all(pieces)).area < SAME
    assert shapely.symmetric_difference(found, shape).area < SAME
    assert len(shapely.get_parts(found)) == len(shapely.get_parts(shape))


def test_the_corners_are_those_that_were_there():
    shape = comb()
    pieces, cells = in_pieces(shape)
    found = joined(pieces, cells)
    assert np.array_equal(
        np.unique(shapely.get_coordinates(found), axis=0), np.unique(shapely.get_coordinates(shape), axis=0)
    )


def test_outlines_along_the_borders_of_cells():
    """Borders are coordinates of corners: walls and floors of this one lie in them."""
    squares = [shapely.box(x, y, x + 1.0, y + 1.0) for x in range(0, 24, 2) for y in range(0, 24, 2)]
    shape = shapely.union_all([shapely.box(-1.0, -1.0, 30.0, 0.5), *squares])
    pieces, cells = in_pieces(shape)
    found = stitched(pieces, np.stack(cells))
    assert found is not None
    assert shapely.symmetric_difference(found, shape).area < SAME


def test_a_corner_on_a_seam_is_gone_through_once():
    border, aside = 10.0, 0.4142135 * OVERLAP
    shape = shapely.Polygon([(0.0, 0.0), (border + aside, -1.0), (20.0, 0.0), (20.0, 5.0), (0.0, 5.0)])
    cells = np.array([[0.0, -1.0, border, 5.0], [border, -1.0, 20.0, 5.0]])
    around = shapely.box(*(cells + OVERLAP * np.array([-1.0, -1.0, 1.0, 1.0])).T)
    found = stitched(shapely.intersection(shape, around), cells)
    assert found is not None
    assert shapely.symmetric_difference(found, shape).area < SAME


def test_without_a_piece_in_between_nothing_is_put_together():
    """An outline that goes on nowhere is no shape."""
    pieces, cells = in_pieces(star(3))
    kept = np.arange(len(pieces)) != len(pieces) // 2
    assert stitched(pieces[kept], np.stack(cells)[kept]) is None


def test_pieces_that_do_not_fit_are_overlaid():
    """One of the pieces lies some nanometres aside, as no cut leaves it."""
    pieces, cells = in_pieces(star(4))
    pieces[0] = affinity.translate(pieces[0], 1e-5, 1e-5)
    assert stitched(pieces, np.stack(cells)) is None
    assert shapely.symmetric_difference(joined(pieces, cells), shapely.union_all(pieces)).area < SAME


def test_an_outline_may_bend_right_on_a_seam() -> None:
    """A corner on the seam ends an edge in one cell, and begins the next in the other: neither goes on in its own."""
    seam = 10.0 + seams._ASIDE
    corners = [(0.0, 0.0), (seam, 1.0), (20.0, 0.0), (20.0, 9.0), (seam, 7.0), (5.0, 8.0), (0.0, 5.0)]
    whole = shapely.Polygon(corners)
    cells = np.array([[0.0, 0.0, 10.0, 9.0], [10.0, 0.0, 20.0, 9.0]])
    around = shapely.box(*(cells + OVERLAP * np.array([-1.0, -1.0, 1.0, 1.0])).T)
    pieces = np.asarray(shapely.intersection(whole, around), dtype=object)
    found = stitched(pieces, cells)
    assert found is not None
    assert found.equals_exact(whole, 1e-12, normalize=True)
