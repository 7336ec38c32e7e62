"""The pockets as a set: travels found again by trying them, gaps to other steps by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.pockets import SETTING, boring_travels
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.grip_travel import band
from sim.setup.jaw_place import jaw_place

Varied = Callable[..., Scenario]
BONNET, HOUSING, HUB = "valve_bonnet_two_steps", "housing_gripped_inside", "cast_hub_on_ring"


def one(found: Assessment, name: str, stage: str | None = None) -> Verdict:
    chosen = [v for v in found.verdicts if v.name == name and stage in (None, v.stage)]
    assert len(chosen) == 1
    return chosen[0]


@pytest.mark.parametrize(("name", "operation"), [(BONNET, 0), (BONNET, 1), (HOUSING, 0), (HUB, 0)])
def test_boring_travels_are_those_that_pass(
    varied: Varied, assessment: Callable[[str], Assessment], name: str, operation: int
) -> None:
    """Try boring travels over the whole stroke: loading, reserve at the grip and at boring hold just in the range."""
    base = assessment(name)
    found = boring_travels(base.parts, base.operations[operation])
    limits, stroke = base.scenario.limits, base.scenario.chuck.stroke
    reserve = limits.stroke_reserve * stroke
    good = []
    for travel in np.arange(0.0, stroke, 0.01):
        try:
            # Without a fixture, which would have to be another one at each travel.
            scenario = varied(name, {"boring.travel": f"{travel:.3f} mm", "boring.fixture": {"kind": "none"}})
        except ScenarioError:
            continue  # the part does not even go in
        there = band(scenario, jaw_place(scenario), operation)
        if (
            there.loading_clearance >= limits.loading_clearance
            and there.first >= reserve
            and there.last <= stroke - reserve
            and reserve <= travel <= stroke - reserve
        ):
            good.append(travel)
    assert min(good) == pytest.approx(found.low, abs=0.011)
    assert max(good) == pytest.approx(found.high, abs=0.011)


def test_one_travel_for_both_steps(assessment: Callable[[str], Assessment]) -> None:
    found = assessment(BONNET)
    ranges = [boring_travels(found.parts, f) for f in found.operations]
    room = min(r.high for r in ranges) - max(r.low for r in ranges)
    assert one(found, "one boring travel for all").value == pytest.approx(room)


def test_steps_for_parts_of_other_sizes_need_two_sets(varied: Varied) -> None:
    """The flange's step turned 7 mm too large and the spigot's 0.8 mm too small: one grips late, the other early."""
    changes = {"pockets.0.diameter": "157 mm", "pockets.1.diameter": "99.2 mm"}
    found = one(assess(varied(BONNET, changes), contact_model="foundation"), "one boring travel for all")
    assert found.status == "fail"
    assert found.value < SETTING
    assert "second side" in found.advice


def test_a_single_operation_is_not_asked_for_a_common_travel(assessment: Callable[[str], Assessment]) -> None:
    assert "one boring travel for all" not in {v.name for v in assessment(HUB).verdicts}


def test_the_flange_stays_off_the_wide_step(assessment: Callable[[str], Assessment]) -> None:
    """Flange of radius 72 mm in the step of 75 mm, its underside 22 mm over the spigot's end: 4 mm over the back face.

    The jaws close by up to 0.025 mm more on the smallest spigot than they were bored at.
    """
    found = assessment(BONNET)
    gap = one(found, "clear of the other step", "second side").value
    moved = found.operations[1].travel.last - 3.0
    assert gap == pytest.approx(3.0 - moved, abs=0.003)
    assert "clear of the other step" not in {v.name for v in found.verdicts if v.stage == "first side"}


def second_side(thickness: float, radius: float, under: float) -> list[list[str]]:
    """Outline of the bonnet on its spigot: flange of a thickness and radius, `under` above the spigot's end."""
    corners = [
        (22, 0),
        (50, 0),
        (50, under),
        (radius, under),
        (radius, under + thickness),
        (22, under + thickness),
    ]
    return [[f"{r} mm", f"{z} mm"] for r, z in corners]


@pytest.mark.parametrize(
    ("radius", "under", "gap"),
    [
        (74.8, 22.0, 0.2),  # 0.2 mm off the wall
        (76.0, 22.0, 0.0),  # wider than the step
        (72.0, 18.3, 0.3),  # spigot of 18.3 mm in 18 mm of wall: 0.3 mm over the back face
    ],
)
def test_a_flange_that_fouls_the_wide_step(varied: Varied, radius: float, under: float, gap: float) -> None:
    changes = {"operations.1.workpiece.outline": second_side(17.0, radius, under)}
    found = one(
        assess(varied(BONNET, changes), contact_model="foundation"), "clear of the other step", "second side"
    )
    assert found.status == "fail"
    assert found.value == pytest.approx(gap, abs=0.04)


def test_a_pilot_that_reaches_into_the_narrow_step(varied: Varied) -> None:
    """The raw part carries a pilot of radius 49.8 mm below its flange: 0.2 mm off the spigot's step, radius 50 mm."""
    outline = [(22, -10), (49.8, -10), (49.8, 0), (75, 0), (75, 16), (53, 16), (53, 36), (22, 36)]
    changes = {"operations.0.workpiece.outline": [[f"{r} mm", f"{z} mm"] for r, z in outline]}
    found = one(
        assess(varied(BONNET, changes), contact_model="foundation"), "clear of the other step", "first side"
    )
    assert found.status == "fail"
    assert found.value < 0.2 + 1e-6


def test_reach_counts_from_the_highest_body(assessment: Callable[[str], Assessment]) -> None:
    """Ring of 14 mm on jaws, 23 mm of pocket, 1.5 mm of clearance; on a plug the jaws' face is the highest."""
    assert one(assessment(HUB), "bar reach").limit == pytest.approx(14.0 + 23.0 + 1.5, abs=0.01)
    assert one(assessment("cast_hub_on_plug"), "bar reach").limit == pytest.approx(23.0 + 1.5, abs=0.01)


def test_a_short_bar(varied: Varied) -> None:
    found = assess(varied(HUB, {"boring.tool.reach": "38 mm"}), contact_model="foundation")
    assert one(found, "bar reach").status == "fail"


def test_no_metal_for_a_re_bore(varied: Varied) -> None:
    """Half a millimetre is left beside the counterbore: a cut of 1 mm is too much."""
    found = one(
        assess(varied(HUB, {"limits.rebore": "1 mm"}), contact_model="foundation"), "metal for a re-bore"
    )
    assert found.status == "warn"
    assert found.value == pytest.approx(0.5)
