"""A shape in the halves of its cell is what an overlay gives, also where clipping goes wrong. Elementary geometry."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.clearance import cells


def comb(seed: int) -> BaseGeometry:
    """A block with a hole whose one side is teeth of random depth, some of them cut through to the other side."""
    rng = np.random.default_rng(seed)
    z = np.linspace(0.0, 20.0, 301)
    x = np.where(np.arange(301) % 2, 40.0, rng.uniform(40.5, 43.0, 301))
    teeth = shapely.Polygon([*zip(x.tolist(), z.tolist(), strict=True), (60.0, 20.0), (60.0, 0.0)])
    slits = shapely.box(30.0, [6.0, 14.0], 70.0, [6.01, 14.5])
    return shapely.difference(teeth, shapely.union_all([*slits, shapely.Point(50.0, 10.0).buffer(3.0)]))


def overlaid(shape: BaseGeometry, cell: np.ndarray) -> BaseGeometry:
    around = shapely.box(*(cell + cells.OVERLAP * np.array([-1.0, -1.0, 1.0, 1.0])))
    return shapely.intersection(shape, around)


@pytest.mark.parametrize("seed", range(4))
def test_halves_hold_what_an_overlay_finds_there(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Down to few corners: each piece is what of the shape lies in its cell and a little around, without an overlay."""
    shape = comb(seed)
    asked: list[object] = []
    monkeypatch.setattr(cells.shapely, "intersection", lambda *both: asked.append(both) or overlaid(*both))
    found = cells.in_cells(shape, np.array(shapely.bounds(shape)))
    monkeypatch.undo()
    assert not asked
    assert len(found) > 1
    for piece, cell in found:
        assert piece.is_valid
        assert shapely.symmetric_difference(piece, overlaid(shape, cell)).area < 1e-9
    assert shapely.union_all([shapely.box(*cell) for _, cell in found]).equals(shapely.envelope(shape))


@pytest.mark.parametrize("wrong", ["a corner less", "a spike", "nothing", "all of the cell"])
def test_what_clipping_loses_an_overlay_finds(wrong: str, monkeypatch: pytest.MonkeyPatch) -> None:
    shape = comb(0)
    bounds = np.array(shapely.bounds(shape))
    clip, some = shapely.clip_by_rect, []

    def clipped(whole: BaseGeometry, *box: float) -> BaseGeometry:
        right = clip(whole, *box)
        some.append(right)
        if len(some) % 3 != 1:  # one of two halves and of the strip between them
            return right
        first, *others = shapely.get_parts(right)
        corners = shapely.get_coordinates(first.exterior)
        if wrong == "a corner less":
            corners = np.delete(corners, 40, axis=0)
        if wrong == "a spike":  # of no area
            corners = np.vstack([corners[:5], corners[4] + [9.0, 9.0], corners[4:]])
        if wrong.startswith("a "):
            return shapely.MultiPolygon([shapely.Polygon(corners, first.interiors), *others])
        return shapely.Polygon() if wrong == "nothing" else shapely.box(*box)

    monkeypatch.setattr(cells.shapely, "clip_by_rect", clipped)
    for piece, cell in cells.halved(shape, bounds):
        assert piece.is_valid
        assert shapely.symmetric_difference(piece, overlaid(shape, cell)).area < 1e-9
    assert some
