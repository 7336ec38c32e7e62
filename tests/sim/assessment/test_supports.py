"""A centre and a steady rest beside the jaws: what they hold, what they must not hide, and that variants agree.

Statics of a beam on two supports (any handbook of the strength of materials); frictions and levers by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.holding import asked_for_times
from sim.assessment.results import Assessment
from sim.assessment.side import PartWeight, share_on_the_jaws, worst_side_load
from sim.assessment.stages import assess
from sim.assessment.supports import IN_ANY_DIRECTION, prop_cases
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.cuts import CUTS_CLEAR_OF_THE_JAWS
from sim.assessment.verdicts.grip import GRIP_AT_REST, HOLDING_FACTOR, LEAST_GRIP_OF_A_JAW
from sim.assessment.verdicts.path import TOOL_CONTACT
from sim.assessment.verdicts.supports import (
    BEND_OF_THE_PART,
    FORCE_OF_THE_CENTRE,
    PARTING_UNDER_THE_CENTRE,
    WEIGHT_HELD_BY_THE_JAWS,
    WHIP_OF_THE_PART,
)
from sim.assessment.verdicts.thin_section import SECTION_UNDER_THE_CUT
from sim.mechanics.cutting import CutForces
from sim.scenario import Scenario
from sim.setup.held import HeldZone
from sim.variants import judged, variants

SHAFT = "shaft_on_a_centre"
CENTRE, REST = "operations.0.tailstock", "operations.0.steady_rest"
PROGRAM, SPEED = "operations.0.program", "operations.0.gripping.speed_high"
STEADY = {"height": "230 mm", "largest_force": "6 kN", "roller_diameter": "30 mm", "roller_width": "12 mm",
          "frame_diameter": "200 mm", "frame_width": "30 mm"}  # fmt: skip
PARTING = {"name": "part off", "kind": "parting", "diameter": "64 mm", "end_diameter": "0 mm", "height": "120 mm",
           "feed_towards": "axis", "depth_of_cut": "4 mm", "feed": "0.1 mm/rev",
           "cutting_speed": "100 m/min"}  # fmt: skip
Judge = Callable[[dict[str, Any]], Assessment]


@pytest.fixture(scope="module")
def shaft(varied: Callable[..., Scenario]) -> Judge:
    kept: dict[str, Assessment] = {}

    def judge(changes: dict[str, Any]) -> Assessment:
        if repr(changes) not in kept:
            kept[repr(changes)] = assess(varied(SHAFT, changes), contact_model="foundation")
        return kept[repr(changes)]

    return judge


def one(found: Assessment, key: str) -> Verdict:
    (verdict,) = (v for v in found.verdicts if v.key == key and v.stage != "boring")
    return verdict


def test_a_centre_holds_a_far_cut_that_the_jaws_alone_do_not(shaft: Judge) -> None:
    with_it, without = shaft({}), shaft({CENTRE: None})
    assert one(without, HOLDING_FACTOR.key).status == "fail"
    held = one(with_it, HOLDING_FACTOR.key)
    assert held.status == "warn"
    assert held.value > 2.0 * one(without, HOLDING_FACTOR.key).value
    assert "only while the centre bears" in held.message
    (figures,), (alone,) = with_it.operations, without.operations
    bare = min(h.without_back_face for h in figures.holdings)
    # At the worst of all angles, not at the one that is worst with a back face.
    assert 0.9 < bare / min(h.without_back_face for h in alone.holdings) <= 1.0 + 1e-6


def test_a_centre_that_may_lose_its_force_is_judged_without_it(shaft: Judge) -> None:
    strong, weak = shaft({}), shaft({f"{CENTRE}.force_low": "100 N"})
    assert one(weak, HOLDING_FACTOR.key).value < one(strong, HOLDING_FACTOR.key).value
    assert one(weak, HOLDING_FACTOR.key).status == "fail"


def test_the_lever_law_bounds_what_centre_and_jaws_hold(shaft: Judge) -> None:
    """About the held middle: the cut's moment at its factor is no more than the centre's and the jaws' together."""
    found = shaft({})
    (figures,) = found.operations
    zone = figures.zone
    (_, strong) = prop_cases(figures.operation, zone.seat)
    for demand, held in zip(figures.demands, figures.holdings, strict=True):
        arm = zone.seat + demand.forces.height - zone.middle
        across = math.hypot(demand.forces.tangential, demand.forces.passive)
        (prop,) = strong
        lever = 0.25 * figures.grip.friction * 80.0 + zone.length / 12.0
        # What exceeds the handbooks' lever: friction around the faces, and the back face under jaws of 40 mm.
        by_jaws = held.grip * 1.5 * lever + prop.push * 40.0
        tipping = (
            held.factor * across * arm * math.cos(math.pi / 24.0) - held.factor * demand.forces.feed * 32.0
        )
        assert tipping <= prop.across * (prop.height - zone.middle) + by_jaws


def test_the_centre_pushes_a_part_without_a_seat_through_the_jaws(shaft: Judge) -> None:
    """A back face without metal over the jaws' land: friction carries the push and all cuts towards the chuck."""
    outline = [["0 mm", "0 mm"], ["25 mm", "0 mm"], ["25 mm", "1 mm"], ["40 mm", "1 mm"], ["40 mm", "40 mm"],
               ["32 mm", "40 mm"], ["32 mm", "300 mm"], ["8 mm", "300 mm"], ["0 mm", "286.2 mm"]]  # fmt: skip
    hung = {"operations.0.workpiece.outline": outline, "operations.0.program": None}
    light = shaft({**hung, f"{CENTRE}.force_high": "4 kN"})
    strong = shaft({**hung, f"{CENTRE}.force_high": "6 kN"})
    (figures,) = strong.operations
    assert not figures.zone.stands
    needed = [found.operations[0].grip.needed_total for found in (light, strong)]
    assert needed[1] > needed[0]
    assert needed[1] > 6000.0 / figures.grip.friction
    assert one(strong, GRIP_AT_REST.key).margin < one(light, GRIP_AT_REST.key).margin


def test_a_centre_that_carries_a_cut_once_and_not_as_often_as_asked_asks_for_more(shaft: Judge) -> None:
    """It bears 600 N aside: held fewer than S_z times means that S_z cuts ask for more grip than is left."""
    weak = {f"{CENTRE}.largest_side_force": "600 N", "operations.0.program": None}
    for more, holds in (({}, False), ({"operations.0.gripping.pressure": "28 bar"}, True)):
        found = shaft({**weak, **more})
        held, times = found.operations[0].holdings[0], found.scenario.limits.holding_factor
        assert (held.factor >= times) is holds
        assert (held.grip >= times * held.asked) is holds
    assert asked_for_times(21.3e3, 56.2e3, 1.5) == pytest.approx(56.2e3 / 1.5)
    assert asked_for_times(21.3e3, 30e3, 1.5) == pytest.approx(21.3e3)


def test_the_weight_must_be_held_when_the_centre_is_gone(shaft: Judge) -> None:
    assert one(shaft({}), WEIGHT_HELD_BY_THE_JAWS.key).status == "pass"
    assert not [v for v in shaft({CENTRE: None}).verdicts if v.key == WEIGHT_HELD_BY_THE_JAWS.key]
    fast = shaft({"operations.0.gripping.pressure": "4 bar", "operations.0.gripping.speed_high": "900 rpm"})
    lost = one(fast, WEIGHT_HELD_BY_THE_JAWS.key)
    assert lost.value < one(shaft({}), WEIGHT_HELD_BY_THE_JAWS.key).value
    assert "the centre gone" in lost.message


def test_the_centres_own_limits(shaft: Judge) -> None:
    assert one(shaft({}), FORCE_OF_THE_CENTRE.key).status == "pass"
    broken = one(shaft({f"{CENTRE}.largest_force": "5 kN"}), FORCE_OF_THE_CENTRE.key)
    assert (broken.status, broken.value) == ("fail", 6.0)
    unasked = shaft({f"{CENTRE}.largest_force": None, f"{CENTRE}.largest_side_force": None})
    asked = [n.needs for n in unasked.not_judged if n.matters]
    assert {f"operations[0].tailstock.{name}" for name in ("largest_force", "largest_side_force")} <= set(
        asked
    )
    weak = shaft({f"{CENTRE}.largest_side_force": "500 N"})
    assert one(weak, HOLDING_FACTOR.key).value < one(shaft({}), HOLDING_FACTOR.key).value


def test_nothing_is_parted_off_under_the_centre(shaft: Judge) -> None:
    assert one(shaft({}), PARTING_UNDER_THE_CENTRE.key).status == "pass"
    parted = one(shaft({"operations.0.cuts": [PARTING]}), PARTING_UNDER_THE_CENTRE.key)
    assert (parted.status, parted.value) == ("fail", 1.0)


@pytest.mark.parametrize(
    ("end", "height", "force", "breaks"),
    [
        # 1/3 of 305 MPa on 8 mm bear 5.1 kN, on 9 mm 6.5 kN.
        ("8 mm", "120 mm", "6 kN", True),
        ("9 mm", "120 mm", "6 kN", False),
        ("8 mm", "120 mm", "4.9 kN", False),
        ("0 mm", "120 mm", "4.9 kN", True),
        # At 296 mm the centre's hole, 11.4 mm wide there, leaves of 14 mm a ring of 53 mm2: as much as 8.2 mm.
        ("14 mm", "296 mm", "6 kN", True),
        ("14 mm", "120 mm", "6 kN", False),
    ],
)
def test_a_groove_that_leaves_a_thin_neck_under_a_centre_counts_as_parting(
    varied: Callable[..., Scenario], end: str, height: str, force: str, *, breaks: bool
) -> None:
    groove = {**PARTING, "kind": "grooving", "end_diameter": end, "height": height}
    scenario = varied(
        SHAFT, {"operations.0.cuts": [groove], f"{CENTRE}.force_high": force, "operations.0.program": None}
    )
    found = one(assess(scenario, contact_model="foundation"), PARTING_UNDER_THE_CENTRE.key)
    assert (found.status == "fail") is breaks
    assert found.message == (
        f"{'part off' if breaks else 'no cut'} parts off what the centre presses on, or leaves it on a thin neck."
    )


def test_a_steady_rest_bears_across_and_holds_nothing_along(shaft: Judge) -> None:
    steady, alone = shaft({CENTRE: None, REST: STEADY}), shaft({CENTRE: None})
    assert one(steady, HOLDING_FACTOR.key).value > 1.5 * one(alone, HOLDING_FACTOR.key).value
    (figures,) = steady.operations
    ((prop,),) = prop_cases(figures.operation, figures.zone.seat)
    assert (prop.push, prop.across) == (0.0, pytest.approx(IN_ANY_DIRECTION * 6000.0))


def test_three_rollers_bear_in_every_direction_what_is_counted() -> None:
    """Two rollers with at most N each, by hand, in every direction between them: least N cos 30 deg."""
    turns = np.radians(np.linspace(0.0, 120.0, 241))
    # A force along t is a sum of rollers at 0 and 120 deg: solve for both, scale until the larger one is N.
    one_, other = np.sin(np.radians(120.0) - turns), np.sin(turns)
    most = math.sin(math.radians(120.0)) / np.maximum(one_, other)
    assert most.min() == pytest.approx(IN_ANY_DIRECTION, rel=1e-4)


def test_a_cut_beyond_the_steady_is_a_lever_on_the_jaws(shaft: Judge) -> None:
    """Lever law: at a beyond the steady and the jaws l before it, they bear a / l of the cut, never less than all."""
    zone = HeldZone(16.0, 18.0, 48.0, 300.0)  # held middle at 33 mm
    assert share_on_the_jaws(133.0, zone, None) == 1.0
    assert share_on_the_jaws(83.0, zone, 93.0) == 1.0
    assert share_on_the_jaws(123.0, zone, 93.0) == 1.0
    assert share_on_the_jaws(273.0, zone, 93.0) == pytest.approx(180.0 / 60.0)
    forces = CutForces(1000.0, 300.0, 400.0, 60.0, 257.0, "chuck", "turning")
    free = worst_side_load(PartWeight(80.0, 40.0), zone, [forces])
    levered = worst_side_load(PartWeight(80.0, 40.0), zone, [forces], 93.0)
    side = free.amount - 80.0
    assert levered.amount == pytest.approx(3.0 * side + 80.0)
    near = {**STEADY, "height": "75 mm"}
    near_jaws = one(shaft({CENTRE: None, REST: near}), LEAST_GRIP_OF_A_JAW.key)
    assert near_jaws.value < one(shaft({CENTRE: None}), LEAST_GRIP_OF_A_JAW.key).value


def test_cuts_keep_clear_of_centre_and_steady(shaft: Judge) -> None:
    free = one(shaft({CENTRE: None}), CUTS_CLEAR_OF_THE_JAWS.key)
    turned_at = {**STEADY, "height": "277 mm"}
    for changes in ({CENTRE: None, REST: turned_at}, {f"{CENTRE}.hole_diameter": "60 mm", f"{CENTRE}.cone_diameter":
                    "62 mm", f"{CENTRE}.body_diameter": "90 mm"}):  # fmt: skip
        met = one(shaft(changes), CUTS_CLEAR_OF_THE_JAWS.key)
        assert met.value < free.value
    assert one(shaft({CENTRE: None, REST: turned_at}), CUTS_CLEAR_OF_THE_JAWS.key).status == "fail"


def test_a_long_part_bends_by_a_beam_of_its_own(shaft: Judge) -> None:
    """By hand, 61 mm thick, on a stiff centre: more than fixed in the jaws, less than hinged on all that they yield.

    Fixed and propped F a^3 b^2 (4 L - a) / (12 E I L^3); on hinges F a^2 b^2 / (3 E I L), the jaws' share by the lever.
    """
    (figures,) = shaft({f"{CENTRE}.radial_stiffness": "100000 kN/mm"}).operations
    zone, chuck = figures.zone, shaft({}).scenario.chuck
    rigid = 210e3 * math.pi / 64.0 * 61.0**4
    tip = 300.0 - 8.0 / math.tan(math.radians(30.0)) + zone.seat
    for gives, demand in zip(figures.gives, figures.demands, strict=True):
        at = zone.seat + demand.forces.height
        a, span = at - zone.high, tip - zone.high
        fixed = a**3 * (span - a) ** 2 * (4.0 * span - a) / (12.0 * rigid * span**3)
        a, span = at - zone.middle, tip - zone.middle
        hinged = a**2 * (span - a) ** 2 / (3.0 * rigid * span)
        assert 0.8 * fixed < gives < hinged + (1.0 - a / span) ** 2 / (1.5 * chuck.radial_stiffness) + 1e-7
    soft = one(shaft({f"{CENTRE}.radial_stiffness": "5 kN/mm"}), BEND_OF_THE_PART.key)
    usual = one(shaft({}), BEND_OF_THE_PART.key)
    assert soft.value > usual.value > 0.0


def on_a_collar(radius: float, end: float) -> list[list[str]]:
    """Return the outline of a collar 80 mm wide and 40 mm high with a bar on it up to a height, mm."""
    corners = [(0, 0), (40, 0), (40, 40), (radius, 40), (radius, end), (0, end)]
    return [[f"{x} mm", f"{z} mm"] for x, z in corners]


def test_a_part_that_nothing_else_bears_bends_too(shaft: Judge) -> None:
    """A stub 8 mm thick and 70 mm long on a thick collar: F L^3 / (3 E I) by hand, and it climbs on the edge."""
    stub = on_a_collar(4, 110)
    light = {"name": "turn the stub", "diameter": "8 mm", "height": "110 mm", "depth_of_cut": "0.5 mm",
             "feed": "0.15 mm/rev", "insert": "CNMG 120404", "interrupted": False}  # fmt: skip
    found = shaft(
        {CENTRE: None, PROGRAM: None, "operations.0.workpiece.outline": stub, "operations.0.cuts": [light]}
    )
    bend, (figures,) = one(found, BEND_OF_THE_PART.key), found.operations
    by_hand = figures.demands[0].side_force * 70.0**3 / (3.0 * 210e3 * math.pi / 64.0 * 8.0**4)
    assert by_hand == pytest.approx(bend.value, rel=0.05)
    assert bend.value > 0.5
    assert bend.status == "fail"
    # Only the stress at its foot says so, too.
    failing = {v.key for v in found.verdicts if v.status == "fail"}
    assert failing == {BEND_OF_THE_PART.key, SECTION_UNDER_THE_CUT.key}


def test_a_bar_far_beyond_a_steady_rest_whips(shaft: Judge) -> None:
    """A bar 20 mm thick, 800 mm beyond the rollers, cut beside them, where all else holds.

    Built in at the rollers and free 1.8751^2 sqrt(E I / (m L^4)), any handbook of vibrations: the bar whips sooner.
    """
    bar = on_a_collar(10, 900)
    light = {"name": "turn at the rest", "diameter": "20 mm", "height": "150 mm", "depth_of_cut": "0.5 mm",
             "feed": "0.1 mm/rev", "insert": "CNMG 120404", "interrupted": False}  # fmt: skip
    rest = {**STEADY, "height": "100 mm"}
    changes = {
        CENTRE: None, PROGRAM: None, REST: rest, "operations.0.workpiece.outline": bar, "operations.0.cuts": [light],
        "operations.0.runout_limit": "0.2 mm",
    }  # fmt: skip
    built_in = 30.0 / math.pi * 1.8751**2 * math.sqrt(1000.0 * 210e3 * 10.0**2 / 4.0 / (7.85e-6 * 800.0**4))
    assert built_in == pytest.approx(1357.0, abs=2.0)
    found = shaft(changes)
    whip = one(found, WHIP_OF_THE_PART.key)
    assert 0.7 * 0.8 * built_in < whip.limit < 0.7 * built_in
    assert (whip.value, whip.status) == (1000.0, "fail")
    assert {v.key for v in found.verdicts if v.status == "fail"} == {WHIP_OF_THE_PART.key}
    assert one(shaft({**changes, SPEED: "700 rpm"}), WHIP_OF_THE_PART.key).status == "pass"
    # As far out behind the chuck, where nothing bears it, it whips as well.
    behind = [
        ["0 mm", "-800 mm"],
        ["10 mm", "-800 mm"],
        ["10 mm", "0 mm"],
        ["40 mm", "0 mm"],
        ["40 mm", "60 mm"],
        ["0 mm", "60 mm"],
    ]
    whip = one(
        shaft({CENTRE: None, PROGRAM: None, "operations.0.workpiece.outline": behind,
               "operations.0.cuts": [{**light, "diameter": "80 mm", "height": "58 mm"}]}),
        WHIP_OF_THE_PART.key,
    )  # fmt: skip
    assert 0.7 * 0.9 * built_in < whip.limit < 0.7 * built_in


def test_a_part_that_gives_way_by_more_than_the_cut_climbs_on_the_edge(shaft: Judge) -> None:
    soft = {f"{CENTRE}.radial_stiffness": "1 kN/mm"}
    heavy = {"operations.0.cuts.0.forces": {"tangential": "90 kN", "feed": "9 kN", "passive": "30 kN"}}
    assert one(shaft({**soft, **heavy}), BEND_OF_THE_PART.key).status == "fail"
    assert one(shaft({**soft, "limits.part_bend": "1 um"}), BEND_OF_THE_PART.key).status == "warn"
    assert one(shaft({f"{CENTRE}.radial_stiffness": "300 kN/mm"}), BEND_OF_THE_PART.key).status == "pass"


def test_a_program_keeps_clear_of_the_centre(shaft: Judge) -> None:
    """The holder, 32 mm from the tip to its far side, starts beside the centre's body, 10 mm beyond the part's face."""
    free, met = (
        one(shaft(changes), TOOL_CONTACT.key) for changes in ({}, {f"{CENTRE}.body_diameter": "80 mm"})
    )
    assert (free.status, met.status) == ("pass", "fail")
    assert "centre" in met.message
    (path,) = shaft({}).machining
    assert path is not None
    assert "centre" in {body.name for body in path.bodies}
    assert path.held is not None
    assert path.held.holding.factor > 1.5


@pytest.mark.parametrize("changes", [{}, {CENTRE: None, REST: STEADY}], ids=["centre", "steady rest"])
def test_variants_agree_with_the_check(
    shaft: Judge, varied: Callable[..., Scenario], changes: dict[str, Any]
) -> None:
    first = shaft(changes)
    ready = variants(first)
    other = {**changes, "operations.0.gripping.pressure": "22 bar", "operations.0.gripping.friction": 0.12}
    anew = assess(varied(SHAFT, other), contact_model="foundation")
    values = {
        "operations.0.gripping.pressure": np.array([1.9, 2.2]),
        "operations.0.gripping.friction": np.array([first.operations[0].grip.friction, 0.12]),
    }
    found = judged(ready, values)
    for row, check in enumerate((first, anew)):
        for key in (
            HOLDING_FACTOR, GRIP_AT_REST, LEAST_GRIP_OF_A_JAW, WEIGHT_HELD_BY_THE_JAWS, BEND_OF_THE_PART,
            WHIP_OF_THE_PART,
        ):  # fmt: skip
            column, mine = found.keys.index(key.key), one(check, key.key)
            assert found.value[row, column] == pytest.approx(mine.value, rel=0.02), key.key
            assert found.limit[row, column] == pytest.approx(mine.limit, rel=0.02), key.key
