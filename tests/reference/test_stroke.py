"""First touch against values worked out by hand, and the trade's rule of patterns.

The values: face 50 mm wide, bore radius 50 mm; part radius 50.1 mm touches on the edges at e = +0.1154 mm,
since sqrt(50.1^2 - 25^2) - sqrt(50^2 - 25^2) = 43.4167 - 43.3013; part radius 49.9 mm in the middle at e =
-0.1 mm. The rule is common practice, no source: a bore of the part's nominal diameter touches the full
face, a smaller one six edges, a larger one three middles.
"""

from __future__ import annotations

import pytest
import shapely

from sim.mechanics.stroke import first_touch


def test_larger_part_touches_six_edges() -> None:
    touch = first_touch(50.1, 50.0, 50.0, "outside")
    assert touch.pattern == "edges"
    assert touch.e == pytest.approx(0.1154, abs=0.00005)


def test_smaller_part_touches_three_middles() -> None:
    touch = first_touch(49.9, 50.0, 50.0, "outside")
    assert touch.pattern == "middle"
    assert touch.e == pytest.approx(-0.1, abs=1e-12)


@pytest.mark.parametrize(("bore", "pattern"), [(60.0, "full"), (59.8, "edges"), (60.2, "middle")])
def test_rule_of_patterns(bore: float, pattern: str) -> None:
    """Common practice, no source."""
    assert first_touch(60.0 / 2, bore / 2, 30.0, "outside").pattern == pattern


@pytest.mark.parametrize("part_radius", [49.6, 49.9, 50.1, 50.4])
def test_touch_against_polygons(part_radius: float) -> None:
    """A jaw as a polygon (shapely) just touches the part at e, and only in the middle or on both edges."""
    touch = first_touch(part_radius, 50.0, 50.0, "outside")
    block = shapely.box(30.0, -25.0, 90.0, 25.0)
    bore = shapely.Point(0.0, 0.0).buffer(50.0, quad_segs=5_000)
    jaw = shapely.affinity.translate(block.difference(bore), touch.e, 0.0)
    part = shapely.Point(0.0, 0.0).buffer(part_radius, quad_segs=5_000)
    assert jaw.distance(part) == pytest.approx(0.0, abs=1e-6)
    assert jaw.intersection(part).area == pytest.approx(0.0, abs=1e-5)
    nearest = shapely.shortest_line(shapely.affinity.translate(jaw, 0.001, 0.0), part)
    y = abs(nearest.coords[0][1])
    assert y == pytest.approx(0.0 if touch.pattern == "middle" else 25.0, abs=0.5)
