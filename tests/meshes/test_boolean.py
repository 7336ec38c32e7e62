from __future__ import annotations

import numpy as np
import pytest
import trimesh

from meshes.boolean import difference, intersection, to_manifold, union


def box(low: float, high: float) -> trimesh.Trimesh:
    return trimesh.creation.box(bounds=[(low, 0.0, 0.0), (high, 10.0, 10.0)])


def test_boxes_overlapping_by_a_quarter(assert_solid) -> None:
    first, second = box(0.0, 8.0), box(6.0, 14.0)
    assert_solid(union([first, second]), 1400.0, rel=1e-12)
    assert_solid(intersection([first, second]), 200.0, rel=1e-12)
    assert_solid(difference(first, [second]), 600.0, rel=1e-12)


def test_results_can_be_cut_again(assert_solid) -> None:
    once = difference(box(0.0, 8.0), [box(6.0, 14.0)])
    assert_solid(difference(once, [box(-1.0, 1.0)]), 500.0, rel=1e-12)


def test_apart_gives_nothing() -> None:
    assert len(intersection([box(0.0, 1.0), box(2.0, 3.0)]).faces) == 0


def test_double_precision_is_kept() -> None:
    shifted = box(1000.0, 1000.0 + 1.0 / 3.0)
    assert np.ptp(difference(shifted, [box(0.0, 1.0)]).vertices[:, 0]) == pytest.approx(1.0 / 3.0, abs=1e-11)


def test_open_mesh_is_refused() -> None:
    solid = box(0.0, 1.0)
    broken = trimesh.Trimesh(solid.vertices, solid.faces[:-1], process=False)
    with pytest.raises(ValueError, match="closed solids"):
        to_manifold(broken)


def test_no_solids() -> None:
    with pytest.raises(ValueError, match="at least one solid"):
        union([])
