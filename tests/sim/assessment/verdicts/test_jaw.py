"""The jaws as they are bolted, each figure again by hand from the hub's file.

The hub's jaws begin at 45 mm when open, are 81 mm long and 50 mm wide; the chuck body has a radius of 127 mm, master
jaws reach from 26 mm to 126 mm. The screws' heads rest 50 - 28 = 22 mm over the serrations.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.jaws import rotor_mass, top_jaw
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.jaw import jaw_verdicts
from sim.scenario import Scenario
from sim.setup.parts import build

HUB, HOUSING, BONNET = "cast_hub_on_ring", "housing_gripped_inside", "valve_bonnet_two_steps"
Varied = Callable[..., Scenario]


def bolted(varied: Varied, name: str, changes: dict[str, Any] | None = None) -> dict[str, Verdict]:
    """Return the verdicts that hold for every operation by their keys."""
    return {v.key: v for v in jaw_verdicts(build(varied(name, changes)))}


def test_a_torque_is_shown_in_newton_metres(varied: Varied) -> None:
    """M = F (0.159 P + 0.577 d2 mu + 0.5 Dkm mu) of VDI 2230 (textbooks): M14 x 2, d2 12.701 mm, head of 21 mm.

    90 % of 1100 MPa (ISO 898-1, 12.9) in tension and torsion leave some 0.8 of the F that tension alone would.
    """
    found = bolted(varied, HUB, {"soft_jaw.screws.torque": "150 N*m"})["screw_torque"]
    assert found.value == pytest.approx(150.0)
    assert found.unit == "N m"
    lever = 0.159 * 2.0 + 0.577 * 12.701 * 0.12 + 0.5 * 0.5 * (21.0 + 15.5) * 0.12
    tension_alone = 0.9 * 1100.0 * 115.4
    assert 0.75 * tension_alone * lever < 1000.0 * found.limit < 0.9 * tension_alone * lever


@pytest.mark.parametrize(
    ("changes", "engaged"),
    [
        # T-nut's top 1 mm under the serrations (neck of 9 mm in a slot of 10 mm): 23 mm to it, made screws of 40 mm
        ({}, 40.0 - 23.0),
        # a counterbore 5 mm deeper: 18 mm, and a screw of 35 mm
        ({"soft_jaw.screws.counterbore_depth": "33 mm"}, 35.0 - 18.0),
        # a neck 2 mm shorter: its top 3 mm under the serrations, the nut 2 mm less high
        ({"master_jaw.t_nut.neck_height": "7 mm"}, 40.0 - 25.0),
    ],
)
def test_thread_in_the_nut(varied: Varied, changes: dict[str, Any], engaged: float) -> None:
    found = bolted(varied, HUB, changes)["thread_in_the_t_nut"]
    assert found.value == pytest.approx(engaged)
    assert found.at_least


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_open_jaws_stand_out_by_their_corner(varied: Varied, name: str) -> None:
    """Both reach to 126 mm when they stand farthest out, the hub's open, the housing's closed upon the part."""
    found = bolted(varied, name)["jaw_overhang"]
    assert found.value == pytest.approx(math.hypot(126.0, 25.0) - 127.0)


def test_narrow_or_short_jaws_stand_out_by_nothing_rather_than_less(varied: Varied) -> None:
    assert bolted(varied, HUB, {"soft_jaw.length": "75 mm"})["jaw_overhang"].value == 0.0


@pytest.mark.parametrize(
    ("changes", "past"),
    [
        ({}, 0.0),
        # 45 + 87 mm: 6 mm past 126 mm
        ({"soft_jaw.length": "87 mm"}, 6.0),
        # one jaw two serrations of 1.5 mm farther out than the others
        ({"soft_jaw.length": "81 mm", "soft_jaw.serrations_off": [0, 0, 2]}, 3.0),
        # master jaws that begin at 48 mm, the blanks at 45 mm
        ({"master_jaw.inner_radius": "48 mm"}, 3.0),
        # 4 mm free inside and 2 mm outside: the larger counts, whichever it is
        ({"master_jaw.inner_radius": "49 mm", "master_jaw.length": "75 mm"}, 4.0),
        ({"master_jaw.inner_radius": "47 mm", "master_jaw.length": "75 mm"}, 4.0),
        # the second jaw two serrations farther in
        ({"master_jaw.inner_radius": "46 mm", "soft_jaw.serrations_off": [0, -2, 0]}, 4.0),
    ],
)
def test_the_end_that_stands_freest_of_all_jaws_counts(
    varied: Varied, changes: dict[str, Any], past: float
) -> None:
    assert bolted(varied, HUB, changes)["jaw_past_the_master_jaw"].value == pytest.approx(past)


def test_the_least_wall_counts(varied: Varied) -> None:
    """Counterbores of 22 mm on 42 + 32 and 42 + 57 mm, the groove's side at 59.5 mm: the nearer one, not the other."""
    found = bolted(varied, HUB)["wall_to_the_counterbore"]
    assert found.value == pytest.approx(74.0 - 11.0 - 59.5)
    assert found.limit == 3.0


def test_one_screw_warns_and_two_are_not_asked(varied: Varied) -> None:
    assert "screws_of_a_jaw" not in bolted(varied, HUB)
    single = {
        "soft_jaw.screws.positions": ["32 mm"],
        "soft_jaw.screws.single_screw_reason": "a jaw too short for a second one",
    }
    found = bolted(varied, HUB, single)["screws_of_a_jaw"]
    assert (found.status, found.value, found.limit) == ("warn", 1.0, 2.0)


def test_unbalance_is_judged_at_the_fastest_operation(varied: Varied) -> None:
    """e omega = 6.3 mm/s (ISO 21940-11): permissible is 6.3 m / omega, of the higher of two operations' speeds."""

    def limit(first: int, second: int) -> tuple[float, float]:
        scenario = varied(
            BONNET,
            {
                "soft_jaw.mass_differences": ["0 g", "0 g", "20 g"],
                "operations.0.gripping.speed_high": f"{first} rpm",
                "operations.1.gripping.speed_high": f"{second} rpm",
            },
        )
        parts = build(scenario)
        (found,) = (v for v in jaw_verdicts(parts) if v.key == "unbalance")
        return found.limit, 1e3 * 6.3 * rotor_mass(parts, top_jaw(parts)) / (900.0 * math.pi / 30.0)

    for speeds in ((900, 500), (500, 900)):
        found, by_hand = limit(*speeds)
        assert found == pytest.approx(by_hand)


def test_jaws_that_are_alike_are_not_asked_for_unbalance(varied: Varied) -> None:
    assert "unbalance" not in bolted(varied, HUB)


def test_the_shortest_seat_of_three_bears(varied: Varied) -> None:
    """Blanks of 84 mm from 45 mm: two rest on 81 mm of master jaws that end at 126 mm, one 3 mm farther out on 78 mm.

    The teeth of the third bear the same force, so they are sheared the more: by 81/78.
    """
    longer = {"soft_jaw.length": "84 mm", "limits.master_overhang": "10 mm"}
    even = assess(varied(HUB, longer), contact_model="foundation")
    off = assess(varied(HUB, {**longer, "soft_jaw.serrations_off": [0, 2, 0]}), contact_model="foundation")
    said = [next(v.message for v in one.verdicts if v.key == "serrations") for one in (even, off)]
    assert [text.split(" mm ")[0] for text in said] == ["81", "78"]


def test_a_jaw_lifts_later_than_its_seat_gapes(varied: Varied) -> None:
    """A seat gapes from its edge before the jaw as a whole comes off; all that loads it: `test_seat_balance.py`."""
    found = assess(varied(HUB), contact_model="foundation")
    (verdict,) = (v for v in found.verdicts if v.key == "jaw_seat_stays_closed")
    gapes, lifts = (float(text.split(" times")[0]) for text in verdict.message.split(" at ")[1:3])
    assert lifts > gapes > 0.0
    assert verdict.value == pytest.approx(min(gapes, lifts / 1.5), abs=0.06)
