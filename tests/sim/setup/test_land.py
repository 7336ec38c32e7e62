"""The part's back face on the jaws' land, by hand from the files' figures."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from sim.scenario import Scenario
from sim.setup.land import back_rings, overlap, stands, stop_width
from sim.setup.parts import Parts, build

HUB, PLUG, BONNET, HOUSING = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "valve_bonnet_two_steps",
    "housing_gripped_inside",
)
OUTLINE = "operations.0.workpiece.outline"
Corners = list[tuple[float, float]]
COLLAR: Corners = [(59, 26), (40, 26), (40, 58), (20, 58)]


def mm(corners: Corners) -> list[list[str]]:
    return [[f"{r} mm", f"{z} mm"] for r, z in corners]


@pytest.fixture(scope="module")
def built(varied: Callable[..., Scenario]) -> Callable[..., Parts]:
    return lambda name, changes=None: build(varied(name, changes or {}))


@pytest.mark.parametrize(
    ("outline", "rings"),
    [
        ([(20, 0), (59, 0), *COLLAR], ((20, 59),)),
        # drawn the other way round
        ([(20, 0), (59, 0), *COLLAR][::-1], ((20, 59),)),
        # a recess between two rims
        ([(20, 0), (25, 0), (25, 2), (57, 2), (57, 0), (59, 0), *COLLAR], ((20, 25), (57, 59))),
        # a spigot through the back face
        ([(20, -10), (30, -10), (30, 0), (59, 0), *COLLAR], ((30, 59),)),
        # hollow at z = 0: that face looks to the tailstock
        ([(59, -5), (59, 26), (40, 26), (40, 0), (20, 0), (20, -5)], ()),
        # a cone stands on its edge, which is no face
        ([(20, 3), (59, 0), *COLLAR], ()),
    ],
    ids=["flat", "clockwise", "recess", "spigot", "facing up", "cone"],
)
def test_rings_of_the_back_face(outline: Corners, rings: tuple[tuple[float, float], ...]) -> None:
    found = back_rings(tuple(outline))
    assert len(found) == len(rings)
    for one, other in zip(found, rings, strict=True):
        assert one == pytest.approx(other, abs=1e-6)


def test_the_land_of_a_plain_pocket(built: Callable[..., Parts]) -> None:
    """Inner ends flat on x = 42: on a ray at the angle t the land runs from 42 / cos t to the part's 59 mm."""
    angles = [(k / 6.0 - 1.0) * math.asin(12.5 / 59.0) for k in range(13)]
    by_hand = sum(59.0 - 42.0 / math.cos(t) for t in angles) / 13
    found = overlap(built(HUB), 0, 3.0)
    assert found.width == pytest.approx(by_hand, abs=1e-3)
    assert found.radius == pytest.approx(0.5 * (42.0 + 59.0), abs=1e-3)


def test_a_plugs_seat_takes_its_part(built: Callable[..., Parts]) -> None:
    assert overlap(built(PLUG), 0, 3.0).width == pytest.approx(59.0 - 46.0, abs=1e-3)


def test_chamfer_and_counterbore_are_no_land(built: Callable[..., Parts]) -> None:
    """From the deeper step's chamfer, 51 mm, to 75 mm; the counterbore on 64 mm, 20 mm wide, lies in the middle of it.

    On the middle ray 20 of 24 mm are missing, on the outermost, 10.6 mm off, none.
    """
    found = overlap(built(BONNET), 0, 3.0)
    assert 24.0 - 20.0 < found.width < 24.0 - 0.5 * 20.0
    assert found.radius == pytest.approx(0.5 * (51.0 + 75.0), abs=1e-3)


def test_gripped_inside_the_land_lies_outside_the_step(built: Callable[..., Parts]) -> None:
    """From 90 mm to the part's 118 mm, less the counterbore on 102 mm, 22 mm wide (its chords by hand)."""
    angles = [(k / 6.0 - 1.0) * math.asin(12.5 / 90.0) for k in range(13)]
    hole = [2.0 * math.sqrt(max(11.0**2 - (102.0 * math.sin(t)) ** 2, 0.0)) for t in angles]
    assert overlap(built(HOUSING), 0, 3.0).width == pytest.approx(28.0 - sum(hole) / 13, abs=1e-2)


RECESSED = [(20, 0), (40, 0), (40, 2), (59, 2), *COLLAR]


def test_recessed_over_the_land_it_stands_on_air(built: Callable[..., Parts]) -> None:
    parts = built(HUB, {OUTLINE: mm(RECESSED)})
    assert overlap(parts, 0, 3.0).width == 0.0
    assert not stands(parts, 0)


def test_an_earlier_bore_takes_the_land_away(built: Callable[..., Parts]) -> None:
    """116 mm wide and deeper than the pocket: 1 mm of land is left, as `used_jaw` finds by its grid."""
    before = [{"travel": "3 mm", "pockets": [{"diameter": "116 mm", "depth": "30 mm"}]}]
    assert overlap(built(HUB, {"soft_jaw.bored_before": before}), 0, 3.0).width == pytest.approx(
        1.0, abs=0.01
    )


def test_an_earlier_bore_has_moved_in_with_its_jaw(built: Callable[..., Parts]) -> None:
    """Bored at 1 mm of travel and now standing at 3 mm: that circle's centre lies 2 mm beyond the axis."""
    before = [{"travel": "1 mm", "pockets": [{"diameter": "116 mm", "depth": "30 mm"}]}]
    angles = [(k / 6.0 - 1.0) * math.asin(12.5 / 59.0) for k in range(13)]
    walls = [math.sqrt(58.0**2 - (2.0 * math.sin(t)) ** 2) - 2.0 * math.cos(t) for t in angles]
    found = overlap(built(HUB, {"soft_jaw.bored_before": before}), 0, 3.0)
    assert found.width == pytest.approx(59.0 - sum(walls) / 13, abs=0.01)


def test_a_stop_counts_where_it_touches(built: Callable[..., Parts]) -> None:
    """The face from 20 to 40 mm on a disc of 60 mm: 10 mm; half a millimetre behind it, nothing."""
    for height, width in (("17 mm", 10.0), ("16.5 mm", 0.0)):
        stop = {"outer_diameter": "60 mm", "thickness": "10 mm", "height": height}
        parts = built(HUB, {OUTLINE: mm(RECESSED), "operations.0.back_stop": stop})
        assert stop_width(parts, 0, 27.0) == pytest.approx(width, abs=1e-6)
