"""Outer corners under G41 and G42: rolled round, or run to where the parallels meet; elementary geometry.

The points of the second kind are found from distances: what lies one nose radius off a wall (common practice, no
source).
"""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from sim.programs.compensation import Corners, Nose
from sim.programs.path import Move, arc_points, length
from sim.programs.program import read
from sim.programs.reading import Reading

RADIUS = 2.0


def centres(text: str, corners: Corners) -> tuple[Move, ...]:
    """Return the moves of the nose's centre."""
    reading = Reading(
        start=(10.0, 30.0), nose_radius=RADIUS, tip_direction=(0, 0), diameter=False, corners=corners
    )
    return read(text, reading).moves


def round_a_corner(degrees: float) -> str:
    """Along a face at z = 0 outwards to x = 40, then on at an angle to it, turning away from the tool."""
    x, z = 40.0 + 30.0 * math.cos(math.radians(degrees)), -30.0 * math.sin(math.radians(degrees))
    return f"G42 G1 X20. Z0 F.1\nX40.\nX{x:.9f} Z{z:.9f}\nG40 G0 X90. Z30."


@pytest.mark.parametrize("degrees", [5.0, 45.0, 89.0, 90.0])
def test_up_to_a_right_angle_the_centre_runs_to_where_the_parallels_meet(degrees: float) -> None:
    """That point is one radius off both walls: off the corner by the radius over the cosine of half the turn."""
    on, face, flank, off = centres(round_a_corner(degrees), "intersection")
    assert face.end == flank.start
    assert face.end[1] == pytest.approx(RADIUS)
    assert math.dist(face.end, (40.0, 0.0)) == pytest.approx(RADIUS / math.cos(math.radians(0.5 * degrees)))
    assert on.kind == "feed"
    assert off.centre is None


@pytest.mark.parametrize("degrees", [91.0, 120.0, 150.0, 175.0])
def test_beyond_it_runs_one_radius_on_and_straight_across(degrees: float) -> None:
    _, face, across, flank, _ = centres(round_a_corner(degrees), "intersection")
    assert face.end == pytest.approx((40.0 + RADIUS, RADIUS))
    corner = (40.0, 0.0)
    for end in (across.start, across.end):
        assert math.dist(end, corner) == pytest.approx(math.sqrt(2.0) * RADIUS)
    assert (across.start, across.end, across.centre) == (face.end, flank.start, None)


@given(st.floats(1.0, 178.0))
def test_the_tool_stays_clear_of_the_part_and_reaches_no_farther_than_said(degrees: float) -> None:
    """The path of either kind keeps one radius off the contour, and lies within 0.4143 radii of the other."""
    text = round_a_corner(degrees)
    far = (40.0 + 30.0 * math.cos(math.radians(degrees)), -30.0 * math.sin(math.radians(degrees)))
    wall = shapely.LineString([(20.0, 0.0), (40.0, 0.0), far])
    paths = {}
    for corners in ("rolled", "intersection"):
        moves = centres(text, corners)[1:-1]
        points = [tuple(point) for move in moves for point in arc_points(move, 1e-6).tolist()]
        paths[corners] = shapely.LineString(points)
        for before, after in itertools.pairwise(moves):
            assert before.end == pytest.approx(after.start, abs=1e-9)
    near = RADIUS * (1.0 - 2e-6)
    assert min(shapely.distance(path, wall) for path in paths.values()) >= near
    reach = shapely.hausdorff_distance(paths["intersection"], paths["rolled"], 0.05)
    assert reach <= (math.sqrt(2.0) - 1.0) * RADIUS * 1.02


def test_at_an_arc_it_runs_on_along_the_tangent() -> None:
    """Outwards along a face at z = 10 and round an arc that begins square to it; the tangents cross at (32, 12)."""
    sharp = "G42 G1 X20. Z10. F.1\nX30.\nG2 X40. Z0 I10. K0\nG40 G0 X90."
    rolled, on = centres(sharp, "rolled"), centres(sharp, "intersection")
    assert [m.centre is not None for m in rolled] == [False, False, True, True, False]
    assert [m.centre is not None for m in on] == [False, False, False, True, False]
    assert on[2].start == pytest.approx((32.0, 12.0))
    assert on[2].end == pytest.approx((32.0, 10.0))
    assert length(on) > length(rolled)


def test_inner_corners_and_tangents_are_run_alike() -> None:
    text = "G0 X20. Z40.\nG41 G1 X30. Z30. F.1\nZ10.\nX15.\nG40 X10. Z40."
    assert centres(text, "rolled") == centres(text, "intersection")


def test_a_point_for_a_nose_has_no_corner_to_run_round() -> None:
    reading = Reading(start=(10.0, 30.0), tools={1: Nose(0.0, (0, 0))}, diameter=False)
    text = "T1\n" + round_a_corner(90.0)
    assert [m.end for m in read(text, reading).moves][1] == pytest.approx((40.0, 0.0))
