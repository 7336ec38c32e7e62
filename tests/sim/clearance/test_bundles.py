"""Blocks that are cut out of the stock at once: beside plain overlays of single cuts in turn, which know no blocks."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.base.arrays import Flags, Floats, Geometries
from sim.clearance import removal
from sim.clearance.depth import depth_of_cut
from sim.clearance.layers import Uppers, layers
from sim.clearance.led_runs import LedRuns
from sim.clearance.removal import BLOCK, BUNDLE, Cuts, Removal, removal_of
from sim.clearance.shapes import EMPTY
from sim.clearance.sweep import along_path, fronts_of, swept
from sim.clearance.tiles import Standing
from sim.clearance.tool import Tool, ToolPart
from sim.programs.path import Move

WALL = shapely.box(57.2, 0.0, 80.0, 50.0)
RHOMBUS = np.array([(0.0, 0.0), (-1.0, 6.0), (-8.0, 6.5), (-7.0, 0.5)])
COUNT = (BUNDLE + 1) * BLOCK + 20  # a whole bundle, and one that is cut short


def cusps(count: int, pitch: float = 0.001) -> Floats:
    z = 40.0 - pitch * np.repeat(np.arange(count // 2 + 1), 2)
    return np.column_stack([np.where(np.arange(len(z)) % 2, 57.0, 58.0), z])[: count + 1]


def chords(count: int) -> Floats:
    z = np.linspace(45.0, 44.6, count + 1)
    return np.column_stack([57.6 + 0.3 * np.sin(25.0 * z), z])


def taken_of(points: Floats, stock: BaseGeometry) -> tuple[Geometries, Removal]:
    """Return what each of the steps covers, and what they remove."""
    part, starts, ends = ToolPart("insert", "insert", RHOMBUS), points[:-1], points[1:]
    whole = swept(part, starts, ends)
    fronts = np.r_[whole[:1], fronts_of(part, starts, ends)[1:]]
    led = LedRuns.of(RHOMBUS, starts, ends, BLOCK)
    cuts = Cuts(
        whole.__getitem__,
        whole.__getitem__,
        fronts.__getitem__,
        led,
        lambda some: Uppers.of(RHOMBUS, starts[some], ends[some]),
    )
    return whole, removal_of(len(whole), lambda _: cuts, Standing.whole(stock))


def agree(whole: Geometries, found: Removal, stock: BaseGeometry) -> None:
    """Hold what each cut, each block and all together take against overlays in turn."""
    left = stock
    for number in range(found.blocks):
        rows = np.arange(number * BLOCK, min((number + 1) * BLOCK, len(whole)))
        before = left
        for row in rows.tolist():
            expected, left = left & whole[row], left - whole[row]
            assert shapely.area(shapely.symmetric_difference(found.removed[row], expected)) < 1e-8
        block = before - left
        assert shapely.area(shapely.symmetric_difference(found.together[number], block)) < 1e-7
        if number % BUNDLE == 0:
            there = shapely.union_all(found.tiles.before(number))
            assert shapely.area(shapely.symmetric_difference(there, before)) < 1e-7
            bundle = shapely.union_all(found.together[number : number + BUNDLE])
            known = found.bundled[number // BUNDLE]
            assert known.is_empty or shapely.area(shapely.symmetric_difference(known, bundle)) < 1e-7
    assert shapely.area(shapely.symmetric_difference(found.left, left)) < 1e-7


@pytest.fixture
def of_stock(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return the blocks after which the stock was cut."""
    asked: list[int] = []
    plain = Standing.cut

    def counted(standing: Standing, block: int, union: BaseGeometry) -> object:
        asked.append(block)
        return plain(standing, block, union)

    monkeypatch.setattr(Standing, "cut", counted)
    return asked


@pytest.mark.parametrize("kind", ["cusps", "chords"])
def test_a_bundle_takes_what_its_cuts_take_in_turn(
    kind: str, of_stock: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(removal, "FEW_RUNS", 0)
    whole, found = taken_of((cusps if kind == "cusps" else chords)(COUNT), WALL)
    assert of_stock == [BUNDLE - 1, BUNDLE + 1]
    agree(whole, found, WALL)


def test_of_a_bundle_that_outlines_do_not_tell_apart_overlays_do(
    of_stock: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    def unsure(cuts: Uppers, size: int, reached: Geometries) -> tuple[Geometries, Flags]:
        found, unknown = layers(cuts, size, reached)
        return (np.full_like(found, EMPTY), ~unknown) if size == BUNDLE else (found, unknown)

    monkeypatch.setattr(removal, "layers", unsure)
    whole, found = taken_of(cusps(COUNT), WALL)
    assert of_stock == [BUNDLE - 1, BUNDLE + 1]
    agree(whole, found, WALL)


def test_metal_below_the_level_of_a_bundle_is_cut_block_by_block(of_stock: list[int]) -> None:
    """A rib stands behind the insert: what passes below the level meets it, so heights alone tell nothing."""
    stock = shapely.union(WALL, shapely.box(53.0, 43.0, 58.0, 48.0))
    whole, found = taken_of(cusps(COUNT), stock)
    assert of_stock[0] == 0
    agree(whole, found, stock)


def again(half: int) -> Floats:
    """Down a wall, and up it again a micrometre deeper: slivers beside what is thick."""
    z = np.linspace(45.0, 43.0, half + 1)
    down = np.column_stack([57.6 + 0.3 * np.sin(2.0 * z), z])
    return np.concatenate([down, np.add(down[-2::-1], (0.001, 0.0))])


@pytest.mark.parametrize(
    "path",
    [cusps(4 * BUNDLE * BLOCK, 0.003), chords(4 * BUNDLE * BLOCK), again(BUNDLE * BLOCK // 2)],
)
def test_what_bundles_take_moves_no_depth_of_cut(path: Floats) -> None:
    """Beside the same steps of which only blocks are known, or some bundles, too."""
    part = ToolPart("insert", "insert", RHOMBUS)
    moves = [Move("feed", tuple(a), tuple(b)) for a, b in itertools.pairwise(path.tolist())]
    sweep = along_path(moves, Tool("bar", (part,), 0.0))
    _, taken = taken_of(path, WALL)
    assert not shapely.is_empty(taken.bundled).all()
    found = depth_of_cut(sweep, taken.removed, taken)
    assert found.max() > 0.0
    few = taken.bundled.copy()
    few[1::2] = EMPTY
    none = np.full(len(few), EMPTY, dtype=object)
    for bundled in (few, none):
        other = depth_of_cut(sweep, taken.removed, replace(taken, bundled=bundled))
        assert other == pytest.approx(found, abs=2e-4)
