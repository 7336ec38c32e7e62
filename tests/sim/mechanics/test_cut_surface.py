"""Where a cut lies, on a ring of 40 to 100 mm, 40 mm long, between jaws that reach 20 mm up: every distance by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from sim.mechanics.cut_surface import CutPlace, Surfaces, off_surface, room, surfaces

RING, JAWS = shapely.box(20.0, 0.0, 50.0, 40.0), shapely.box(50.0, -10.0, 80.0, 20.0)
HALF_TIP = 0.5  # mm, more than any tip's half width by which a tool stays off what stands beside a surface


@pytest.fixture(scope="module")
def drawn() -> Surfaces:
    return surfaces(RING, JAWS, -10.0)


def at(kind: Any, diameter: float, height: float, towards: Any = "chuck", **more: Any) -> CutPlace:
    return CutPlace(kind, towards, diameter, height, **more)


def test_surfaces_that_a_tool_reaches(drawn: Surfaces) -> None:
    """The rim above the jaws, the whole bore, the whole face; nothing of the back, nor beside the jaws."""
    assert drawn.outer.bounds == pytest.approx((50.0, 20.0, 50.0, 40.0), abs=HALF_TIP)
    assert drawn.inner.bounds == pytest.approx((20.0, 0.0, 20.0, 40.0), abs=HALF_TIP)
    assert drawn.front.bounds == pytest.approx((20.0, 40.0, 50.0, 40.0), abs=HALF_TIP)


def test_a_solid_part_has_no_bore() -> None:
    found = surfaces(shapely.box(0.0, 0.0, 50.0, 40.0), JAWS, -10.0)
    assert found.inner.is_empty
    assert found.front.bounds == pytest.approx((0.0, 40.0, 50.0, 40.0), abs=HALF_TIP)


def test_no_tool_comes_from_behind_the_chucks_face() -> None:
    """A bore blind from the front, open at the back, 10 mm off the chuck's face, the jaws all around."""
    cup = shapely.difference(shapely.box(0.0, 0.0, 50.0, 40.0), shapely.box(0.0, 0.0, 20.0, 30.0))
    assert surfaces(cup, JAWS, -10.0).inner.is_empty


@pytest.mark.parametrize(
    ("place", "depth", "off"),
    [
        # turned outside: from the cut's radius outward by its depth
        (at("turning", 100.0, 30.0), 2.0, 0.0),
        (at("turning", 97.0, 30.0), 2.0, 0.0),
        (at("turning", 90.0, 30.0), 2.0, 50.0 - 47.0),
        (at("turning", 106.0, 30.0), 2.0, 3.0),
        (at("turning", 100.0, 43.0), 2.0, 3.0),
        # bored: from its radius inward
        (at("boring", 40.0, 30.0), 2.0, 0.0),
        (at("boring", 43.0, 30.0), 2.0, 0.0),
        (at("boring", 30.0, 30.0), 2.0, 5.0),
        (at("boring", 50.0, 30.0), 2.0, 25.0 - 2.0 - 20.0),
        # faced: from its height away from the chuck; so is turned towards the axis or outward
        (at("facing", 80.0, 38.0, "axis"), 2.0, 0.0),
        (at("facing", 80.0, 35.0, "axis"), 2.0, 3.0),
        (at("facing", 80.0, 44.0, "axis"), 2.0, 4.0),
        (at("turning", 80.0, 38.0, "axis"), 2.0, 0.0),
        (at("turning", 80.0, 38.0, "outward"), 2.0, 0.0),
        # along the spindle that is no face: 10 mm from the rim
        (at("turning", 80.0, 38.0, "chuck"), 2.0, 50.0 - 42.0),
        # drilled: over its whole width, in the metal
        (at("drilling", 10.0, 30.0, off_axis=30.0), 5.0, 0.0),
        (at("drilling", 10.0, 30.0), 5.0, 15.0),
        (at("drilling", 10.0, 30.0, off_axis=3.0), 5.0, 20.0 - 8.0),
        (at("drilling", 10.0, 30.0, off_axis=60.0), 5.0, 55.0 - 50.0),
        # a driven tool cuts whichever is nearest, a fixed one that turns only the outside
        (at("turning", 38.0, 30.0, rotating_tool=True), 2.0, 1.0),
        (at("turning", 38.0, 30.0), 2.0, 50.0 - 21.0),
        (at("boring", 96.0, 30.0, rotating_tool=True), 3.0, 0.0),
        (at("boring", 96.0, 30.0), 3.0, 48.0 - 3.0 - 20.0),
        (at("turning", 70.0, 37.0, rotating_tool=True), 2.0, 1.0),
        # a blade 3 mm wide has half of it on each side of its height: at the rim's edge, and at the bore's mouths
        (at("grooving", 100.0, 41.0, "axis", end_diameter=90.0), 3.0, 0.0),
        (at("grooving", 100.0, 42.0, "axis", end_diameter=90.0), 3.0, 0.5),
        (at("grooving", 40.0, 42.0, "outward", end_diameter=50.0), 3.0, 0.5),
        (at("grooving", 40.0, -2.0, "outward", end_diameter=50.0), 3.0, 0.5),
        (at("parting", 106.0, 30.0, "axis", end_diameter=0.0), 3.0, 3.0),
    ],
)  # fmt: skip
def test_how_far_a_cut_lies_off(drawn: Surfaces, place: CutPlace, depth: float, off: float) -> None:
    assert off_surface(place, depth, [drawn]) == pytest.approx(off, abs=1e-6)


def test_beside_the_jaws_there_is_nothing_to_cut(drawn: Surfaces) -> None:
    """10 mm below the jaws' top: the rim that a tool reaches begins 10 mm higher."""
    assert off_surface(at("turning", 100.0, 10.0), 2.0, [drawn]) == pytest.approx(10.0, abs=HALF_TIP)


def test_the_nearest_of_several_outlines_counts(drawn: Surfaces) -> None:
    """Raw and finished part are both drawn; without either nothing is cut."""
    raw = surfaces(shapely.box(20.0, 0.0, 53.0, 40.0), JAWS, -10.0)
    place = at("turning", 106.0, 30.0)
    assert off_surface(place, 2.0, [drawn, raw]) == off_surface(place, 2.0, [raw, drawn]) == 0.0
    assert off_surface(place, 2.0, []) == math.inf


@pytest.mark.parametrize(
    ("place", "depth", "radii"),
    [
        (at("turning", 100.0, 30.0), 2.0, (50.0, 52.0)),
        (at("boring", 40.0, 30.0), 2.0, (18.0, 20.0)),
        (at("boring", 3.0, 30.0), 2.0, (0.0, 1.5)),
        (at("facing", 80.0, 38.0, "axis"), 2.0, (40.0, 40.0)),
        (at("boring", 40.0, 38.0, "outward"), 2.0, (20.0, 20.0)),
        (at("drilling", 10.0, 30.0), 5.0, (0.0, 5.0)),
        (at("drilling", 10.0, 30.0, "axis", off_axis=12.0), 5.0, (7.0, 17.0)),
        # from where a groove or a thread begins to its bottom, whichever is further out
        (at("grooving", 100.0, 30.0, "axis", end_diameter=80.0), 3.0, (40.0, 50.0)),
        (at("grooving", 40.0, 30.0, "outward", end_diameter=50.0), 3.0, (20.0, 25.0)),
        (at("threading", 100.0, 30.0, end_diameter=97.0), 0.2, (48.5, 50.0)),
        (at("threading", 38.0, 30.0, end_diameter=40.0), 0.2, (19.0, 20.0)),
    ],
)  # fmt: skip
def test_between_which_radii_it_cuts(place: CutPlace, depth: float, radii: tuple[float, float]) -> None:
    assert place.radii(depth) == pytest.approx(radii)


@pytest.mark.parametrize(
    ("place", "gap", "deep"),
    [
        # 10 mm over the jaws by both ways
        (at("turning", 100.0, 30.0), 10.0, False),
        # a rim of 40 mm radius: from in front, 8 mm inside the jaws, or from outside, 5 mm over them: the better
        (at("turning", 80.0, 25.0), math.hypot(8.0, 5.0), False),
        # beside the jaws only the way from in front is left
        (at("turning", 80.0, 10.0), 8.0, True),
        (at("turning", 120.0, 10.0), 0.0, True),
        # faced: its depth of 2 mm lies ahead of it
        (at("facing", 120.0, 24.0, "axis"), 4.0, False),
        # a bore is never reached from outside
        (at("boring", 40.0, 30.0), math.hypot(30.0, 10.0), True),
        (at("drilling", 10.0, 5.0, off_axis=30.0), 15.0, True),
        # drilled from the chuck's side: all below it
        (at("drilling", 10.0, 5.0, "tailstock", off_axis=30.0), 15.0, True),
        (at("drilling", 10.0, 30.0, "tailstock", off_axis=60.0), 0.0, True),
        # a blade 2 mm wide from outside: 1 mm of it comes off the room over the jaws, and where it has none it is deep
        (at("grooving", 100.0, 30.0, "axis", end_diameter=80.0), 9.0, False),
        (at("grooving", 100.0, 20.5, "axis", end_diameter=80.0), 0.0, True),
        (at("grooving", 100.0, -12.0, "axis", end_diameter=80.0), 1.0, False),
        # out of a bore's middle, 25 mm of radius, 29 mm up
        (at("grooving", 40.0, 30.0, "outward", end_diameter=50.0), math.hypot(25.0, 9.0), True),
        (at("grooving", 40.0, -13.0, "outward", end_diameter=50.0), math.hypot(25.0, 2.0), True),
    ],
)  # fmt: skip
def test_the_way_in(place: CutPlace, gap: float, deep: bool) -> None:
    found = room(place, 2.0, JAWS)
    assert (found.gap, found.deep) == (pytest.approx(gap, abs=0.02), deep)
