"""Unions of nearly coinciding edges hold all of their members."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from sim.clearance import union
from sim.clearance.sweep import minkowski_blocked
from sim.clearance.union import parted, united, united_exactly


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


def test_what_a_cut_takes_and_leaves_adds_up() -> None:
    rng = np.random.default_rng(3)
    box = shapely.box(0.0, 0.0, 20.0, 10.0)
    shifts = rng.uniform(-5.0, 5.0, size=(200, 2)) * np.repeat([[1.0], [0.0], [1e-9], [1e-15]], 50, axis=0)
    cuts = np.array([shapely.box(x, y, x + 20.0, y + 5.0) for x, y in shifts.tolist()], dtype=object)
    inside, outside = parted(np.full(len(cuts), box, dtype=object), cuts)
    assert shapely.area(inside) + shapely.area(outside) == pytest.approx(200.0, abs=1e-5)
    width, height = 20.0 - np.abs(shifts[:, 0]), 5.0 + np.minimum(shifts[:, 1], 0.0)
    assert shapely.area(inside) == pytest.approx(width * height, abs=1e-5)


def test_a_lost_rest_is_taken_again_on_the_grid(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = shapely.difference

    def losing(shapes, cuts, grid_size=None):  # type: ignore[no-untyped-def]
        found = plain(shapes, cuts, grid_size=grid_size)
        if grid_size is None:
            found[1] = shapely.Polygon()
        return found

    monkeypatch.setattr(union.shapely, "difference", losing)
    boxes = np.array([shapely.box(0.0, 0.0, 4.0, 1.0)] * 3, dtype=object)
    cuts = np.array([shapely.box(0.0, 0.0, k, 1.0) for k in (1.0, 2.0, 3.0)], dtype=object)
    inside, outside = parted(boxes, cuts)
    assert shapely.area(inside).tolist() == pytest.approx([1.0, 2.0, 3.0])
    assert shapely.area(outside).tolist() == pytest.approx([3.0, 2.0, 1.0])
