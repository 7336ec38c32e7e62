"""What is drawn of a bored jaw against its solid, made by booleans: cut by a plane, and looked at from the front."""

from __future__ import annotations

from collections.abc import Callable

import manifold3d
import numpy as np
import pytest
import shapely

from sim.assessment.results import Assessment
from sim.drawing.jaw_shape import jaw_shape, middle_section, seen_height
from sim.drawing.primitives import Group, Line, Sheet
from sim.setup.parts import Parts, build

SHAPES = ("valve_bonnet_two_steps", "thin_ring_in_sector_jaws", "housing_gripped_inside", "cast_hub_on_plug")
BORED_BEFORE = {
    "soft_jaw.bored_before": [
        {
            "serration_index": 0,
            "travel": "3 mm",
            "pockets": [
                {"diameter": "134 mm", "depth": "9 mm", "groove_width": "2 mm", "groove_depth": "0.5 mm"}
            ],
        }
    ]
}


def cut_solid(parts: Parts, height: float | None = None) -> shapely.geometry.base.BaseGeometry:
    """Return the bored jaw's solid cut at a height, in (x, y), or without one through its middle plane, in (x, z)."""
    points = np.asarray(parts.bored.vertices)
    if height is None:  # seen along y: a turn of x, z, -y keeps its sides
        points = np.column_stack([points[:, 0], points[:, 2], -points[:, 1]])
    mesh = manifold3d.Mesh64(points, np.asarray(parts.bored.faces, dtype=np.uint64))
    rings = manifold3d.Manifold(mesh).slice(1e-6 if height is None else height).to_polygons()
    whole = shapely.Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(shapely.Polygon(ring).buffer(0.0))
    return whole


@pytest.fixture(params=[*SHAPES, "bored before"])
def parts(request: pytest.FixtureRequest, varied: Callable[..., object]) -> Parts:
    if request.param == "bored before":
        return build(varied("cast_hub_on_ring", BORED_BEFORE))
    return build(varied(request.param))


def test_middle_section(parts: Parts) -> None:
    drawn, solid = middle_section(jaw_shape(parts)), cut_solid(parts)
    assert drawn.symmetric_difference(solid).area < 1e-3 * solid.area


def test_heights_seen_from_the_front(parts: Parts) -> None:
    """A point is seen as high as the solid reaches there: cut just below, the solid has it, cut above, it has not."""
    shape, blank = jaw_shape(parts), parts.sizes.blank
    draw = np.random.default_rng(4)
    points = draw.uniform((0.0, -0.5 * blank.width), (blank.length, 0.5 * blank.width), (60, 2))
    seen = np.array([seen_height(shape, x, y) for x, y in points])
    levels = np.linspace(0.4, blank.height - 0.3, 14)
    for z in levels:
        metal = cut_solid(parts, float(z))
        inner, outer = metal.buffer(-0.05), metal.buffer(0.05)
        has, may = shapely.contains_xy(inner, *points.T), shapely.contains_xy(outer, *points.T)
        assert (seen[has] > z - 1e-6).all()
        nearest = levels[np.clip(np.searchsorted(levels, seen) - 1, 0, None)]
        at_top = (seen > levels[0]) & (nearest == z) & (seen - z < 0.05 * blank.height)
        assert may[at_top].all()


@pytest.mark.parametrize("name", SHAPES)
def test_hatching_stays_in_the_metal(
    sheet_of: Callable[..., Sheet], quickly_judged: Callable[[str], Assessment], name: str
) -> None:
    sheet, parts = sheet_of(name, "pocket"), quickly_judged(name).parts
    metal = cut_solid(parts).buffer(0.02)
    (x0, y0), scale = sheet.view.origin, sheet.view.scale
    (hatching,) = [i for i in sheet.items if isinstance(i, Group) and i.kind == "hatching"]
    assert len(hatching.items) > 10
    for line in hatching.items:
        assert isinstance(line, Line)
        ends = [((y - y0) / scale - parts.place.bored, (x - x0) / scale) for x, y in (line.start, line.end)]
        assert metal.covers(shapely.LineString(ends))


def test_hatching_leaves_room_for_words(sheet_of: Callable[..., Sheet], scenario_name: str) -> None:
    for subject in ("pocket", "assembly"):
        sheet = sheet_of(scenario_name, subject)
        items = [item for item in sheet.items if isinstance(item, Group)]
        hatch = [g.items for g in items if g.kind == "hatching"]
        words = [w.box() for g in items if g.kind != "hatching" for w in g.items if hasattr(w, "words")]
        lines = shapely.MultiLineString([(x.start, x.end) for group in hatch for x in group])
        assert not lines.intersects(shapely.union_all(words))
        assert all(group for group in hatch), "a body that is cut without hatching"
