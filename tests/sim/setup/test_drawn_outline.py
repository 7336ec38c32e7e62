"""Outlines out of DXF files, written here by hand: their areas by closed forms, where they lie, and what is refused.

Group codes as in the published reference of the format (help pages of its maker, LINE, ARC, LWPOLYLINE): 10/20 a
point, 11/21 a line's end, 40 a radius, 50/51 an arc's first and last angle in degrees counter-clockwise, 42 a bulge,
70 flags, 8 a layer.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.base.errors import ScenarioError
from sim.scenario import Drawing
from sim.setup.drawn_outline import drawn_outline
from sim.setup.files import drawing_bytes

Pair = tuple[int, Any]


def line(x0: float, y0: float, x1: float, y1: float, layer: str = "0") -> list[Pair]:
    return [(0, "LINE"), (8, layer), (10, x0), (20, y0), (11, x1), (21, y1)]


def polyline(points: list[tuple[float, float, float]], closed: int = 1) -> list[Pair]:
    found: list[Pair] = [(0, "LWPOLYLINE"), (8, "0"), (90, len(points)), (70, closed)]
    for x, y, bulge in points:
        found += [(10, x), (20, y), (42, bulge)]
    return found


# A slot 40 mm long and 10 mm wide with round ends, its middle at (30, 5): drawn in three ways.
SLOT_AREA = 30.0 * 10.0 + math.pi * 5.0**2
SLOTS: dict[str, list[Pair]] = {
    "lines and arcs": [
        *line(15, 0, 45, 0), (0, "ARC"), (8, "0"), (10, 45), (20, 5), (40, 5), (50, 270), (51, 90),
        *line(15, 10, 45, 10), (0, "ARC"), (8, "0"), (10, 15), (20, 5), (40, 5), (50, 90), (51, 270),
    ],
    "bulges": polyline([(15, 0, 0), (45, 0, 1), (45, 10, 0), (15, 10, 1)]),
    "clockwise": polyline([(15, 10, 0), (45, 10, -1), (45, 0, 0), (15, 0, -1)]),
    "left open": polyline([(15, 0, 0), (45, 0, 1), (45, 10, 0), (15, 10, 1), (15, 0, 0)], closed=0),
    "old polyline": [
        (0, "POLYLINE"), (8, "0"), (66, 1), (70, 1),
        (0, "VERTEX"), (10, 15), (20, 0), (0, "VERTEX"), (10, 45), (20, 0), (42, 1),
        (0, "VERTEX"), (10, 45), (20, 10), (0, "VERTEX"), (10, 15), (20, 10), (42, 1), (0, "SEQEND"),
    ],
}  # fmt: skip


def dxf(pairs: list[Pair], unit: int | None = None) -> str:
    header: list[Pair] = [(0, "SECTION"), (2, "HEADER")]
    header += [] if unit is None else [(9, "$INSUNITS"), (70, unit)]
    whole = [*header, (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"), *pairs, (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:>3}\n{value}\n" for code, value in whole)


def read(text: str | bytes, **keys: Any) -> tuple[tuple[float, float], ...]:
    data = text if isinstance(text, bytes) else text.encode()
    stated = {"file": "head.dxf", "unit": "mm", "right": "z", "up": "x", **keys}
    return drawn_outline(Drawing.model_validate(stated), data)


@pytest.mark.parametrize("way", SLOTS)
def test_one_shape_drawn_in_several_ways(way: str) -> None:
    """Right is z, up is x: the slot lies along z. The chords leave the arcs by a micrometre at most."""
    polygon = shapely.Polygon(read(dxf(SLOTS[way])))
    assert polygon.is_valid
    assert polygon.area == pytest.approx(SLOT_AREA, rel=1e-4)
    assert polygon.bounds == pytest.approx((0.0, 10.0, 10.0, 50.0), abs=2e-3)


def test_a_circle_in_inches() -> None:
    circle: list[Pair] = [(0, "CIRCLE"), (8, "0"), (10, 1), (20, 0), (40, 0.5)]
    polygon = shapely.Polygon(read(dxf(circle, unit=1), unit="in"))
    assert polygon.area == pytest.approx(math.pi * 12.7**2, rel=3e-4)
    assert polygon.centroid.coords[0] == pytest.approx((0.0, 25.4), abs=1e-2)


@pytest.mark.parametrize(
    ("right", "up", "bounds"),
    [
        ("z", "x", (-2.0, 7.0, 8.0, 47.0)),
        ("-z", "x", (-2.0, -47.0, 8.0, -7.0)),
        ("x", "z", (7.0, -2.0, 47.0, 8.0)),
        ("-x", "-z", (-47.0, -8.0, -7.0, 2.0)),
    ],
)
def test_where_a_drawing_lies(right: str, up: str, bounds: tuple[float, ...]) -> None:
    """The tip at (3, 2) of the drawing: the slot from 10 to 50 and 0 to 10 lies from 7 to 47 and -2 to 8 beside it."""
    found = read(dxf(SLOTS["bulges"]), right=right, up=up, tip=["3 mm", "2 mm"])
    assert shapely.Polygon(found).bounds == pytest.approx(bounds, abs=2e-3)


def test_a_layer_is_picked() -> None:
    pairs = [*SLOTS["bulges"], *line(0, 0, 9, 9, "axis"), (0, "TEXT"), (8, "0"), (1, "20 mm")]
    with pytest.raises(ScenarioError, match=r"found 1 line beside it \(state layer\)"):
        read(dxf(pairs))
    assert shapely.Polygon(read(dxf(pairs), layer="0")).area == pytest.approx(SLOT_AREA, rel=1e-4)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (dxf([]), "found no line"),
        (dxf(line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 9, 0, 0.1)), "found a gap at 0.000, 0.100 mm"),
        (dxf(line(0, 0, 9, 0) + line(9, 0, 9, 9) + line(9, 0, 5, 9) + line(9, 9, 0, 0)), "found a branch"),
        (dxf(SLOTS["bulges"] + SLOTS["bulges"]), "beside it"),
        (dxf(SLOTS["bulges"], unit=1), "says that it is drawn in in, and unit states mm"),
        (dxf([(0, "SPLINE"), (8, "0"), (70, 8)]), "has a SPLINE: an outline must be drawn with lines, arcs"),
        (dxf([(0, "INSERT"), (8, "0"), (2, "holder")]), "has a INSERT"),
        (dxf([*SLOTS["bulges"], (230, -1.0)]), "does not lie flat"),
        (dxf([(0, "ARC"), (8, "0"), (10, 0), (20, 0), (50, 0), (51, 90)]), "has a ARC without its group 40"),
        (dxf([(0, "ARC"), (8, "0"), (10, 0), (20, 0), (40, 0), (50, 0), (51, 90)]), "without a radius"),
        (
            dxf(line(0, 0, 9, 0)).replace("9", "nan"),
            "must have coordinates under|must have numbers|found no line",
        ),
        ("title = 3", "must be a DXF file"),
        ("a\nb\n", "must be a DXF file: pairs of lines"),
        (b"Binary DXF\r\n\x1a\x00\x00", "found a binary one"),
    ],
)
def test_what_is_no_outline_is_refused(text: str | bytes, words: str) -> None:
    with pytest.raises(ScenarioError, match=words) as told:
        read(text)
    assert str(told.value).startswith("file head.dxf ")
    assert "\n" not in str(told.value)


def test_axes_must_differ_and_a_file_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="must state x for one of right and up"):
        read(dxf(SLOTS["bulges"]), right="z", up="-z")
    for name in ("none.dxf", "/dev/zero", "a\0b"):
        with pytest.raises(ScenarioError, match="cannot be read"):
            drawing_bytes(Drawing(file=name, unit="mm", right="z", up="x"), tmp_path, "plate.drawing")


def told(text: str) -> str:
    """The sentence that refuses a file; empty for an outline of three corners or more."""
    try:
        return "" if len(read(text)) >= 3 else "too few\n"
    except ScenarioError as error:
        return str(error)


@settings(max_examples=60, deadline=None)
@given(codes=st.lists(st.sampled_from([0, 8, 10, 20, 40, 42, 50, 51, 70, 230]), max_size=30), data=st.data())
def test_whatever_stands_in_a_file_ends_in_an_outline_or_a_sentence(
    codes: list[int], data: st.DataObject
) -> None:
    words = ["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "VERTEX", "SEQEND", "1", "0", "-1e9", "x"]
    pairs = [(code, data.draw(st.sampled_from(words))) for code in codes]
    assert "\n" not in told(dxf(pairs))
