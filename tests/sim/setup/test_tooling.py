"""Tools as a scenario states them, as they stand in the machine."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from meshes import turning_tool as turning_tool_mesh
from sim.clearance.tool import of_turning_tool
from sim.clearance.tool_carried import CARRIER
from sim.scenario import ProgramTool
from sim.scenario.program import Plate
from sim.setup.drawn_outline import drawn_outline
from sim.setup.tooling import turning_tool

PLATE: dict[str, Any] = {
    "outline": [["2 mm", "3 mm"], ["90 mm", "3 mm"], ["90 mm", "28 mm"], ["2 mm", "28 mm"]],
    "thickness": "25 mm",
}


def stated(**keys: Any) -> ProgramTool:
    return ProgramTool.model_validate({"number": 1, "insert": "CNMG 120408", **keys})


def covers(tool: ProgramTool, kind: str) -> shapely.Geometry:
    pieces = [piece for piece in of_turning_tool(turning_tool(tool)).parts if piece.name != CARRIER]
    return shapely.union_all([shapely.Polygon(piece.outline) for piece in pieces if piece.kind == kind])


def test_a_plate_stands_as_it_is_drawn() -> None:
    """x away from the axis for both ways of cutting: no mirror image where it is drawn for an outer diameter."""
    assert covers(stated(plate=PLATE), "holder").bounds == pytest.approx((2.0, 3.0, 90.0, 28.0))
    inside = {
        **PLATE,
        "outline": [["-20 mm", "9 mm"], ["-2 mm", "9 mm"], ["-2 mm", "90 mm"], ["-20 mm", "90 mm"]],
    }
    assert covers(stated(plate=inside, cuts="outward"), "holder").bounds == pytest.approx(
        (-20.0, 9.0, -2.0, 90.0)
    )


def test_which_way_a_tool_cuts_unless_it_says_so() -> None:
    bar = {"diameter": "16 mm", "reach": "80 mm", "functional_offset": "11 mm"}
    shank = dict.fromkeys(("height", "width"), "25 mm") | {
        "length": "150 mm", "functional_offset": "32 mm", "head_length": "36 mm",
    }  # fmt: skip
    assert stated(insert="CCMT 09T304", bar=bar).direction == "outward"
    assert stated(holder=shank).direction == "inward"
    # The insert of a tool for outer diameters lies on the far side of its tip, seen from the axis.
    assert covers(stated(holder=shank), "insert").bounds[0] == pytest.approx(0.0, abs=2e-3)
    assert covers(stated(insert="CCMT 09T304", bar=bar), "insert").bounds[2] == pytest.approx(0.0, abs=2e-3)


def test_turret_goes_with_the_tool() -> None:
    turret = {"outline": [["90 mm", "-40 mm"], ["300 mm", "-40 mm"], ["300 mm", "40 mm"], ["90 mm", "40 mm"]],
              "thickness": "100 mm"}  # fmt: skip
    tool = of_turning_tool(turning_tool(stated(plate=PLATE, turret=turret, name="facing tool")))
    assert tool.name == "tool 1, facing tool"
    (piece,) = [part for part in tool.parts if part.name == "turret"]
    assert (piece.kind, piece.far) == ("holder", 100.0)
    assert shapely.Polygon(piece.outline).bounds == pytest.approx((90.0, -40.0, 300.0, 40.0))


def test_a_cutter_by_its_outline() -> None:
    blade = {
        "outline": [["0 mm", "0 mm"], ["30 mm", "0 mm"], ["30 mm", "3 mm"], ["0 mm", "3 mm"]],
        "nose_radius": "0.2 mm",
    }
    tool = of_turning_tool(turning_tool(stated(insert=None, cutter=blade, plate=PLATE)))
    assert tool.nose_radius == 0.2
    cutting = [shapely.Polygon(part.outline) for part in tool.parts if part.kind == "insert"]
    assert shapely.union_all(cutting).bounds == pytest.approx((0.0, 0.0, 30.0, 3.0))


BAR = {"diameter": "16 mm", "reach": "80 mm", "functional_offset": "11 mm", "least_bore": "21 mm"}
# From the tip of a bar: up along the far side of the shank, which lies 3 to 19 mm from the tip across the axis.
HEAD = [["-0.6 mm", "1.5 mm"], ["-3 mm", "30 mm"], ["-19 mm", "30 mm"], ["-19 mm", "9 mm"], ["-6 mm", "3 mm"]]
SHANK = dict.fromkeys(("height", "width"), "25 mm") | {
    "length": "150 mm", "functional_offset": "32 mm", "head_length": "36 mm",
}  # fmt: skip
SLIM = [["0.5 mm", "4 mm"], ["40 mm", "10 mm"], ["40 mm", "32 mm"], ["10 mm", "12 mm"]]


def pieces_of(tool: ProgramTool, *names: str) -> shapely.Geometry:
    parts = of_turning_tool(turning_tool(tool)).parts
    return shapely.union_all([shapely.Polygon(part.outline) for part in parts if part.name in names])


def test_a_stated_head_takes_the_place_of_the_simplified_one() -> None:
    """Of a bar what is drawn at the rake face, within the least bore, and nothing is assumed of it any more."""
    plain = stated(insert="CCMT 09T304", bar=BAR)
    true = stated(insert="CCMT 09T304", bar={**BAR, "head": {"outline": HEAD}})
    drawn = shapely.Polygon([(float(x[:-3]), float(z[:-3])) for x, z in HEAD])
    found = of_turning_tool(turning_tool(true))
    assert {part.name for part in found.parts if part.assumed} == {"insert flank", CARRIER}
    assert pieces_of(true, "head").symmetric_difference(drawn).area == pytest.approx(0.0, abs=1e-6)
    assert pieces_of(true, "bar").bounds == pytest.approx((-19.0, 30.0 - 0.05 * 16.0, -3.0, 80.0))
    assert pieces_of(plain, "head", "seat").area != pytest.approx(drawn.area, rel=0.05)
    # Every layer lies within the circle of the least bore, the tip at its wall: (x + R)^2 + y^2 <= R^2.
    for part in found.parts:
        if part.name == "head":
            assert part.outline[:, 0].max() <= math.sqrt(10.5**2 - part.near**2) - 10.5 + 1e-9


def test_a_stated_head_of_a_shank_rules_where_it_differs() -> None:
    slim = stated(holder={**SHANK, "head": {"outline": SLIM}})
    simple, true = pieces_of(stated(holder=SHANK), "holder"), pieces_of(slim, "holder")
    shank = shapely.box(36.0, 7.0, 150.0, 32.0)
    head = shapely.Polygon([(float(x[:-3]), float(z[:-3])) for x, z in SLIM])
    assert true.symmetric_difference(shapely.union(shank, head)).area == pytest.approx(0.0, abs=1e-6)
    assert simple.difference(true).area > 50.0


def test_solids_of_stated_heads_are_closed() -> None:
    """The shank's share by the closed form: a round bar from where the head ends, a shank of 25 mm by 25 mm."""
    bar = turning_tool_mesh.mesh(
        turning_tool(stated(insert="CCMT 09T304", bar={**BAR, "head": {"outline": HEAD}}))
    )
    holder = turning_tool_mesh.mesh(turning_tool(stated(holder={**SHANK, "head": {"outline": SLIM}})))
    for solid in (bar, holder):
        assert solid.is_watertight
        assert solid.is_winding_consistent
    assert bar.volume > math.pi * 8.0**2 * 50.0
    assert holder.volume > 25.0 * 25.0 * 114.0


def test_a_drawing_is_the_outline_that_it_draws() -> None:
    """The corners of the plate as lines, right z and up x."""
    corners = [(float(x[:-3]), float(z[:-3])) for x, z in PLATE["outline"]]
    pairs = ["0", "SECTION", "2", "ENTITIES"]
    for (x0, z0), (x1, z1) in zip(corners, corners[1:] + corners[:1], strict=True):
        pairs += ["0", "LINE", "10", str(z0), "20", str(x0), "11", str(z1), "21", str(x1)]
    data = ("\n".join([*pairs, "0", "ENDSEC", "0", "EOF"]) + "\n").encode()
    plate = Plate.model_validate(
        {"thickness": "25 mm", "drawing": {"file": "plate.dxf", "unit": "mm", "right": "z", "up": "x"}}
    )
    assert plate.drawing is not None
    drawn = {plate.drawing: drawn_outline(plate.drawing, data)}
    by_file = turning_tool(stated(plate=plate), drawn)
    typed = turning_tool(stated(plate=PLATE))
    outlines = [shapely.Polygon(one.carrier.outline) for one in (by_file, typed)]  # type: ignore[union-attr]
    assert outlines[0].equals(outlines[1])


def moved(outline: list[list[str]], x: float, z: float) -> dict[str, Any]:
    return {
        "outline": [[f"{float(a[:-3]) + x} mm", f"{float(b[:-3]) + z} mm"] for a, b in outline],
        "thickness": "25 mm",
    }


MIRRORED = {
    "outline": [["-2 mm", "3 mm"], ["-90 mm", "3 mm"], ["-90 mm", "28 mm"], ["-2 mm", "28 mm"]],
    "thickness": "25 mm",
}
BLADE = [["0 mm", "0 mm"], ["-8 mm", "0 mm"], ["-8 mm", "3 mm"]]
SHORT = [["-0.6 mm", "1.5 mm"], ["-2 mm", "9 mm"], ["-1 mm", "20 mm"]]
HIGH = [["-4 mm", "14 mm"], ["-4 mm", "30 mm"], ["-19 mm", "30 mm"]]
DRAWN = {"file": "a.dxf", "unit": "mm", "right": "z", "up": "x"}


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"plate": {**PLATE, "thickness": "3 mm"}}, "at least as thick .* 4.76 mm, found 3 mm"),
        ({"holder": {**SHANK, "height": "3 mm"}}, "at least as thick"),
        ({"plate": moved(PLATE["outline"], 30.0, 0.0)}, "must lie under the insert at the tip"),
        ({"plate": MIRRORED}, "must lie under the insert at the tip"),
        ({"plate": moved(PLATE["outline"], -4.0, -5.0)},
         "must not lie past the tip .* 2.0 mm past it .* 2.0 mm towards"),
        ({"plate": moved(PLATE["outline"], -2.0, -3.0)}, "must leave the cutting corner free"),
        (
            {"plate": {"thickness": "25 mm",
                       "outline": [["2 mm", "2 mm"], ["8 mm", "2 mm"], ["8 mm", "7 mm"], ["2 mm", "7 mm"]]}},
            "must reach beyond the cutter",
        ),
        ({"plate": {**PLATE, "outline": [["2 mm", "3 mm"], ["90 mm", "28 mm"], ["90 mm", "3 mm"], ["2 mm", "28 mm"]]}},
         "must not cross itself"),
        ({"holder": {**SHANK, "head": {"outline": [["0.5 mm", "4 mm"], ["20 mm", "5 mm"], ["10 mm", "12 mm"]]}}},
         "must go on into the shank, which begins 36 mm"),
        ({"insert": None, "cutter": {"outline": BLADE}, "plate": PLATE},
         "must come within 1 mm of the cutter that it holds, found 3.6 mm"),
        ({"insert": "CCMT 09T304", "bar": {**BAR, "head": {"outline": SHORT}}},
         "must end in the shank, which lies between 3 mm and 19 mm"),
        ({"insert": "CCMT 09T304", "bar": {**BAR, "head": {"outline": HIGH}}}, "must lie under the insert at the tip"),
    ],
)  # fmt: skip
def test_what_cannot_hold_the_insert_is_refused(keys: dict[str, Any], words: str) -> None:
    """A plate of 3 mm under an insert of 4.76 mm hid all of the holder below it, and passed."""
    with pytest.raises(ValueError, match=words):
        turning_tool(stated(**keys))


def test_a_shape_is_stated_once() -> None:
    for plate in ({"thickness": "25 mm"}, {**PLATE, "drawing": DRAWN}):
        with pytest.raises(ValueError, match=r"must state exactly one of outline .* and drawing"):
            stated(plate=plate)
