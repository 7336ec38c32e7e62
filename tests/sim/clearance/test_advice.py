"""Fixture advice against closed forms; elementary geometry, no source needed."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.clearance.advice import Room, fixture_advice, outer_ring_top, plug_advice, ring_advice
from sim.clearance.boring import BoringPlan, boring_path
from sim.clearance.check import clearance_of
from sim.clearance.result import Body
from sim.clearance.sweep import along_path
from sim.clearance.tool import Tool, pieces
from sim.programs.path import Move


def covered(moves: Sequence[Move], tool: Tool, clearance: float) -> Room:
    return Room((along_path(moves, tool),), clearance)


TIP = Tool("tip", pieces("insert", "insert", [(-4.0, 0.0), (0.0, 0.0), (0.0, 4.0), (-4.0, 4.0)]), 0.0)


def test_ring_hole_is_the_path_and_the_clearance() -> None:
    """The tip passes the ring's height at radius 60: a hole of 2 (60 + 1.5) = 123 mm."""
    room = covered([Move("rapid", (60.0, 80.0), (60.0, 40.0))], TIP, 1.5)
    advice = ring_advice(room, 50.0, 15.0, 160.0, 16.0)
    assert advice.least_inner_diameter == pytest.approx(123.0, abs=2e-3)
    assert advice.most_inner_diameter == 144.0
    assert advice.fits


def test_ring_advised_clears_and_a_smaller_one_does_not(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0))
    inner = 0.5 * ring_advice(covered(path, copying_tool, 1.5), 50.0, 15.0, 200.0, 16.0).least_inner_diameter
    for radius, clear in ((inner + 1e-3, True), (inner - 5e-3, False)):
        ring = Body("boring ring", shapely.box(radius, 50.0, 120.0, 65.0), "fixture")
        assert (clearance_of(path, copying_tool, [ring], jaws, wanted, 1.5).least_clearance >= 1.5) == clear


def test_plug_is_the_remedy_where_no_ring_holds_its_pins(
    jaws: BaseGeometry, pockets: shapely.Polygon, copying_tool: Tool
) -> None:
    """Pins on a circle of 130 mm leave a hole of 114 mm; the pocket of 120 mm needs more."""
    wanted = jaws.difference(pockets)
    path = boring_path(jaws, wanted, copying_tool, BoringPlan("outside", 2.0, 0.3, 80.0))
    room = covered(path, copying_tool, 1.5)
    advice = fixture_advice(
        ring_advice(room, 50.0, 15.0, 130.0, 16.0),
        plug_advice(room, jaws, thickness=12.0, wall=5.0, bearing=3.0),
    )
    assert advice.remedy == "plug"
    plug = advice.plug
    assert plug.diameter == pytest.approx(66.0, abs=1e-2)
    # The deeper seat lies at 25 mm; the insert works there, so the plug ends 1.5 mm lower.
    assert plug.top == pytest.approx(23.5, abs=5e-3)
    assert plug.seat_depth == pytest.approx(50.0 - 23.5 + 12.0, abs=5e-3)
    body = Body("plug", shapely.box(0.0, plug.top - 12.0, 0.5 * plug.diameter, plug.top), "fixture")
    assert clearance_of(path, copying_tool, [body], jaws, wanted, 1.5).least_clearance >= 1.5
    higher = Body("plug", shapely.affinity.translate(body.image, 0.0, 0.01), "fixture")
    assert clearance_of(path, copying_tool, [higher], jaws, wanted, 1.5).least_clearance < 1.5


def test_plug_without_height_or_bearing_says_why(jaws: BaseGeometry) -> None:
    room = covered([Move("feed", (35.0, 80.0), (35.0, 10.0))], TIP, 1.5)
    low = plug_advice(room, jaws, thickness=12.0, wall=5.0)
    assert not low.fits
    assert "leaves room up to z = 8.5 mm" in low.reason
    assert "is not held by jaws" in plug_advice(room, jaws, thickness=2.0, wall=5.0, diameter=50.0).reason
    assert fixture_advice(ring_advice(room, 50.0, 15.0, 60.0, 16.0), low).remedy == "none"


def test_outer_ring_ends_below_the_path() -> None:
    """Turning down to z = 30 at radius 100: an outer ring of 250 mm hole is passed at 30 - 1.5 mm."""
    room = covered([Move("feed", (150.0, 60.0), (100.0, 30.0))], TIP, 1.5)
    assert outer_ring_top(room, 180.0) == pytest.approx(28.5, abs=5e-3)
    assert outer_ring_top(room, 400.0) > 1e3


def test_a_plug_that_takes_the_parts_back_face_away_is_not_advised(jaws: BaseGeometry) -> None:
    """With the bearing it needs a seat of its own diameter; what remains of the back face must still carry a part."""
    room = covered([Move("feed", (35.0, 80.0), (35.0, 30.0))], TIP, 1.5)
    free = plug_advice(room, jaws, thickness=8.0, wall=5.0)
    assert free.fits
    assert plug_advice(room, jaws, thickness=8.0, wall=5.0, largest=free.diameter + 0.1).fits
    tight = plug_advice(room, jaws, thickness=8.0, wall=5.0, largest=free.diameter - 0.1)
    assert not tight.fits
    assert "leaves the part no back face" in tight.reason
