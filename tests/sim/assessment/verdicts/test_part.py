"""The part in its pocket: what is compared with what, in which unit and which way, by hand.

Jaws that grip outside open at their top under the grip, jaws that grip inside close there; what is turned against that
is turned the other way.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts import part
from sim.assessment.verdicts.running import runout_in_the_jaws_and_limit, squareness_in_the_jaws_and_limit
from sim.contact import TaperAdvice
from sim.scenario import Scenario
from sim.setup.parts import build

HUB, HOUSING = "cast_hub_on_ring", "housing_gripped_inside"
Varied = Callable[..., Scenario]
Judge = Callable[[str], Assessment]


def with_clamping(found: Assessment, **figures: Any) -> dict[str, Verdict]:
    """Return the verdicts on the part by their keys, some of its figures replaced."""
    own = found.operations[0]
    changed = replace(own, clamping=replace(own.clamping, **figures))
    return {v.key: v for v in part.part_verdicts(found.parts, found.boring, changed)}


def test_limits_are_shown_in_the_unit_of_their_figures() -> None:
    assert part.roundness_after_release_and_limit(12.0, 0.02) == (12.0, 20.0)
    # indicated run-out is twice the distance of the axes, and what the turned surface is out of round
    assert runout_in_the_jaws_and_limit(0.01, 3.0, 0.03) == pytest.approx((23.0, 30.0))
    # 0.1 mrad over a face of 120 mm
    assert squareness_in_the_jaws_and_limit(1e-4, 120.0, 0.03) == pytest.approx((12.0, 30.0))
    # a taper either way is one
    assert part.jaw_taper_under_grip_and_limit([-4.0], 0.003) == part.jaw_taper_under_grip_and_limit(
        [4.0], 0.003
    )
    assert part.jaw_taper_under_grip_and_limit([-4.0, 1.0], 0.003) == pytest.approx((4.0, 3.0))
    # a tenth of a wall of 3 mm
    assert part.displacement_against_wall_and_limit(0.2, 3.0) == pytest.approx((0.2, 0.3))


@pytest.mark.parametrize(("first", "last", "left"), [(1.5, 4.0, 1.5), (2.0, 5.2, 0.8), (3.0, 3.0, 3.0)])
def test_the_nearer_end_of_the_stroke_counts(first: float, last: float, left: float) -> None:
    assert part.grip_travel_and_limit(first, last, 6.0, 1.0 / 6.0) == pytest.approx((left, 1.0))


@pytest.mark.parametrize(
    ("share", "status"), [(0.34, "pass"), (0.35, "warn"), (0.68, "warn"), (0.70, "fail")]
)
def test_a_part_held_on_less_than_half_of_what_is_asked_leans_out(
    varied: Varied, share: float, status: str
) -> None:
    """20 mm of 58 mm are held, 0.345: under the half of 0.70, over that of 0.68."""
    found = assess(varied(HUB, {"limits.held_share": share}), contact_model="foundation")
    (held,) = (v for v in found.verdicts if v.key == "held_length")
    assert (held.status, held.value) == (status, pytest.approx(20.0 / 58.0))


@pytest.mark.parametrize(("share", "status"), [(0.99, "pass"), (1.0, "pass"), (1.01, "fail"), (1.09, "fail")])
def test_yield_is_where_the_figures_stop_being_true(quickly_judged: Judge, share: float, status: str) -> None:
    found = with_clamping(quickly_judged(HUB), stress_share=share)["stress_against_yield"]
    assert (found.status, found.limit) == (status, 1.0)
    assert ("not true" in found.message) == (status == "fail")


@pytest.mark.parametrize(("moved", "status"), [(0.29, "pass"), (0.31, "fail")])
def test_a_tenth_of_the_wall_is_where_they_stop_too(quickly_judged: Judge, moved: float, status: str) -> None:
    found = with_clamping(quickly_judged(HUB), displacement=moved, wall=3.0)["displacement_against_wall"]
    assert found.status == status
    assert ("not true" in found.message) == (status == "fail")


@pytest.mark.parametrize(
    ("name", "diameter_um", "side"),
    [
        # gripped outside the mouth opens: turned smaller there it stands parallel
        (HUB, -9.0, "smaller"),
        # bored harder than it grips, it has closed again
        (HUB, 9.0, "larger"),
        # a step that grips inside is a diameter of the jaws' outside: it closes at the top, so it is turned larger
        (HOUSING, -9.0, "larger"),
        (HOUSING, 9.0, "smaller"),
    ],
)
def test_the_taper_is_turned_against_the_opening(
    quickly_judged: Judge, name: str, diameter_um: float, side: str
) -> None:
    taper = TaperAdvice(-1e-5, diameter_um, matters=True)
    found = with_clamping(quickly_judged(name), taper=taper)["jaw_taper_under_grip"]
    assert found.value == 9.0
    assert f"turn the pocket 9 µm {side} in diameter at its mouth than at its root" in found.message


def test_jaws_bored_without_load_open_under_the_grip(varied: Varied) -> None:
    """Whatever the direction, the grip tilts a jaw away from the part at its top: the pocket is too wide there."""
    for name, side in ((HUB, "smaller"), (HOUSING, "larger")):
        found = assess(varied(name, {"boring.fixture": {"kind": "none"}}), contact_model="foundation")
        (taper,) = (v for v in found.verdicts if v.key == "jaw_taper_under_grip")
        assert f"µm {side} in diameter at its mouth" in taper.message


def test_marking_is_the_largest_pressure_against_the_softer_sides_yield(quickly_judged: Judge) -> None:
    found = quickly_judged(HUB)
    limit = found.operations[0].yield_strength
    for peak, status in ((0.98 * limit, "pass"), (1.02 * limit, "fail")):
        marking = with_clamping(found, band_peak=peak)["marking"]
        assert (marking.value, marking.limit, marking.status) == (peak, limit, status)


def test_nothing_is_said_of_a_roundness_that_was_not_found(quickly_judged: Judge) -> None:
    found = quickly_judged(HUB)
    assert "roundness_after_release" in with_clamping(found, roundness=5.0)
    assert "roundness_after_release" not in with_clamping(found, roundness=math.inf)


def test_a_part_clear_of_the_jaws_says_so(quickly_judged: Judge) -> None:
    found = with_clamping(quickly_judged(HUB))["part_clear_of_the_jaws"]
    assert found.value <= 0.01
    assert found.message == "the part meets the jaws only in its pocket."


@pytest.mark.parametrize("beyond", [0.0, 5.0])
def test_a_part_overlaps_by_what_lies_in_the_jaw(varied: Varied, beyond: float) -> None:
    """The hub's pocket is 23 mm deep and its wall leads in over 1 mm; a rim of 70 mm radius from 20 mm up lies in it.

    3 mm of it over 11 mm of radius, less 0.3 mm at each of its free sides, where it is taken off; a little less where
    the edge is broken and as the jaws close.
    """
    rim = [["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "20 mm"], [f"{70 + beyond} mm", "20 mm"],
           [f"{70 + beyond} mm", "58 mm"], ["20 mm", "58 mm"]]  # fmt: skip
    found = assess(varied(HUB, {"operations.0.workpiece.outline": rim}), contact_model="foundation")
    (clear,) = (v for v in found.verdicts if v.key == "part_clear_of_the_jaws")
    assert clear.status == "fail"
    assert clear.value == pytest.approx((11.0 + beyond - 0.3) * 2.7, abs=1.5)


def test_swing_is_the_widest_of_chuck_jaws_and_part(varied: Varied, quickly_judged: Judge) -> None:
    """Jaws' corner on 42 + 81 mm and half of 50 mm; a chuck of 300 mm, or a part of 320 mm, turns in more."""
    own = quickly_judged(HUB)
    assert part.swing_diameter(own.parts, 0, 3.0) == pytest.approx(
        max(2.0 * math.hypot(42.0 + 81.0, 25.0), 254.0)
    )
    assert part.swing_diameter(own.parts, 0, 0.0) == pytest.approx(2.0 * math.hypot(45.0 + 81.0, 25.0))
    wide = varied(HUB, {"operations.0.workpiece.outline": [
        ["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "26 mm"], ["160 mm", "26 mm"], ["160 mm", "58 mm"],
        ["20 mm", "58 mm"]]})  # fmt: skip
    assert part.swing_diameter(build(wide), 0, 3.0) == pytest.approx(320.0)
