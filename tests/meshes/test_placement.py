from __future__ import annotations

import math

import numpy as np
import pytest

from meshes import soft_jaw
from meshes.placement import jaw_placement, placed, rotation_z, translation
from meshes.soft_jaw import SoftJawBlank


def test_jaws_stand_120_deg_apart_counter_clockwise_from_x() -> None:
    ends = [(jaw_placement(index, 40.0) @ (0.0, 0.0, 7.0, 1.0))[:3] for index in range(3)]
    half, side = 20.0, 40.0 * math.sqrt(3.0) / 2.0
    np.testing.assert_allclose(ends, [(40, 0, 7), (-half, side, 7), (-half, -side, 7)], atol=1e-12)


def test_three_placed_jaws_are_congruent_under_120_deg(blank: SoftJawBlank) -> None:
    jaw = soft_jaw.mesh(blank)
    first = placed(jaw, jaw_placement(0, 31.7))
    for index in (1, 2):
        turned_back = placed(
            placed(jaw, jaw_placement(index, 31.7)), rotation_z(-index * 2.0 * math.pi / 3.0)
        )
        np.testing.assert_allclose(turned_back.vertices, first.vertices, atol=1e-11)
        np.testing.assert_array_equal(turned_back.faces, first.faces)


def test_placing_leaves_the_original(blank: SoftJawBlank) -> None:
    jaw = soft_jaw.mesh(blank)
    before = np.array(jaw.vertices)
    moved = placed(jaw, translation(1.0, 2.0, 3.0))
    moved.vertices[:] = 0.0
    moved.faces[:] = 0
    np.testing.assert_array_equal(jaw.vertices, before)
    assert jaw.is_watertight


def test_translation_then_rotation() -> None:
    point = rotation_z(math.pi / 2.0) @ translation(5.0, 0.0, 1.0) @ (0.0, 0.0, 0.0, 1.0)
    assert point[:3] == pytest.approx([0.0, 5.0, 1.0])
