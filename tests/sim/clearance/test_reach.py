"""How far shapes reach within pieces, held against plain overlays. Elementary geometry, no source."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from sim.clearance.reach import reach_within


def stars(rng: np.random.Generator, count: int, corners: int, size: float) -> np.ndarray:
    """Polygons whose outline goes in and out round a centre each."""
    angle = np.linspace(0.0, 2.0 * math.pi, corners, endpoint=False)
    radius = rng.uniform(0.3, 1.0, (count, corners)) * size
    centre = rng.uniform(0.0, 10.0, (count, 1, 2))
    return shapely.polygons(centre + radius[..., None] * np.column_stack([np.cos(angle), np.sin(angle)]))


def by_overlay(shapes: np.ndarray, heading: np.ndarray, pieces: np.ndarray) -> np.ndarray:
    """Begin and end of what each shape has in common with each piece, one after the other."""
    found = []
    for shape, (x, z) in zip(shapes, heading, strict=True):
        corners = shapely.get_coordinates(shapely.intersection(shape, pieces))
        across = corners[:, 0] * z - corners[:, 1] * x
        found.append((across.min(initial=math.inf), across.max(initial=-math.inf)))
    return np.array(found)


@pytest.mark.parametrize("size", [0.05, 0.6, 4.0])
@pytest.mark.parametrize("seed", range(3))
def test_as_far_as_the_overlays(seed: int, size: float) -> None:
    """Shapes smaller and larger than the pieces: inside, across, around and beside them."""
    rng = np.random.default_rng(seed)
    angle = rng.uniform(0.0, 2.0 * math.pi, 120)
    heading = np.column_stack([np.cos(angle), np.sin(angle)])
    shapes, pieces = stars(rng, 120, 9, size), stars(rng, 25, 14, 0.7)
    found = np.column_stack(reach_within(shapes, heading, pieces))
    true = by_overlay(shapes, heading, pieces)
    assert np.isfinite(true[:, 0]).any()
    assert size > 1.0 or np.isinf(true[:, 0]).any()
    assert (np.isfinite(found) == np.isfinite(true)).all()
    some = np.isfinite(true)
    assert found[some] == pytest.approx(true[some], abs=1e-12)


def test_edges_on_one_line() -> None:
    """A box whose edges lie on those of a piece, or go on beyond them."""
    piece = np.array([shapely.box(0.0, 0.0, 2.0, 1.0)], dtype=object)
    shapes = np.array([shapely.box(-1.0, 0.0, 3.0, 1.0), shapely.box(0.5, 0.0, 1.5, 1.0)], dtype=object)
    least, most = reach_within(shapes, np.array([[0.0, 1.0], [0.0, 1.0]]), piece)
    assert least.tolist() == pytest.approx([0.0, 0.5], abs=1e-15)
    assert most.tolist() == pytest.approx([2.0, 1.5], abs=1e-15)


def test_no_pieces() -> None:
    least, most = reach_within(
        np.array([shapely.box(0.0, 0.0, 1.0, 1.0)], dtype=object),
        np.array([[1.0, 0.0]]),
        np.zeros(0, dtype=object),
    )
    assert least.tolist() == [math.inf]
    assert most.tolist() == [-math.inf]
