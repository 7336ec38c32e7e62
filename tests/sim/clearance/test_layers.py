"""Cuts as layers over a line: beside plain overlays of single cuts in turn, which know nothing of lines."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Floats, Geometries
from sim.clearance.layers import Uppers, covered, layers

BLOCK = 16
WALL = shapely.Polygon([(57, 0), (75, 0), (75, 30), (62, 33), (60, 26), (58, 40), (57, 22)])
SHOULDER = shapely.Polygon([(40, 0), (75, 0), (75, 50), (58, 50), (58, 21), (52, 20.5), (40, 20)])


def insert(seed: int) -> Floats:
    """Return a convex outline with its tip at the origin; it lies above and inside of the tip."""
    rng = np.random.default_rng(seed)
    points = rng.uniform((-6.0, 0.0), (0.0, 7.0), (12, 2))
    hull = shapely.orient_polygons(shapely.convex_hull(shapely.multipoints([*points, (0.0, 0.0)])))
    return np.asarray(shapely.get_coordinates(hull)[:-1])


def path(kind: str, seed: int) -> Floats:
    """Return places of the tip: down a wall that waves, in and out, back and forth, or by chance near the wall."""
    rng, count = np.random.default_rng(seed), 5 * BLOCK + 4
    z = np.linspace(40.0, 22.0, count)
    if kind == "wall":
        return np.column_stack([59.0 + rng.uniform(0.2, 0.8) * np.sin(z), z])
    if kind == "cusps":
        z = np.repeat(z[::2], 2)
        return np.column_stack([np.where(np.arange(count) % 2, 56.0, 58.8), z])
    if kind == "rounded":
        return np.round(np.column_stack([58.5 + 0.3 * np.sin(z), 30.0 - 0.002 * np.arange(count)]), 3)
    if kind == "again":
        z[BLOCK:] = z[:-BLOCK]
        return np.column_stack([58.5 + 1e-3 * np.arange(count), z])
    return rng.uniform((56.0, 22.0), (60.0, 34.0), (count, 2))


def wholes(outline: Floats, places: Floats) -> Geometries:
    """Return what a convex outline covers on its way: the hulls of its two places."""
    ends = np.concatenate([outline + places[:-1, None], outline + places[1:, None]], axis=1)
    return np.asarray(shapely.convex_hull(shapely.multipoints(ends)), dtype=object)


def taken_one_by_one(cuts: Geometries, stock: BaseGeometry) -> tuple[list[BaseGeometry], BaseGeometry]:
    found, left = [], stock
    for cut in cuts:
        found.append(left & cut)
        left = left - cut
    return found, left


def difference(one: BaseGeometry, other: BaseGeometry) -> float:
    return float(shapely.area(shapely.symmetric_difference(one, other)))


@pytest.mark.parametrize("kind", ["wall", "cusps", "rounded", "again", "anywhere"])
@pytest.mark.parametrize("seed", range(4))
def test_what_blocks_cover_above_their_level_is_all_that_their_cuts_do(kind: str, seed: int) -> None:
    outline, places = insert(seed), path(kind, seed)
    cuts, whole = Uppers.of(outline, places[:-1], places[1:]), wholes(outline, places)
    assert cuts is not None
    found = covered(cuts, BLOCK)
    for number, (above, below) in enumerate(zip(found.above, found.below, strict=True)):
        union = shapely.union_all(whole[BLOCK * number : BLOCK * (number + 1)])
        assert above.is_valid
        assert difference(above, above & union) < 1e-9  # no more than they cover
        assert shapely.area(union - above - below.buffer(1e-9)) < 1e-9  # and what is missing lies below


@pytest.mark.parametrize("stock", [WALL, SHOULDER])
@pytest.mark.parametrize("kind", ["wall", "cusps", "rounded", "again", "anywhere"])
@pytest.mark.parametrize("seed", range(4))
def test_layers_are_what_each_cut_takes_of_what_is_left(seed: int, kind: str, stock: BaseGeometry) -> None:
    outline, places = insert(seed), path(kind, seed)
    cuts, whole = Uppers.of(outline, places[:-1], places[1:]), wholes(outline, places)
    assert cuts is not None
    together, left = covered(cuts, BLOCK), stock
    for number in range(len(together.above)):
        rows = np.arange(BLOCK * number, min(BLOCK * (number + 1), len(whole)))
        clear = not together.below[number].intersects(left)
        reached = np.full(len(together.above), shapely.Polygon(), dtype=object)
        reached[number] = left & together.above[number]
        expected, rest = taken_one_by_one(whole[rows], left)
        found, unknown = layers(cuts, BLOCK, reached)
        assert not unknown[np.arange(len(unknown)) != number].any()
        if clear and not unknown[number]:
            for one, other in zip(found[rows], expected, strict=True):
                assert one.is_valid
                assert difference(one, other) < 1e-8
        left = rest


@pytest.mark.parametrize("kind", ["wall", "cusps", "rounded", "again"])
def test_usual_paths_need_no_overlay(kind: str) -> None:
    """Of a rhombus that points into the wall; what it takes of each block is known."""
    outline, places = np.array([(0.0, 0.0), (-5.0, 7.0), (-9.0, 6.5), (-7.0, 0.5)]), path(kind, 1)
    cuts = Uppers.of(outline, places[:-1], places[1:])
    assert cuts is not None
    together, left = covered(cuts, BLOCK), shapely.box(57.0, 10.0, 75.0, 40.0 if kind != "rounded" else 30.0)
    for number, (above, below) in enumerate(zip(together.above, together.below, strict=True)):
        assert not below.intersects(left)
        reached = np.full(len(together.above), shapely.Polygon(), dtype=object)
        reached[number] = left & above
        assert not layers(cuts, BLOCK, reached)[1].any()
        left = left - above


def test_a_cut_takes_a_crescent_of_known_area() -> None:
    """A square on its corner that is pushed 1 mm into a flat wall takes two slanted strips.

    The strips lie beside the corner that the square had pushed in before, 2 mm deep: area 3^2 - 2^2 = 5 mm2.
    """
    square = np.array([(-20.0, 0.0), (-10.0, -10.0), (0.0, 0.0), (-10.0, 10.0)])
    places = np.array([[50.0, 30.0], [62.0, 30.0], [63.0, 30.0]])
    cuts = Uppers.of(square, places[:-1], places[1:])
    assert cuts is not None
    wall = shapely.box(60.0, 0.0, 90.0, 60.0)
    reached = np.array([covered(cuts, 2).above[0] & wall])
    found, unknown = layers(cuts, 2, reached)
    assert not unknown.any()
    assert shapely.area(found) == pytest.approx([4.0, 5.0], abs=1e-9)
    assert covered(cuts, 2).above[0].bounds[2] == pytest.approx(63.0)


def test_metal_behind_a_hollow_is_left_to_an_overlay() -> None:
    """A cut that passes through a rib into what lies behind it takes two layers at one place of the line."""
    square = np.array([(-20.0, 0.0), (-10.0, -10.0), (0.0, 0.0), (-10.0, 10.0)])
    places = np.array([[50.0, 30.0], [62.0, 30.0], [63.0, 30.0]])
    cuts = Uppers.of(square, places[:-1], places[1:])
    assert cuts is not None
    rib = shapely.union(shapely.box(60.0, 0.0, 61.0, 60.0), shapely.box(61.5, 0.0, 90.0, 60.0))
    reached = np.array([covered(cuts, 2).above[0] & rib])
    assert layers(cuts, 2, reached)[1].all()


def test_an_insert_about_its_tip_points_nowhere() -> None:
    turn = np.linspace(0.0, 2.0 * math.pi, 24, endpoint=False)
    disc = 4.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    assert Uppers.of(disc, np.zeros((1, 2)), np.ones((1, 2))) is None
