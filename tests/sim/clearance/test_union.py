"""Unions of nearly coinciding edges hold all of their members."""

from __future__ import annotations

import numpy as np
import shapely

from sim.clearance.sweep import minkowski_blocked
from sim.clearance.union import united, united_exactly


def nearly_coinciding() -> list[shapely.Polygon]:
    """A box's edges swept by a pentagon: two of the sweeps share an edge but for 2e-15 mm."""
    outline = np.array([
        [0.18955670950298411, -3.1798264533295342], [4.3559811492609406, 1.4977881085022836],
        [5.081723903695373, 3.1054183454590762], [-4.0818050107797296, 3.4342902836100526],
        [-3.7238023490063386, -0.39277824643971254],
    ])  # fmt: skip
    corners = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 10.0]])
    sweeps = []
    for begin, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        sweeps.append(shapely.MultiPoint(np.vstack([begin - outline, end - outline])).convex_hull)
    return sweeps


def test_nothing_of_a_member_is_lost() -> None:
    members = nearly_coinciding()
    for whole in (united(np.array([members], dtype=object))[0], united_exactly(list(members))):
        for member in members:
            assert shapely.difference(member, whole).area < 1e-3


def test_a_met_loss_stays_mended() -> None:
    """The plain union of these sweeps lacked 31 mm2 of one of them (shapely 2.2.0 with GEOS 3.14.1)."""
    outline = np.array([
        [0.18955671, -3.17982645], [4.35598115, 1.49778811], [5.0817239, 3.10541835],
        [-4.08180501, 3.43429028], [-3.72380235, -0.39277825],
    ])  # fmt: skip
    solid = shapely.box(0.0, 0.0, 20.0, 10.0).difference(shapely.box(5.0, 4.0, 15.0, 20.0))
    rng = np.random.default_rng(1)
    for _ in range(30):
        moved = outline + rng.normal(size=outline.shape) * 1e-9
        assert minkowski_blocked(solid, moved).contains(shapely.Point(-2.729, 3.707))


def test_rows_are_united_each_by_itself() -> None:
    boxes = [shapely.box(k, 0.0, k + 1.5, 1.0) for k in range(4)]
    found = united(np.array([boxes[:2], boxes[2:]], dtype=object))
    assert [float(one.area) for one in found] == [2.5, 2.5]
    assert united(np.full((2, 3), shapely.Polygon(), dtype=object))[0].is_empty
