"""While the jaws are bored: speeds, pressures and what is left of a back face, by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.boring import bore
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.boring import (
    boring_speed_and_limit,
    boring_verdicts,
    steady_pressure_and_limit,
)
from sim.scenario import Scenario
from sim.setup.parts import build

HUB, PLUG, HOUSING, BONNET = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "housing_gripped_inside",
    "valve_bonnet_two_steps",
)
Varied = Callable[..., Scenario]
LAND, WIDTH = "land_between_pockets", "back_face_width"


def bored(varied: Varied, name: str, changes: dict[str, Any] | None = None) -> dict[str, Verdict]:
    """Return the verdicts on boring by their keys, of no operation."""
    parts = build(varied(name, changes))
    return {v.key: v for v in boring_verdicts(parts, bore(parts), ())}


def test_the_lower_of_two_marked_speeds_counts() -> None:
    assert boring_speed_and_limit(900.0, 4000.0, 3500.0) == (900.0, 3500.0)
    assert boring_speed_and_limit(900.0, 3000.0, 3500.0) == (900.0, 3000.0)


def test_pressures_are_shown_in_bar() -> None:
    assert steady_pressure_and_limit(0.2, 0.3) == pytest.approx((2.0, 3.0))


@pytest.mark.parametrize(
    ("changes", "land"),
    [
        # steps of 150 and 100 mm, a chamfer of 1 mm leads into the narrower one
        ({}, 25.0 - 1.0),
        # a groove deeper than the chamfer takes more of it, whether it is the wide step's or not
        ({"pockets.1.groove_depth": "1.8 mm"}, 25.0 - 1.8),
    ],
)
def test_land_between_two_steps(varied: Varied, changes: dict[str, Any], land: float) -> None:
    assert bored(varied, BONNET, changes)[LAND].value == pytest.approx(land, abs=1e-3)


def test_land_between_two_steps_turned_outward(varied: Varied) -> None:
    """Gripping inside the deeper step is the wider one: 90 mm less its chamfer of 1 mm, over a step of 80 mm."""
    steps = [
        {"name": "bore step", "diameter": "180 mm", "depth": "22 mm"},
        {"name": "small", "diameter": "160 mm", "depth": "10 mm"},
    ]
    assert bored(varied, HOUSING, {"pockets": steps})[LAND].value == pytest.approx(10.0 - 1.0, abs=1e-3)


@pytest.mark.parametrize(
    ("name", "changes", "width"),
    [
        (PLUG, {}, 59.0 - 46.0),
        # a through bore wider than the plug's seat, and one narrower
        (PLUG, {"boring.through_diameter": "88 mm"}, 59.0 - 46.0),
        (HUB, {"boring.through_diameter": "96 mm"}, 59.0 - 48.0),
        (HOUSING, {}, 122.0 - 90.0),
    ],
)
def test_back_face_beside_a_seat_or_bore(
    varied: Varied, name: str, changes: dict[str, Any], width: float
) -> None:
    assert bored(varied, name, changes)[WIDTH].value == pytest.approx(width, abs=1e-3)


def test_a_whole_back_face_is_not_asked_for(varied: Varied) -> None:
    assert WIDTH not in bored(varied, HUB)


def test_beside_the_deepest_of_two_steps(varied: Varied) -> None:
    """Steps of 150 and 100 mm, the deeper of 100 mm, over a plug's seat of 80 mm."""
    assert bored(varied, BONNET)[WIDTH].value == pytest.approx(50.0 - 40.0, abs=1e-3)


@pytest.mark.parametrize(("travel", "spare"), [("2 mm", 2.0), ("4.5 mm", 1.5)])
def test_the_nearer_end_of_the_stroke(varied: Varied, travel: str, spare: float) -> None:
    found = bored(varied, HUB, {"boring.travel": travel, "boring.fixture": {"kind": "none"}})
    assert found["boring_travel"].value == pytest.approx(spare)
    assert found["boring_travel"].limit == pytest.approx(1.0)


def test_a_land_that_is_too_narrow_names_the_pocket_or_what_was_bored_there(varied: Varied) -> None:
    """Of steps of 180 and 176 mm the design leaves 1 mm; of the bonnet's 24 mm an old bore of 146 mm leaves 2 mm."""
    steps = [
        {"name": "bore step", "diameter": "180 mm", "depth": "22 mm"},
        {"name": "small", "diameter": "176 mm", "depth": "10 mm"},
    ]
    narrow = bored(varied, HOUSING, {"pockets": steps})[LAND]
    assert (narrow.status, narrow.value) == ("fail", pytest.approx(2.0 - 1.0, abs=1e-3))
    assert narrow.advice.startswith("Make the narrower pocket smaller")
    old = {"diameter": "146 mm", "depth": "16.5 mm", "groove_width": "0 mm", "groove_depth": "0 mm"}
    worn = bored(varied, BONNET, {"soft_jaw.bored_before": [{"travel": "3 mm", "pockets": [old]}]})[LAND]
    assert (worn.status, worn.value) == ("fail", pytest.approx(2.0, abs=0.06))
    assert worn.advice.startswith("Take jaws that were not bored there")


def test_a_pre_bore_wider_than_a_plugs_seat_narrows_the_back_face(varied: Varied) -> None:
    found = bored(varied, HUB, {"boring.passes.pre_bore_diameter": "114 mm"})[WIDTH]
    assert found.value == pytest.approx(59.0 - 57.0, abs=1e-3)
    assert "beside a 114 mm seat or bore" in found.message
    assert found.advice.startswith("Use a smaller plug or through-bore")
