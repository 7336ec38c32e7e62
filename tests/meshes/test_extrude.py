from __future__ import annotations

import pytest
import shapely

from meshes.extrude import prism, prism_along_x, prism_along_y

WITH_HOLE = shapely.Polygon(
    [(0, 0), (40, 0), (40, 20), (10, 20), (0, 10)], [[(10, 5), (20, 5), (20, 12), (10, 12)]]
)
AREA = 40.0 * 20.0 - 0.5 * 10.0 * 10.0 - 10.0 * 7.0


def test_prism_with_a_hole(assert_solid) -> None:
    solid = prism(WITH_HOLE, 7.0)
    assert_solid(solid, 7.0 * AREA, rel=1e-12)
    assert solid.bounds.tolist() == [[0, 0, 0], [40, 20, 7]]


def test_along_x_the_section_is_y_z(assert_solid) -> None:
    solid = prism_along_x(WITH_HOLE, 7.0)
    assert_solid(solid, 7.0 * AREA, rel=1e-12)
    assert solid.bounds.tolist() == [[0, 0, 0], [7, 40, 20]]
    low_y = solid.vertices[solid.vertices[:, 1] == 0.0]
    assert low_y[:, 2].max() == 10.0  # the cut corner is at low y, high z


def test_along_y_the_section_is_x_z(assert_solid) -> None:
    solid = prism_along_y(WITH_HOLE, -2.0, 5.0)
    assert_solid(solid, 7.0 * AREA, rel=1e-12)
    assert solid.bounds.tolist() == [[0, -2, 0], [40, 5, 20]]


@pytest.mark.parametrize("height", [0.0, -1.0])
def test_height_must_be_positive(height: float) -> None:
    with pytest.raises(ValueError, match="greater than 0 mm"):
        prism(WITH_HOLE, height)


def test_crossing_section() -> None:
    with pytest.raises(ValueError, match="cross"):
        prism(shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)]), 1.0)
