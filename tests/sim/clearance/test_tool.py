"""Tools as convex pieces, against their solids and closed forms; elementary geometry, no source needed."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from meshes import boring_bar, tool_holder
from meshes import insert as inserts
from meshes.boring_bar import BoringBar
from meshes.placement import placed, translation
from meshes.tool_holder import ToolHolder
from sim.clearance import image
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.sweep import swept
from sim.clearance.tool import Tool, ToolPart, boring_tool, cut, mirrored, pieces, turning_tool
from sim.clearance.tool_outlines import flank_outlines
from sim.programs.path import Move

BAR = BoringBar(diameter=16.0, reach=100.0, functional_offset=11.0)


def covered(tool: Tool, x: float, z: float) -> shapely.Geometry:
    at = np.array([[x, z]])
    return shapely.union_all([swept(part, at, at)[0] for part in tool.parts])


@pytest.mark.parametrize(
    ("code", "approach"),
    [("CCMT 09T304", 95.0), ("VCMT 110302", 107.5), ("RCMT 0803M0", 90.0)],
)
@pytest.mark.parametrize(
    ("radius", "missed", "added"), [(9.0, 0.1, 1.7), (25.0, 0.02, 0.55), (80.0, 0.02, 0.2)]
)
def test_pieces_cover_the_solid_of_the_boring_bar(
    code: str, approach: float, radius: float, missed: float, added: float
) -> None:
    """Hardly anything of the mesh lies outside the pieces, and they add little: the less, the wider the bore.

    Missed is what the flank and the rear corners of the insert bulge between their sections; added is the
    step of the head's layers.
    """
    insert = inserts.parse(code)
    tool = boring_tool(BAR, insert, math.radians(approach))
    solid = placed(boring_bar.mesh(BAR, insert, math.radians(approach)), translation(radius, 0.0, 0.0))
    seen, pieces_seen = image.of_mesh(solid), covered(tool, radius, 0.0)
    assert pieces_seen.buffer(missed).contains(seen)
    assert seen.buffer(added).contains(pieces_seen)


def test_plate_holder_is_exact() -> None:
    holder = ToolHolder(((-30.0, 5.0), (-1.0, 3.0), (-2.0, 60.0), (-10.0, 30.0), (-30.0, 60.0)), 18.0)
    tool = turning_tool(holder, inserts.parse("DCMT 11T304"), math.radians(93.0))
    for radius in (12.0, 60.0):
        seen = image.of_mesh(placed(tool_holder.mesh(holder), translation(radius, 0.0, 0.0)))
        at = np.array([[radius, 0.0]])
        plates = shapely.union_all([swept(part, at, at)[0] for part in tool.parts if part.kind == "holder"])
        assert seen.buffer(3e-3).contains(plates)
        assert plates.buffer(3e-3).contains(seen)


def test_heel_of_an_insert_rubs_in_a_small_bore() -> None:
    """sqrt((x - t tan a)^2 + t^2) > x for x < t (1 + tan^2 a) / (2 tan a); here 7 deg, 3.97 mm: 16.41 mm."""
    insert = inserts.parse("CCMT 09T304")
    t, slope = insert.thickness, math.tan(insert.clearance_angle)
    limit = t * (1.0 + slope**2) / (2.0 * slope)
    assert limit == pytest.approx(16.41, abs=0.01)
    tool = Tool(
        "insert alone",
        (
            *pieces("insert", "insert", inserts.outline(insert, math.radians(95.0))),
            *cut(flank_outlines(insert, shapely.Polygon(inserts.outline(insert, math.radians(95.0))))),
        ),
        0.4,
    )
    for radius, touches in ((limit - 1.0, True), (limit + 1.0, False)):
        stock = shapely.box(radius - 1.0, 0.0, 60.0, 30.0)
        result = clearance_of([Move("feed", (radius, 40.0), (radius, 5.0))], tool, [], stock, None, 0.0)
        assert [touch.part for touch in result.touches] == (["insert flank"] if touches else [])


@pytest.mark.parametrize(
    ("code", "approach", "bar", "pocket"),
    [
        ("CNMG 120408", 95.0, BoringBar(25.0, 100.0, 17.0), 118.0),
        ("CNMG 120408", 95.0, BoringBar(32.0, 120.0, 22.0), 118.0),
        ("WNMG 080408", 95.0, BoringBar(32.0, 120.0, 22.0), 118.0),
        ("TNMG 160408", 91.0, BoringBar(32.0, 120.0, 22.0), 118.0),
        ("DNMG 150608", 93.0, BoringBar(32.0, 120.0, 22.0), 118.0),
        ("CCMT 09T304", 95.0, BoringBar(20.0, 80.0, 13.0), 60.0),
        ("CCMT 09T304", 95.0, BoringBar(16.0, 64.0, 11.0), 60.0),
        ("CCMT 060204", 95.0, BoringBar(12.0, 48.0, 9.0), 40.0),
        # The hole is 1.1 times the least bore or little more.
        ("CCMT 09T304", 95.0, BoringBar(16.0, 64.0, 11.0), 40.0),
        ("WNMG 060408", 95.0, BoringBar(20.0, 80.0, 13.0), 47.0),
        ("CNMG 120408", 95.0, BoringBar(25.0, 100.0, 17.0), 60.0),
        ("VBMT 160404", 93.0, BoringBar(25.0, 100.0, 17.0), 60.0),
        ("DNMG 150608", 93.0, BoringBar(32.0, 128.0, 22.0), 76.0),
        ("CNMG 120408", 95.0, BoringBar(40.0, 160.0, 27.0), 94.0),
    ],
)
def test_ordinary_bars_touch_nothing_in_ordinary_pockets(
    code: str, approach: float, bar: BoringBar, pocket: float
) -> None:
    """From a hole of six tenths of the pocket on, 2 mm at a time: what shops bore (common practice, no source)."""
    tool = boring_tool(bar, inserts.parse(code), math.radians(approach))
    stock = shapely.box(0.3 * pocket, 0.0, 0.5 * pocket + 40.0, 50.0)
    wanted = shapely.difference(stock, shapely.box(0.0, 27.0, 0.5 * pocket, 60.0))
    path = boring_path(stock, wanted, tool, BoringPlan("outside", 2.0, 0.3, 60.0))
    assert not [t for t in clearance_of(path, tool, [], stock, wanted, 1.0).touches if t.kind != "gouge"]


@pytest.mark.parametrize(
    ("code", "approach"), [("CNMG 120408", 95.0), ("CCMT 09T304", 95.0), ("DCMT 11T304", 93.0)]
)
def test_the_assumed_head_is_no_smaller_than_the_insert_needs(code: str, approach: float) -> None:
    """The seat bears more than half of the insert, and a bore smaller than the least one is no room for the head."""
    insert, bar = inserts.parse(code), BoringBar(25.0, 100.0, 17.0)
    tool = boring_tool(bar, insert, math.radians(approach))
    rake = shapely.Polygon(inserts.outline(insert, math.radians(approach)))
    borne = [p for p in tool.parts if p.name == "seat" and p.near <= insert.thickness <= p.far]
    assert shapely.union_all([shapely.Polygon(p.outline) for p in borne]).area > 0.5 * rake.area
    assert {p.name for p in tool.parts if p.assumed} == {"seat", "head", "insert flank"}
    for bore, touches in ((1.4 * bar.least_bore, False), (bar.least_bore - 4.0, True)):
        around = Body("sleeve", shapely.box(0.5 * bore, 0.0, 80.0, 60.0), "fixture")
        path = [Move("rapid", (0.5 * bore - 0.2, 90.0), (0.5 * bore - 0.2, 20.0))]
        found = {
            touch.part for touch in clearance_of(path, tool, [around], shapely.Polygon(), None, 0.0).touches
        }
        assert bool(found & {"head", "seat"}) == touches


@pytest.mark.parametrize("code", ["CNMG 120408", "CCMT 09T304", "VBMT 160404", "DNMG 150608"])
@pytest.mark.parametrize("least", [32.0, 40.0, 60.0])
def test_an_insert_enters_the_least_bore_of_its_bar(code: str, least: float) -> None:
    """Its heel clears that bore, the tip at the wall; one of 80 deg meets a smaller bore unless it leans in enough."""
    insert, bar = inserts.parse(code), BoringBar(20.0, 80.0, 13.0, least)
    lean, t = boring_bar.lean(bar, insert), insert.thickness
    assert math.hypot(0.5 * least - t * lean, t) <= 0.5 * least + 1e-9
    assert lean >= math.tan(insert.clearance_angle or boring_bar.TILT)
    touched = []
    for bore in (least - 3.0, least + 0.1):
        around = Body("sleeve", shapely.box(0.5 * bore, 0.0, 80.0, 60.0), "fixture")
        face = inserts.outline(insert, math.radians(93.0))
        cutting = (
            *pieces("insert", "insert", face),
            *cut(flank_outlines(insert, shapely.Polygon(face), bar)),
        )
        flank = Tool("flank", cutting, 0.4)
        path = [Move("rapid", (0.5 * bore - 1e-3, 90.0), (0.5 * bore - 1e-3, 20.0))]
        touched.append(bool(clearance_of(path, flank, [around], shapely.Polygon(), None, 0.0).touches))
    assert not touched[1]
    needed = t * (1.0 + lean**2) / (2.0 * lean)
    if code.startswith("C"):
        assert touched[0] == (0.5 * (least - 3.0) < needed)


def test_a_larger_least_bore_is_a_larger_head() -> None:
    heads = []
    for least in (30.0, 40.0, 80.0, 1000.0):
        tool = boring_tool(
            BoringBar(25.0, 100.0, 17.0, least), inserts.parse("CNMG 120408"), math.radians(95.0)
        )
        at = np.array([[60.0, 0.0]])
        heads.append(shapely.union_all([swept(part, at, at)[0] for part in tool.parts if part.assumed]))
    assert heads[-1].area > heads[0].area + 1.0
    for small, large in itertools.pairwise(heads):
        assert small.area < large.area + 0.1
        assert large.buffer(0.2).contains(small)


def test_mirrored_tool_cuts_towards_the_axis() -> None:
    tool = boring_tool(BAR, inserts.parse("CCMT 09T304"), math.radians(95.0))
    other = mirrored(tool)
    assert covered(other, 60.0, 0.0).bounds[0] == pytest.approx(60.0, abs=1e-6)
    assert covered(tool, 60.0, 0.0).bounds[2] == pytest.approx(60.0, abs=1e-6)
    assert [part.name for part in mirrored(other).parts] == [part.name for part in tool.parts]


def test_concave_outline_is_cut_into_convex_pieces() -> None:
    corner = [(0.0, 0.0), (20.0, 0.0), (20.0, 5.0), (5.0, 5.0), (5.0, 30.0), (0.0, 30.0)]
    parts = pieces("corner", "holder", corner, 0.0, 3.0)
    assert len(parts) == 2
    assert shapely.union_all([shapely.Polygon(part.outline) for part in parts]).equals(
        shapely.Polygon(corner)
    )
    assert pieces("corner", "holder", corner[::-1])[0].near == 0.0


def test_least_clearance_is_the_bar_and_not_the_head_in_a_wide_ring() -> None:
    tool = boring_tool(BAR, inserts.parse("CCMT 09T304"), math.radians(95.0))
    ring = Body("boring ring", shapely.box(70.0, 50.0, 100.0, 60.0), "fixture")
    result = clearance_of(
        [Move("rapid", (60.0, 20.0), (60.0, 10.0))], tool, [ring], shapely.Polygon(), None, 0.0
    )
    assert result.part == ("bar",)
    assert result.least_clearance == pytest.approx(70.0 - (60.0 - 11.0 + 8.0))


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda: ToolPart("x", "seat", np.array([(0, 0), (1, 0), (1, 1)]), 2.0, 1.0), "near <= far"),
        (lambda: ToolPart("x", "seat", np.array([(0, 0), (1, 1), (1, 0)])), "counter-clockwise"),
        (lambda: ToolPart("x", "seat", np.array([(0, 0), (4, 0), (1, 1), (0, 4)])), "convex"),
        (lambda: pieces("x", "seat", [(0, 0), (1, 1), (1, 0), (0, 1)]), "cross itself"),
        (lambda: Tool("x", pieces("x", "seat", [(0, 0), (1, 0), (1, 1)]), 0.4), "needs an insert"),
        (lambda: boring_tool(BoringBar(16.0, 12.0, 11.0), inserts.parse("CCMT 09T304"), 1.65), "reach"),
    ],
)  # fmt: skip
def test_refuses_impossible_tools(make: object, what: str) -> None:
    with pytest.raises(ValueError, match=what):
        make()  # type: ignore[operator]
