"""Verdicts on the metal that is left of the jaws: what passed without it fails, by hand, and layouts see it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.metal import LIFT, wall_behind_the_face_and_limit
from sim.base.errors import ScenarioError
from sim.layouts.comparison import compare
from sim.layouts.layout import Layout
from sim.scenario import Scenario
from sim.variants import judged as variants_judged
from sim.variants import variants
from sim.variants.result import FAIL, WORDS

Judge = Callable[..., Assessment]
HUB, PLUG = "cast_hub_on_ring", "cast_hub_on_plug"
BONNET, HOUSING = "valve_bonnet_two_steps", "housing_gripped_inside"
BY_PROGRAM = "cast_hub_by_program"
FLOOR, SEAT, LOAD = "floor under the pocket", "metal at the fixture", "load on the fixture"
CORNER, BEHIND, UNDER = "corner of the part", "wall behind the face", "metal under the screw head"
NO_GROOVE = {"pockets.0.groove_width": "0 mm", "pockets.0.groove_depth": "0 mm"}
# A hub that is long enough for a pocket nearly as deep as its jaws, and a bar that reaches down.
DEEP = {
    "operations.0.workpiece.outline": [["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "60 mm"], ["40 mm", "60 mm"],
                                       ["40 mm", "90 mm"], ["20 mm", "90 mm"]],
    "operations.0.cuts.0.height": "80 mm", "operations.0.cuts.1.height": "60 mm", "boring.tool.reach": "105 mm",
    "boring.tool.bar_diameter": "32 mm", "boring.tool.functional_offset": "22 mm",
}  # fmt: skip


@pytest.fixture(scope="module")
def judge(varied: Callable[..., Scenario]) -> Judge:
    return lambda name, changes=None: assess(varied(name, changes), contact_model="foundation", advised=False)


def one(found: Assessment, name: str, stage: str | None = None) -> Verdict:
    chosen = [v for v in found.verdicts if v.name == name and stage in (None, v.stage)]
    assert len(chosen) == 1
    return chosen[0]


def failing(found: Assessment) -> set[str]:
    return {v.name for v in found.verdicts if v.status == "fail"}


def earlier(diameter: float, depth: float, direction: str = "outside") -> dict[str, Any]:
    pocket = {
        "diameter": f"{diameter} mm",
        "depth": f"{depth} mm",
        "groove_width": "0 mm",
        "groove_depth": "0 mm",
    }
    return {"soft_jaw.bored_before": [{"travel": "3 mm", "direction": direction, "pockets": [pocket]}]}


# ---------------------------------------------------------------- floor


def test_a_pocket_nearly_as_deep_as_its_jaw_fails(judge: Judge) -> None:
    """48.4 of 50 mm leave 1.6 mm; nothing else speaks against it."""
    found = judge(HUB, {**DEEP, "pockets.0.depth": "48.4 mm"})
    assert failing(found) == {FLOOR}
    assert one(found, FLOOR).value == pytest.approx(1.6)
    assert one(found, FLOOR).limit == 5.0
    assert "'rim' leaves 1.6 mm" in one(found, FLOOR).message
    assert judge(HUB, {**DEEP, "pockets.0.depth": "45 mm"}).status != "fail"


@pytest.mark.parametrize(
    ("name", "changes", "value"),
    [
        (PLUG, {"boring.fixture.height": "4.9 mm"}, 4.9),
        (HOUSING, {"boring.fixture.height": "3 mm", "boring.fixture.thickness": "20 mm"}, 3.0),
        (HUB, {"soft_jaw.screws.counterbore_depth": "45.5 mm"}, 4.5),
        (PLUG, earlier(88.0, 46.0), 4.0),
    ],
)
def test_a_floor_under_anything_else_that_is_turned_fails(
    judge: Judge, name: str, changes: dict[str, Any], value: float
) -> None:
    found = one(judge(name, changes), FLOOR)
    assert (found.status, found.value) == ("fail", pytest.approx(value))


def test_a_stated_floor_decides_and_a_laxer_one_never_passes(judge: Judge) -> None:
    deep = {**DEEP, "pockets.0.depth": "44 mm"}
    assert one(judge(HUB, {**deep, "limits.floor": "7 mm"}), FLOOR).status == "fail"
    assert one(judge(HUB, {**deep, "limits.floor": "6 mm"}), FLOOR).status == "pass"
    thin = {**DEEP, "pockets.0.depth": "48.4 mm", "limits.floor": "1 mm"}
    assert one(judge(HUB, thin), FLOOR).status == "warn"
    assert "common practice's 5 mm (limits.floor 1 mm)" in one(judge(HUB, thin), FLOOR).basis


def test_what_is_left_for_a_re_bore_keeps_the_same_floor(judge: Judge) -> None:
    from sim.setup.rebore import pocket_stock

    for floor in (5.0, 9.0):
        (stock,) = pocket_stock(judge(HUB, {"limits.floor": f"{floor} mm"}).parts)
        assert stock.deeper == pytest.approx(27.0 - floor)


def test_a_comparison_puts_a_thin_floor_last(judge: Judge) -> None:
    thin, sound = (judge(HUB, {**DEEP, "pockets.0.depth": f"{depth} mm"}) for depth in (48.4, 44.0))
    found = compare([Layout("thin", (thin,)), Layout("sound", (sound,))])
    assert found.decision.first == "sound"
    assert any("'thin' cannot be run" in reason and FLOOR in reason for reason in found.decision.reasons)


# ---------------------------------------------------------------- what presses and carries the fixture


def test_a_plug_whose_seat_was_bored_away_is_not_pressed(judge: Judge) -> None:
    """100 mm wide and 44 mm deep before: neither the seat of 92 mm nor the ledge at z = 10 mm is there."""
    found = judge(PLUG, earlier(100.0, 44.0))
    assert failing(found) == {SEAT, LOAD}
    assert one(found, SEAT).value == 0.0
    assert one(found, LOAD).value == 0.0
    assert "kN" not in one(found, LOAD).message
    assert "kN" in one(judge(PLUG), LOAD).message


def test_a_seat_that_was_there_before_warns(judge: Judge) -> None:
    found = judge(PLUG, earlier(92.0, 40.0))
    assert one(found, SEAT).status == "warn"
    assert "100\u00a0% are metal and 0\u00a0% are cut anew" in one(found, SEAT).message
    assert one(found, LOAD).status == "pass"


def test_an_outer_ring_that_the_jaws_do_not_reach_is_refused(judge: Judge) -> None:
    """At 249 mm only the corners of the jaws' outer ends are within the ring; farther out it is refused."""
    wide = {"boring.fixture.inner_diameter": "249 mm", "boring.fixture.outer_diameter": "320 mm"}
    with pytest.raises(ScenarioError, match="inner_diameter must lie between 68 and 246 mm"):
        judge(HOUSING, wide)


@pytest.mark.parametrize(
    ("name", "changes"), [(PLUG, earlier(100.0, 44.0)), (PLUG, earlier(92.0, 40.0)), (HUB, {})]
)
def test_variants_see_the_lost_seat(judge: Judge, name: str, changes: dict[str, Any]) -> None:
    found = judge(name, changes)
    many = variants_judged(variants(found), {"boring.speed": np.array([found.scenario.boring.speed, 50.0])})
    column = many.column(one(found, LOAD).key, "boring")
    assert WORDS[many.status[0, column]] == one(found, LOAD).status
    assert many.value[0, column] == pytest.approx(one(found, LOAD).value)
    if one(found, LOAD).status == "fail":
        assert many.status[1, column] == FAIL


# ---------------------------------------------------------------- lands


def test_lands_count_what_is_left(judge: Judge) -> None:
    """Of the bonnet's land, 51 to 75 mm at z = 44 mm, an old bore of 146 mm, 16.5 mm deep, leaves 2 mm."""
    name = "land between pockets"
    found = one(judge(BONNET, earlier(146.0, 16.5)), name)
    assert (found.status, found.value) == ("fail", pytest.approx(2.0, abs=0.06))
    assert one(judge(BONNET), name).value == 75.0 - 51.0
    # Of the back face beside the plug, 46 to 59 mm at z = 27 mm, one of 114 mm leaves 2 mm.
    found = one(judge(PLUG, earlier(114.0, 24.0)), "back face width")
    assert (found.status, found.value) == ("fail", pytest.approx(2.0, abs=0.06))


def test_a_land_over_a_groove_is_none(judge: Judge) -> None:
    """A groove of 20 mm below a land of 25 mm; screws farther out, so that it meets none."""
    far = {"pockets.1.groove_depth": "20 mm", "soft_jaw.screws.positions": ["45.5 mm", "74.5 mm"]}
    found = one(judge(BONNET, far), "land between pockets")
    assert found.value == pytest.approx(25.0 - 20.0)


def test_the_back_face_inside_an_outer_ring_is_judged(judge: Judge) -> None:
    """Step of 180 mm, ring's seat of 244 mm."""
    assert one(judge(HOUSING), "back face width").value == pytest.approx(0.5 * (244.0 - 180.0))


def test_a_pre_bore_wider_than_the_blanks_opening_takes_back_face(judge: Judge) -> None:
    found = judge(HUB, {"boring.passes.pre_bore_diameter": "114 mm"})
    assert failing(found) == {"back face width", "back face on metal"}
    assert not failing(judge(HUB, {"boring.passes.pre_bore_diameter": "84 mm"}))


# ---------------------------------------------------------------- walls


def test_a_thin_wall_behind_the_face_fails(judge: Judge) -> None:
    """A step turned before, 124 mm, leaves 3 mm behind a face of 59 mm, over the upper 13 of its 23 mm."""
    found = judge(PLUG, earlier(124.0, 13.0, "inside"))
    assert failing(found) == {BEHIND}
    assert one(found, BEHIND).value < 3.0


def test_the_wall_that_is_needed(judge: Judge) -> None:
    """Grip of a jaw at its lever over the back face on a plate of 50 - 22 mm: 6 F h / (b t^2) is C45's yield."""
    found = judge(HUB)
    figures, bears = found.operations[0], found.parts.jaw_material.yield_strength
    force, lever = 20_000.0, figures.zone.middle - figures.zone.seat

    def needed_for(force: float) -> float:
        return wall_behind_the_face_and_limit(10.0, force, lever, 28.0, bears)[1]

    needed = needed_for(force)
    assert 6.0 * force * lever / (28.0 * needed**2) == pytest.approx(bears)
    assert one(found, BEHIND).limit == needed_for(figures.grip.largest_per_jaw)
    assert needed_for(100.0) == 5.0  # common practice
    assert needed_for(2e5) >= math.sqrt(3.0) * 2e5 / (28.0 * bears)


def test_a_thin_seat_under_the_heads_fails(judge: Judge) -> None:
    """7 mm under M14 heads of 20.17 mm bearing (ISO 4762, dw min): preload over pi 20.17 7 mm2, yield / sqrt 3."""
    found = one(judge(HUB, {"soft_jaw.screws.counterbore_depth": "44.2 mm"}), UNDER)
    assert found.status == "fail"
    from sim.assessment.jaws import screwed_as_stated

    parts = judge(HUB).parts
    assert found.value == pytest.approx(
        screwed_as_stated(parts.scenario).preload.largest / (math.pi * 20.17 * 5.8), rel=1e-3
    )
    assert found.limit == pytest.approx(parts.jaw_material.yield_strength / math.sqrt(3.0))


def test_variants_agree_on_what_the_forces_decide(judge: Judge) -> None:
    found = judge(HUB)
    torque, pressure = np.array([100e3, 185e3]), np.array([1.0, 2.2])
    own = variants(found)
    keys = {"soft_jaw.screws.torque": torque, "operations.0.gripping.pressure": pressure}
    many = variants_judged(own, keys)
    for row in range(2):
        changes = {"soft_jaw.screws.torque": f"{torque[row]} N*mm",
                   "operations.0.gripping.pressure": f"{pressure[row]} MPa"}  # fmt: skip
        again = judge(HUB, changes)
        for name, stage in ((UNDER, "jaws"), (BEHIND, "first side")):
            column = many.column(one(again, name).key, stage)
            assert many.value[row, column] == pytest.approx(one(again, name).value)
            assert many.limit[row, column] == pytest.approx(one(again, name).limit)


# ---------------------------------------------------------------- the part's corner


def outline(chamfer: float) -> list[list[str]]:
    corners = [(20.0, 0.0), (59.0 - chamfer, 0.0), (59.0, chamfer), (59.0, 26.0), (40.0, 26.0), (40.0, 58.0),
               (20.0, 58.0)]  # fmt: skip
    return [[f"{r} mm", f"{z} mm"] for r, z in dict.fromkeys(corners)]


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({}, "pass"),
        (NO_GROOVE, "warn"),
        ({**NO_GROOVE, "operations.0.workpiece.outline": outline(0.5)}, "pass"),
        ({**NO_GROOVE, "operations.0.workpiece.outline": outline(0.2)}, "warn"),
        (
            {
                **NO_GROOVE,
                "operations.0.workpiece.outline": outline(0.5),
                "boring.tool.insert": "DCMT 11T308",
            },
            "warn",
        ),
        # a groove that is smaller than the fillet it is there for
        ({"pockets.0.groove_width": "0.4 mm", "pockets.0.groove_depth": "0.2 mm"}, "warn"),
        ({"boring.tool.insert": "DCMT 11T312"}, "warn"),
    ],
)
def test_a_sharp_corner_needs_a_groove(judge: Judge, changes: dict[str, Any], status: str) -> None:
    assert one(judge(HUB, changes), CORNER).status == status


def test_a_sharp_corner_stands_on_the_fillet(judge: Judge) -> None:
    """Against the wall it is lifted to where the fillet begins, a nose radius high, but for what is no overlap.

    The fillet is a^3 / (6 r) mm2 between there and a below: 1e-4 mm2 for 0.062 mm with a nose of 0.4 mm.
    """
    for insert, nose in (("DCMT 11T304", 0.4), ("DCMT 11T308", 0.8)):
        found = one(judge(HUB, {**NO_GROOVE, "boring.tool.insert": insert}), CORNER)
        assert found.value == pytest.approx(nose - (6.0 * nose * 1e-4) ** (1.0 / 3.0), abs=0.02)
        assert found.limit == LIFT
        assert "no relief groove" in found.message


def test_the_corner_is_judged_inside_and_by_program_too(judge: Judge) -> None:
    """The program's second tool, nose 0.4 mm, turns the groove that its first could not."""
    assert one(judge(HOUSING, NO_GROOVE), CORNER).status == "warn"
    assert one(judge(HOUSING), CORNER).status == "pass"
    assert one(judge(BY_PROGRAM), CORNER).status == "pass"
