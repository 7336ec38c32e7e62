"""Advice on pressure, speed, torque and travel: what it names lies within its own limits, and mends the verdict."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.assessment.advice import (
    Bound,
    Change,
    less_torque,
    lower_pressure,
    lower_speed,
    more_torque,
    raise_pressure,
    sentence,
)
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.scenario import Scenario

HUB, THIN, HOUSING = "cast_hub_on_ring", "thin_ring_distorts", "housing_gripped_inside"
STEADY = Bound(3.0, "the lowest that the hydraulics hold steadily")
CUTS = Bound(6.0, "what the cuts at their speed need")
CHUCK = Bound(30.0, "the chuck's pressure limit")
PRESSURE = "operations.0.gripping.pressure"
Judged = Callable[..., Assessment]


@pytest.fixture(scope="module")
def judged(varied: Callable[..., Scenario]) -> Judged:
    def judge(name: str, changes: dict[str, Any] | None = None) -> Assessment:
        return assess(varied(name, changes), contact_model="foundation")

    return judge


def one(found: Assessment, name: str) -> Verdict:
    return next(v for v in found.verdicts if v.name == name)


def test_a_pressure_below_the_lowest_steady_one_is_not_advised() -> None:
    found = lower_pressure(5.0, 1.0, [STEADY])
    assert not found.possible
    assert "about 1 bar, and 3 bar is the lowest that the hydraulics hold steadily" in found.words


def test_a_pressure_that_no_longer_holds_the_cuts_is_not_advised() -> None:
    found = lower_pressure(20.0, 4.0, [STEADY, CUTS])
    assert not found.possible
    assert "6 bar is what the cuts at their speed need" in found.words
    assert "steadily" not in found.words  # 4 bar are steady
    assert lower_pressure(20.0, 7.77, [STEADY, CUTS]) == Change(
        "lower the gripping pressure to about 7.7 bar", possible=True
    )


def test_a_pressure_at_its_limit_is_not_told_to_rise() -> None:
    found = raise_pressure(30.0, 34.0, [CHUCK])
    assert not found.possible
    assert "30 bar, is as high as the chuck's pressure limit allows already" in found.words
    found = raise_pressure(20.0, 34.0, [CHUCK, Bound(22.6, "the jaw's seat")])
    assert not found.possible
    assert "about 34 bar, and the jaw's seat allows 22.6 bar" in found.words
    assert raise_pressure(20.0, math.inf, [CHUCK]).words.count("no pressure gives that") == 1


def test_an_estimate_asks_to_judge_again() -> None:
    found = raise_pressure(10.0, 19.2, [CHUCK], unsure=[Bound(15.0, "the marking of the part")])
    assert found == Change(
        "raise the gripping pressure to 20 bar (and judge the marking of the part again there)", possible=True
    )


def named(change: Change) -> float:
    """Return the number that a change names."""
    found = re.search(r"(?:to about|to|at) ([\d.]+) ", change.words)
    assert found is not None
    return float(found[1])


PRESSURES = st.floats(0.5, 99.0)


@given(PRESSURES, PRESSURES, PRESSURES)
def test_a_lower_pressure_lies_within_its_limits(now: float, wanted: float, low: float) -> None:
    assume(abs(wanted - low) > 1e-6)  # the same but for rounding counts as the same
    found = lower_pressure(now, wanted, [Bound(low, "x")])
    assert found.possible == (low <= wanted < now)
    if found.possible:
        assert low * 0.999 <= named(found) <= wanted * 1.001


@given(PRESSURES, PRESSURES, PRESSURES)
def test_a_higher_pressure_lies_within_its_limits(now: float, wanted: float, high: float) -> None:
    assume(abs(wanted - high) > 1e-6)  # the same but for rounding counts as the same
    found = raise_pressure(now, wanted, [Bound(high, "x")])
    assert found.possible == (now < wanted <= high)
    if found.possible:
        assert wanted * 0.999 <= named(found) <= high * 1.001


@given(st.floats(60.0, 6000.0), st.floats(0.0, 6000.0), st.floats(50.0, 3000.0))
def test_a_lower_speed_lies_within_its_limits(now: float, wanted: float, low: float) -> None:
    assume(abs(wanted - low) > 1e-6)  # the same but for rounding counts as the same
    found = lower_speed(now, wanted, Bound(low, "x"))
    assert found.possible == (low <= wanted < now)
    if found.possible:
        assert low - 0.5 <= named(found) <= wanted + 0.5


def test_a_speed_below_the_operations_lowest_is_not_advised() -> None:
    low = Bound(200.0, "the operation's lowest (gripping.speed_low)")
    assert lower_speed(1000.0, 634.0, low) == Change("run at 630 rev/min or less", possible=True)
    assert "150 rev/min, and 200 rev/min is the operation's lowest" in lower_speed(1000.0, 155.0, low).words
    assert lower_speed(1000.0, 0.0, low) == Change(
        "no speed is low enough: the grip at rest is too little", possible=False
    )


def test_torque_is_raised_and_lowered_within_its_limits() -> None:
    assert more_torque(30.0, 80.2, 110.0) == Change("tighten the jaw screws to 81 N m", possible=True)
    assert not more_torque(30.0, 130.0, 110.0).possible
    assert more_torque(110.0, 130.0, 110.0).words == "the jaw screws bear no more torque"
    assert less_torque(110.9, 80.0) == Change("tighten to 110 N m or less", possible=True)
    assert "the jaws' seat needs about 120 N m" in less_torque(110.0, 119.5).words


def test_a_sentence_says_what_helps_first() -> None:
    can, cannot = Change("raise it", possible=True), Change("no speed is low", possible=False)
    assert sentence([can, cannot], "Take a lighter cut.") == "Raise it, or take a lighter cut."
    assert (
        sentence([cannot, can], "Take a lighter cut.")
        == "Raise it, or take a lighter cut. (No speed is low.)"
    )
    assert sentence([cannot], "Take a lighter cut.") == "No speed is low. Take a lighter cut."
    assert sentence([can], "") == "Raise it."
    assert sentence([cannot], "") == "No speed is low."


def test_the_thin_ring_is_not_told_to_lower_its_pressure(judged: Judged) -> None:
    """It would need a third of a bar to a bar; 3 bar is the lowest that its hydraulics hold."""
    failed = one(judged(THIN), "roundness after release")
    assert failed.status == "fail"
    assert failed.advice.startswith("No allowed pressure is low enough: it would take about ")
    assert "3 bar is the lowest that the hydraulics hold steadily" in failed.advice
    assert "wrap-around jaws" in failed.advice
    assert "lower the gripping pressure" not in failed.advice.lower()


def test_where_a_lower_pressure_does_it_it_is_named_and_does_it(judged: Judged) -> None:
    limit = 0.6 * judged(THIN).operations[0].roundness
    changes = {"operations.0.roundness_limit": f"{limit} um", "machine.lowest_pressure": "0.5 bar",
               "operations.0.cuts.0.depth_of_cut": "0.05 mm", "operations.0.cuts.0.feed": "0.03 mm/rev",
               PRESSURE: "5 bar", "operations.0.gripping.speed_high": "400 rev/min"}  # fmt: skip
    failed = one(judged(THIN, changes), "roundness after release")
    found = re.search(r"Lower the gripping pressure to about ([\d.]+) bar", failed.advice)
    assert found is not None
    again = judged(THIN, {**changes, PRESSURE: f"{found[1]} bar"})
    assert one(again, "roundness after release").status == "pass"
    assert one(again, "holding factor").status == "pass"


def test_a_setup_at_its_pressure_limit_is_not_told_to_raise_it(judged: Judged) -> None:
    changes = {PRESSURE: "12 bar", "chuck.pressure_limit": "12 bar"}
    for name in ("grip at rest", "spindle speed"):
        failed = one(judged(HUB, changes), name)
        assert failed.status == "fail"
        assert "is as high as the chuck's pressure limit allows already" in failed.advice
        assert "raise the gripping pressure" not in failed.advice.lower()


def test_a_pressure_that_breaks_another_limit_is_not_advised(judged: Judged) -> None:
    """The grip that the cuts need is more than the chuck may give."""
    changes = {PRESSURE: "12 bar", "chuck.largest_grip": "35 kN"}
    failed = one(judged(HUB, changes), "grip at rest")
    assert failed.status == "fail"
    assert "the chuck's largest grip allows" in failed.advice
    assert "raise the gripping pressure" not in failed.advice.lower()


@pytest.mark.parametrize("name", ["grip at rest", "holding factor", "spindle speed"])
def test_an_advised_pressure_mends_the_verdict(judged: Judged, name: str) -> None:
    failed = one(judged(HUB, {PRESSURE: "6 bar"}), name)
    assert failed.status == "fail"
    found = re.search(r"Raise the gripping pressure to ([\d.]+) bar", failed.advice)
    assert found is not None
    # It may still warn that the cut is held only on the back face.
    mended = one(judged(HUB, {PRESSURE: f"{found[1]} bar"}), name)
    assert mended.value >= mended.limit if mended.at_least else mended.value <= mended.limit


def test_an_advised_speed_mends_the_verdict(judged: Judged) -> None:
    for name in ("grip at rest", "spindle speed"):
        failed = one(judged(HUB, {"operations.0.gripping.speed_high": "2500 rev/min"}), name)
        found = re.search(r"[Rr]un at (\d+) rev/min or less", failed.advice)
        assert found is not None
        again = judged(HUB, {"operations.0.gripping.speed_high": f"{found[1]} rev/min"})
        assert one(again, name).status == "pass"


def test_an_advised_speed_counts_that_slower_cuts_take_more_force(judged: Judged) -> None:
    """A collar that asks for 637 rev/min: below that its cutting speed falls with the spindle's."""
    high, low = "operations.0.gripping.speed_high", {"operations.0.gripping.speed_low": "50 rev/min"}
    for name in ("grip at rest", "spindle speed"):
        assert (
            "at 600 rev/min or less" in one(judged(HUB, {PRESSURE: "11.5 bar"}), name).advice
        )  # down to 200
        failed = one(judged(HUB, {PRESSURE: "11.5 bar", **low}), name)
        assert failed.status == "fail"
        found = re.search(
            r"run at (\d+) rev/min, not much less, since slower cuts take more force", failed.advice
        )
        assert found is not None, failed.advice
        for speed, status in ((found[1], "pass"), ("60", "fail")):
            slower = {PRESSURE: "11.5 bar", **low, high: f"{speed} rev/min"}
            assert one(judged(HUB, slower), name).status == status


def test_no_speed_is_advised_where_slower_cuts_ask_for_more_than_is_gained(judged: Judged) -> None:
    """446 rev/min were enough for the forces of 637 rev/min, but at 446 rev/min it would take 340, and so on."""
    for name in ("grip at rest", "spindle speed"):
        failed = one(judged(HUB, {PRESSURE: "10.5 bar"}), name)
        assert failed.status == "fail"
        assert "rpm" not in failed.advice


def test_inside_no_lower_speed_is_advised(judged: Judged) -> None:
    """The gain by speed is not counted: standing still holds no more."""
    found = judged(HOUSING, {PRESSURE: "4 bar"})
    for name in ("grip at rest", "holding factor"):
        assert one(found, name).status == "fail"
        assert "rpm" not in one(found, name).advice


def test_an_advised_torque_closes_the_seat(judged: Judged) -> None:
    torque = "soft_jaw.screws.torque"
    failed = one(judged(HUB, {torque: "20 N*m"}), "jaw seat stays closed")
    assert failed.status == "fail"
    found = re.search(r"[Tt]ighten the jaw screws to (\d+) N m", failed.advice)
    if found is not None:
        assert one(judged(HUB, {torque: f"{found[1]} N*m"}), "jaw seat stays closed").status == "pass"
    else:
        assert "more torque does not mend it" in failed.advice.lower()


def test_less_torque_is_judged_by_the_seat(judged: Judged) -> None:
    failed = one(judged(HUB, {"soft_jaw.screws.torque": "300 N*m"}), "screw torque")
    assert failed.status == "fail"
    found = re.search(r"Tighten to (\d+) N m or less", failed.advice)
    if found is None:
        assert "the jaws' seat needs about" in failed.advice
        return
    again = judged(HUB, {"soft_jaw.screws.torque": f"{found[1]} N*m"})
    for name in ("screw torque", "pressure under the head", "jaw seat stays closed"):
        assert one(again, name).status == "pass"


def test_an_advised_boring_travel_mends_what_it_is_for(judged: Judged) -> None:
    judged_early = judged(HUB, {"boring.travel": "0.5 mm"})
    failed = [
        v for v in judged_early.verdicts if v.name in ("boring travel", "grip travel", "loading clearance")
    ]
    for verdict in (v for v in failed if v.status != "pass"):
        found = re.search(r"Bore between ([\d.]+) and ([\d.]+) mm", verdict.advice)
        assert found is not None
        for travel in (float(found[1]) + 0.01, float(found[2]) - 0.01):
            again = judged(HUB, {"boring.travel": f"{travel:.3f} mm"})
            assert (
                next(v for v in again.verdicts if (v.name, v.stage) == (verdict.name, verdict.stage)).status
                == "pass"
            )


def test_boring_speed_and_pressure_are_judged_too(judged: Judged) -> None:
    fast = {"boring.speed": "1500 rev/min", "boring.pressure": "7 bar"}
    failed = one(judged(HUB, fast), "load on the fixture")
    assert failed.status != "pass"
    found = re.search(r"Bore at (\d+) rev/min or less", failed.advice)
    assert found is not None
    assert (
        one(judged(HUB, {**fast, "boring.speed": f"{found[1]} rev/min"}), "load on the fixture").status
        == "pass"
    )
    assert "raise the boring pressure" not in failed.advice  # the ring bears no more
    ring = one(
        judged(HUB, {"boring.pressure": "9 bar", "machine.lowest_pressure": "8 bar"}), "boring ring pressure"
    )
    assert "No allowed pressure is low enough" in ring.advice
    assert "Bore against a plug" in ring.advice
