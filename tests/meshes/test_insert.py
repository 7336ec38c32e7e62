from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from meshes import insert

ALL = [
    "CCMT 09T304",
    "DCMT 11T304",
    "VBMT 160404",
    "CNMG 120408",
    "WNMG 080408",
    "SCMT 09T308",
    "TCMT 16T304",
    "RCMT 0803M0",
]

# Symbol of the edge length by inscribed circle (inch) and shape, as printed in a tool maker's catalogue of
# 2020-2021, page "identification of inserts"; None where it prints none.
CHART = {
    0.15625: {"W": "02", "D": "04", "C": "03", "S": "03", "T": "06"},
    0.1875: {"W": "L3", "V": "08", "D": "05", "C": "04", "S": "04", "T": "08"},
    0.21875: {"W": "03", "V": "09", "D": "06", "C": "05", "S": "05", "T": "09"},
    0.25: {"W": "04", "V": "11", "D": "07", "C": "06", "S": "06", "T": "11"},
    0.3125: {"W": "05", "V": "13", "D": "09", "C": "08", "S": "07", "T": "13"},
    0.375: {"R": "09", "W": "06", "V": "16", "D": "11", "C": "09", "S": "09", "T": "16"},
    0.5: {"R": "12", "W": "08", "V": "22", "D": "15", "C": "12", "S": "12", "T": "22"},
    0.625: {"W": "10", "D": "19", "C": "16", "S": "15", "T": "27"},
    0.75: {"R": "19", "W": "13", "D": "23", "C": "19", "S": "19", "T": "33"},
    0.875: {"D": "27", "C": "22", "S": "22", "T": "38"},
    1.0: {"R": "25", "D": "31", "C": "25", "S": "25", "T": "44"},
    1.25: {"D": "38", "C": "32", "S": "31"},  # the chart's T 54 is left out: 1.25 in gives an edge of 55.0 mm
}


@pytest.mark.parametrize(
    ("inches", "shape", "symbol"),
    [(inches, shape, symbol) for inches, row in CHART.items() for shape, symbol in row.items()],
)
def test_inscribed_circle_is_the_catalogue_s(inches: float, shape: str, symbol: str) -> None:
    nose = "00" if shape == "R" else "02"
    found = insert.parse(f"{shape}NMG {symbol}04{nose}")
    assert found.inscribed_circle == pytest.approx(25.4 * inches, abs=1e-9)


@pytest.mark.parametrize(
    ("designation", "edge", "circle", "thickness", "nose"),
    [
        # Edge, inscribed circle and thickness as dealers print them (to 0.1 mm and 0.01 mm).
        ("CNMG 120408", 12.9, 12.70, 4.76, 0.8),
        ("TCMT 16T308", 16.5, 9.525, 3.97, 0.8),
        # Edge of a rhombus or square: circle over the sine of its angle; of a trigon as dealers print it. Thickness by
        # the symbols of a tool maker's catalogue of 2020, which has these circles with these edges too.
        ("DNMG 150612", 15.5, 12.70, 6.35, 1.2),
        ("VNMG 160404", 16.6, 9.525, 4.76, 0.4),
        ("WNMG 080404", 8.7, 12.70, 4.76, 0.4),
        ("SNMG 190616", 19.05, 19.05, 6.35, 1.6),
    ],
)
def test_printed_dimensions(
    designation: str, edge: float, circle: float, thickness: float, nose: float
) -> None:
    found = insert.parse(designation)
    assert found.edge_length == pytest.approx(edge, abs=0.05)
    assert found.inscribed_circle == pytest.approx(circle, abs=0.005)
    assert found.thickness == pytest.approx(thickness)
    assert found.nose_radius == pytest.approx(nose)


def test_round_insert_in_millimetres() -> None:
    found = insert.parse("RCMT 0803M0")
    assert (found.inscribed_circle, found.nose_radius, found.thickness) == (8.0, 4.0, 3.18)


def test_angles_of_the_letters() -> None:
    found = insert.parse("dcmt11t304en-abc")
    assert math.degrees(found.point_angle) == pytest.approx(55.0)
    assert math.degrees(found.clearance_angle) == pytest.approx(7.0)
    assert math.degrees(insert.parse("VBMT 160404").clearance_angle) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("designation", "word"),
    [
        ("GCMT 09T304", "shape symbol 'G'"),
        ("CXMT 09T304", "clearance symbol 'X'"),
        ("CCXT 09T304", "tolerance class symbol 'X'"),
        ("CCMK 09T304", "fixing symbol 'K'"),
        ("CCMT 10T304", "edge length symbol '10'"),
        ("CCMT 090804", "thickness symbol '08'"),
        ("CCMT 09T3M0", "nose radius symbol 'M0'"),
        ("RCMT 0803M0X", "not an ISO 1832 designation"),
        ("RNMG 120408", "nose radius symbol '08'"),
        ("CCMT 09T399", "less than half"),
        ("", "not an ISO 1832 designation"),
    ],
)
def test_unknown_symbols_are_named(designation: str, word: str) -> None:
    with pytest.raises(ValueError, match=word) as raised:
        insert.parse(designation)
    assert "\n" not in str(raised.value)


@pytest.mark.parametrize("designation", ["CCMT 09T300", "DCMT 11T300", "VBMT 160400", "ENMG 130400"])
def test_sharp_rhombus_has_the_theoretical_edges_and_corners(designation: str) -> None:
    found = insert.parse(designation)
    corners = insert.outline(found, math.radians(93.0))
    eps, circle = found.point_angle, found.inscribed_circle
    edges = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    np.testing.assert_allclose(edges, circle / math.sin(eps), rtol=1e-12)
    centre = corners.mean(axis=0)
    assert np.linalg.norm(corners[0] - centre) == pytest.approx(circle / (2.0 * math.sin(eps / 2.0)))
    np.testing.assert_allclose(corners[0], 0.0, atol=1e-12)


@pytest.mark.parametrize("designation", ALL)
def test_tip_is_where_the_axis_parallel_tangents_meet(designation: str) -> None:
    found = insert.parse(designation)
    points = insert.outline(found, math.radians(90.0 if found.shape == "S" else 93.0), math.radians(11.0))
    assert points[:, 0].max() == pytest.approx(0.0, abs=1e-12)
    assert points[:, 1].min() == pytest.approx(0.0, abs=1e-12)
    radius = found.nose_radius
    distances = np.linalg.norm(points - (-radius, radius), axis=1)
    assert distances.min() == pytest.approx(radius)  # the nose circle is that of the cutting corner
    assert shapely.Polygon(points).is_valid
    assert shapely.Polygon(points).exterior.is_ccw


def test_edges_lean_by_approach_and_trailing_angle() -> None:
    found = insert.parse("DCMT 11T304")
    points = insert.outline(found, math.radians(93.0))
    sides = np.roll(points, -1, axis=0) - points
    long = sides[np.linalg.norm(sides, axis=1) > 5.0]
    lean_from_face = np.degrees(np.arctan2(long[:, 1], -long[:, 0])) % 180.0
    # Leading edge 93 - 90 = 3 deg off the face, trailing edge 180 - 93 - 55 = 32 deg off the wall.
    assert min(abs(lean_from_face - 3.0)) < 1e-9
    assert min(abs(lean_from_face - (90.0 - 32.0))) < 1e-9
    assert math.degrees(insert.trailing_edge_angle(found, math.radians(93.0))) == pytest.approx(32.0)


def test_nose_lies_behind_the_sharp_corner() -> None:
    found, sharp = insert.parse("DCMT 11T308"), insert.parse("DCMT 11T300")
    rounded = shapely.Polygon(insert.outline(found, math.radians(93.0), math.radians(0.5)))
    # The sharp insert, moved so that the inscribed circles coincide, sticks out by the setback.
    setback = insert.nose_setback(found)
    assert setback == pytest.approx(0.8 * (1.0 / math.sin(math.radians(27.5)) - 1.0))
    corners = insert.outline(sharp, math.radians(93.0))
    shift = np.asarray(rounded.centroid.coords[0]) - corners.mean(axis=0)
    assert rounded.distance(shapely.Point(corners[0] + shift)) == pytest.approx(setback, abs=1e-4)


def test_small_approach_angle_runs_ahead_of_the_tip() -> None:
    points = insert.outline(insert.parse("SCMT 09T308"), math.radians(75.0))
    assert points[:, 1].min() < -0.5


@pytest.mark.parametrize("approach", [0.0, -10.0, 101.0, 180.0])
def test_approach_angles_that_cannot_cut(approach: float) -> None:
    with pytest.raises(ValueError, match="approach angle"):
        insert.outline(insert.parse("CCMT 09T304"), math.radians(approach))


def rake_area(angles: list[float], circle: float, radius: float) -> float:
    """Tangential polygon round a circle, less what each rounded corner takes: r2 (cot(a/2) - (pi - a)/2)."""
    area = sum((0.5 * circle) ** 2 / math.tan(a / 2.0) for a in angles)
    return area - sum(
        radius**2 * (1.0 / math.tan(a / 2.0) - 0.5 * (math.pi - a)) for a in angles if a < math.radians(150.0)
    )


@pytest.mark.parametrize("designation", ALL)
def test_solid_has_the_closed_form_volume(designation: str, assert_solid) -> None:
    found = insert.parse(designation)
    approach = math.radians(90.0 if found.shape == "S" else 93.0)
    angles = [math.radians(a) for a in insert.SHAPES[found.shape]]
    slope = math.tan(found.clearance_angle)

    def area(depth: float) -> float:
        circle = found.inscribed_circle - 2.0 * depth * slope
        if found.shape == "R":
            return 0.25 * math.pi * circle**2
        return rake_area(angles, circle, max(found.nose_radius - depth * slope, 0.0))

    # The area is a quadratic in depth on both sides of where the nose radius is used up: Simpson is exact.
    stops = [0.0, found.thickness]
    if slope > 0.0 and found.nose_radius / slope < found.thickness:
        stops.insert(1, found.nose_radius / slope)
    volume = sum(
        (b - a) / 6.0 * (area(a) + 4.0 * area(0.5 * (a + b)) + area(b)) for a, b in itertools.pairwise(stops)
    )
    solid = insert.mesh(found, approach)
    assert_solid(solid, volume)
    assert solid.bounds[:, 1] == pytest.approx([0.0, found.thickness])
