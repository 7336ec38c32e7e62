"""Screw heads that stand out of their counterbores, meet a bore or a pin: refused by field, flush ones pass.

Heads by ISO 4762 as its table is printed: M12 18 mm wide and 12 mm high, M14 21 and 14 mm; washers of ISO 7092, from
memory: 2.5 mm for M14.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.jaw_place import jaw_place
from sim.setup.jaw_screws import head_seat, head_top, head_underside, nut_top
from sim.setup.parts import build
from sim.setup.pose import jaws

Varied = Callable[..., Scenario]
HUB, PLUG, HOUSING = "cast_hub_on_ring", "cast_hub_on_plug", "housing_gripped_inside"
BONNET = "valve_bonnet_second_side"
DEPTH, PIN = "soft_jaw.screws.counterbore_depth", "boring.fixture.pin_length"
WASHER = {"soft_jaw.screws.washer_diameter": "22 mm"}


def boring(diameter: float, depth: float, direction: str = "outside", **more: Any) -> dict[str, Any]:
    pocket = {
        "diameter": f"{diameter} mm",
        "depth": f"{depth} mm",
        "groove_width": "0 mm",
        "groove_depth": "0 mm",
    }
    return {
        "soft_jaw.bored_before": [{"travel": "3 mm", "direction": direction, "pockets": [pocket], **more}]
    }


@pytest.mark.parametrize(
    ("name", "changes", "words"),
    [
        (
            BONNET,
            {DEPTH: "5 mm"},
            "soft_jaw.screws.counterbore_depth must be at least 12 mm, the head of an M12 screw (ISO 4762), so that no "
            "head stands out of the jaw's face, found 5 mm",
        ),
        (PLUG, {DEPTH: "13.9 mm"}, "counterbore_depth must be at least 14 mm"),
        (PLUG, {DEPTH: "16.4 mm", **WASHER}, "counterbore_depth must be at least 16.5 mm, the head of an M14 screw"),
        (
            HUB,
            {PIN: "14.1 mm"},
            "boring.fixture.pin_length must be at most 14 mm, what soft_jaw.screws.counterbore_depth of 28 mm leaves "
            "over the head of an M14 screw (ISO 4762), 14 mm high; found 14.1 mm",
        ),
        (HUB, {PIN: "60 mm"}, "boring.fixture.pin_length must be at most 14 mm"),
        (HUB, {PIN: "8 mm", DEPTH: "21 mm"}, "boring.fixture.pin_length must be at most 7 mm"),
        (HUB, {PIN: "11.6 mm", **WASHER}, "boring.fixture.pin_length must be at most 11.5 mm"),
        # a seat of 57 mm meets a head that begins at 56 - 10.5 mm and reaches up to 36 mm
        (
            PLUG,
            {"soft_jaw.screws.positions": ["14 mm", "57 mm"], "pockets.0.depth": "10 mm",
             "boring.fixture.diameter": "112 mm"},
            "boring.fixture.diameter must keep the plug's seat off the screws",
        ),
        (
            HUB,
            {"soft_jaw.screws.positions": ["14 mm", "57 mm"], "pockets.0.depth": "10 mm",
             "boring.through_diameter": "100 mm", "boring.fixture.screw": 1,
             "boring.fixture.outer_diameter": "250 mm"},
            "boring.through_diameter must keep the through bore off the screws",
        ),
        (
            HUB,
            {"soft_jaw.screws.positions": ["14 mm", "57 mm"], "pockets.0.depth": "10 mm",
             "boring.passes.pre_bore_diameter": "100 mm", "boring.fixture.screw": 1,
             "boring.fixture.outer_diameter": "250 mm"},
            "boring.passes.pre_bore_diameter must keep the pre-bore off the screws",
        ),
        (
            HOUSING,
            {"boring.fixture.inner_diameter": "220 mm"},
            "boring.fixture.inner_diameter must keep the outer ring's seat off the screws",
        ),
        # heads from 63.5 mm on, up to z = 36 mm
        (
            HUB,
            boring(127.2, 14.5),
            "soft_jaw.bored_before[0].pockets[0].diameter must keep an earlier boring of 127.2 mm off the screws",
        ),
        (HUB, boring(170.0, 14.5, "inside"), "bored_before[0].pockets[0].diameter must keep"),
        (HUB, boring(120.0, 10.0, through_diameter="118 mm", serration_index=-4), "bored_before[0].through_diameter"),
    ],
)  # fmt: skip
def test_refused_by_field(varied: Varied, name: str, changes: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError) as found:
        varied(name, changes)
    assert words in str(found.value)


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        (PLUG, {DEPTH: "14 mm"}),  # flush with the face
        (PLUG, {DEPTH: "16.5 mm", **WASHER}),
        (HUB, {PIN: "14 mm"}),
        (HUB, {PIN: "8 mm", DEPTH: "22 mm"}),
        (HUB, boring(126.9, 14.5)),  # beside the heads
        (HUB, boring(150.0, 13.9)),  # over them
        (HUB, boring(170.0, 13.9, "inside")),
    ],
)
def test_flush_and_beside_passes(varied: Varied, name: str, changes: dict[str, Any]) -> None:
    varied(name, changes)


def test_a_washer_lifts_the_head_and_takes_its_thickness_off_the_thread(varied: Varied) -> None:
    bare, washer = varied(HUB), varied(HUB, WASHER)
    assert head_seat(bare) == head_seat(washer) == head_underside(bare) == 22.0
    assert (head_underside(washer), head_top(washer)) == (24.5, 38.5)
    solids = {s.name: s.mesh for s in jaws(build(washer), 3.0)}
    assert solids["jaw screw 1.1"].bounds[1][2] == pytest.approx(38.5)
    nut = washer.master_jaw.t_nut
    tip = solids["jaw screw 1.1"].bounds[0][2]  # still within the T-nut, and half a diameter in it
    assert nut_top(washer) - nut.neck_height - nut.height <= tip <= nut_top(washer) - 7.0


def test_the_pocket_over_a_head_counts_its_washer(varied: Varied) -> None:
    """A screw wholly in the pocket, its back face at 37 mm: over a head of 36 mm, in one of 38.5 mm."""
    over = {"soft_jaw.screws.positions": ["14 mm", "57 mm"], "pockets.0.depth": "13 mm", "boring.fixture.screw": 1,
            "boring.fixture.outer_diameter": "250 mm"}  # fmt: skip
    assert jaw_place(varied(HUB, over)).inner(3.0) + 14.0 + 10.5 < 59.5 + 21.0
    with pytest.raises(ScenarioError, match="must not bore through the screw"):
        varied(HUB, {**over, **WASHER})
