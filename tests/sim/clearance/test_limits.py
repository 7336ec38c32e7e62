"""Limits that follow from images; elementary geometry, no source needed."""

from __future__ import annotations

import math

import pytest
import shapely

from sim.clearance.limits import distance_along, highest_speed, rapids_across, safe_plane, swing_diameter
from sim.programs.path import Move, length

BOXES = [shapely.box(20.0, -80.0, 125.0, 0.0), shapely.box(30.0, 0.0, 142.4, 50.0), shapely.Polygon()]


def test_swing_and_safe_plane() -> None:
    assert swing_diameter(BOXES) == pytest.approx(284.8)
    assert swing_diameter([]) == 0.0
    assert safe_plane(BOXES, 3.0) == 53.0
    with pytest.raises(ValueError, match="found none"):
        safe_plane([], 3.0)


def test_way_along_the_path_and_speed() -> None:
    moves = [
        Move("rapid", (0.0, 0.0), (3.0, 4.0), speed=200.0),
        Move("feed", (3.0, 4.0), (13.0, -6.0), centre=(3.0, -6.0), speed=900.0),
        Move("feed", (13.0, -6.0), (13.0, -6.0), centre=(11.0, -6.0)),
    ]
    assert distance_along(moves) == pytest.approx([5.0, 5.0 + 5.0 * math.pi, 5.0 + 9.0 * math.pi])
    assert length(moves) == pytest.approx(distance_along(moves)[-1], rel=1e-4)
    assert highest_speed(moves) == 900.0
    assert highest_speed([]) == 0.0


def test_rapid_moves_that_run_across_below_a_plane() -> None:
    """Down along z is no way across; the way off a surface just cut is left out; above the plane is safe."""
    moves = [
        Move("rapid", (80.0, 90.0), (40.0, 90.0)),
        Move("rapid", (40.0, 90.0), (40.0, 20.0)),
        Move("rapid", (40.0, 20.0), (45.0, 20.0)),
        Move("feed", (45.0, 20.0), (45.0, 5.0)),
        Move("rapid", (45.0, 5.0), (44.0, 6.0)),
        Move("rapid", (44.0, 6.0), (80.0, 90.0)),
    ]
    assert rapids_across(moves, 60.0).tolist() == [2, 5]
    assert rapids_across(moves, 10.0).tolist() == [5]
    assert rapids_across([], 10.0).tolist() == []
