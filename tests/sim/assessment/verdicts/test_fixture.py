"""What the boring fixture is asked for: shares, units and the worst strain, by hand; made-up figures of a fixture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sim.assessment.advice import lower_speed
from sim.assessment.boring import bore
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts import fixture
from sim.assessment.verdicts.fixture_loads import SLOWEST, less_load
from sim.scenario import Scenario
from sim.setup.parts import build

RING, OUTER = "cast_hub_on_ring", "housing_gripped_inside"
Varied = Callable[..., Scenario]
Judge = Callable[[str], Assessment]


def given(found: Assessment, **figures: Any) -> dict[str, Verdict]:
    """Return the verdicts on the fixture by their keys, some of its figures replaced."""
    own = found.boring.bearing
    assert own is not None
    boring = replace(found.boring, bearing=replace(own, **figures))
    return {v.key: v for v in fixture.fixture_verdicts(found.parts, boring)}


def test_units_and_shares() -> None:
    assert fixture.boring_ring_pressure_and_limit(0.7, 0.8) == pytest.approx((7.0, 8.0))
    assert fixture.load_on_the_fixture_and_limit(-0.5, 0.3) == (0.0, 0.3)
    assert fixture.load_on_the_fixture_and_limit(0.5, 0.3) == (0.5, 0.3)
    assert fixture.fixture_gives_and_limit(0.03) == (0.03, 0.05)


@pytest.mark.parametrize(("travel", "left", "status"), [("2 mm", 4.0, "fail"), ("6 mm", 0.0, "warn")])
def test_without_a_fixture_the_stop_alone_holds_the_jaws(
    varied: Varied, travel: str, left: float, status: str
) -> None:
    """In mid-stroke jaws without a fixture run on under pressure, in the tool's way; a stroke of 6 mm."""
    changes = {"boring.fixture": {"kind": "none"}, "boring.travel": travel}
    parts = build(varied(RING, changes))
    (found,) = fixture.fixture_verdicts(parts, bore(parts))
    assert (found.key, found.status, found.value) == ("boring_fixture", status, pytest.approx(left))


@pytest.mark.parametrize("key", ["strength", "seat"])
def test_the_worst_strain_counts_and_is_told_in_its_unit(quickly_judged: Judge, key: str) -> None:
    """150 of 200 MPa is worse than 5 of 20 kN, and 30 of 20 kN worse than that: the worst is told.

    The value is worked out of load and speed, here those of the setup as it stands.
    """
    found = quickly_judged(RING)
    bearing = found.boring.bearing
    assert bearing is not None
    one = bearing.strength[0]
    stress = replace(one, what="a stress", value=150.0, allowed=200.0, unit="MPa", state="at rest")
    light = replace(one, what="a load", value=5e3, allowed=20e3, unit="N", state="at rest")
    heavy = replace(one, what="a load", value=30e3, allowed=20e3, unit="N", state="at rest")
    first = given(found, **{key: (light, stress)})[f"fixture_{key}"]
    as_it_stands = max(strain.share for strain in (bearing.strength if key == "strength" else bearing.seat))
    assert (first.status, first.value) == ("pass", pytest.approx(as_it_stands))
    assert "a stress: 150 MPa, 200 MPa are allowed" in first.message
    second = given(found, **{key: (stress, heavy)})[f"fixture_{key}"]
    assert "a load: 30.0 kN, 20.0 kN are allowed" in second.message


def test_what_a_fixture_gives_is_told_in_microns(quickly_judged: Judge) -> None:
    """0.05 mm may be given; a figure over 1 mm is out of what the forms know, and is not told."""
    found = quickly_judged(RING)
    told = {give: given(found, give=give)["fixture_gives"] for give in (0.0124, 0.0724, 0.999, 3.2)}
    assert [told[give].status for give in told] == ["pass", "warn", "warn", "warn"]
    assert "by 0.012 mm" in told[0.0124].message
    assert "by 0.072 mm" in told[0.0724].message
    assert "by 0.999 mm" in told[0.999].message
    assert "by more than 1 mm" in told[3.2].message


def test_a_lower_boring_speed_is_advised_where_what_speed_adds_is_borne(quickly_judged: Judge) -> None:
    """Asked 2.25 times of what it bears at 900 rev/min, by the square of the speed: 600 rev/min."""
    found = quickly_judged(RING)
    own = found.boring.bearing
    assert own is not None
    slower, _ = less_load(found.parts, own.load, 900.0, 5.0, lambda speed: (speed / 600.0) ** 2)
    assert slower == lower_speed(900.0, 600.0 - 1e-6, SLOWEST, "bore")
    assert len(less_load(found.parts, own.load, 500.0, 5.0, lambda speed: (speed / 600.0) ** 2)) == 1


def test_jaws_that_have_come_off_fail_and_others_that_press_less_warn(varied: Varied) -> None:
    """Jaws that close lose m r w^2 of their load: at 1100 rev/min some of it, at 3400 rev/min more than all."""
    for speed, status in (("400 rpm", "pass"), ("1000 rpm", "warn"), ("3400 rpm", "fail")):
        parts = build(varied(RING, {"boring.speed": speed, "boring.pressure": "4 bar"}))
        verdicts = {v.key: v for v in fixture.fixture_verdicts(parts, bore(parts))}
        assert verdicts["load_on_the_fixture"].status == status


def test_no_pressure_beyond_what_the_ring_takes_is_advised(varied: Varied) -> None:
    """Half of the load stays at 1000 rev/min from 6 bar on: advised where the ring takes that, and then it passes."""

    def load_left(pressure: str, ring: str) -> Verdict:
        changes = {"boring.speed": "1000 rpm", "boring.pressure": pressure, "limits.ring_pressure": ring}
        parts = build(varied(RING, changes))
        return {v.key: v for v in fixture.fixture_verdicts(parts, bore(parts))}["load_on_the_fixture"]

    assert "raise the boring pressure to 7 bar" in load_left("4 bar", "8 bar").advice
    assert load_left("7 bar", "8 bar").status == "pass"
    assert "raise" not in load_left("4 bar", "4.5 bar").advice


@pytest.mark.parametrize(("diameter", "status"), [("16.4 mm", "pass"), ("21 mm", "pass"), ("12 mm", "fail")])
def test_a_pin_fills_its_counterbore(varied: Varied, diameter: str, status: str) -> None:
    parts = build(varied(RING, {"boring.fixture.pin_diameter": diameter}))
    verdicts = {v.key: v for v in fixture.fixture_verdicts(parts, bore(parts))}
    fit = verdicts["pin_fit"]
    assert (fit.value, fit.status) == (pytest.approx(float(diameter.split()[0])), status)
    assert fit.limit < 22.0


@pytest.mark.parametrize(("pressure", "status"), [("7 bar", "pass"), ("8 bar", "warn"), ("12 bar", "fail")])
def test_a_ring_takes_so_much_pressure(varied: Varied, pressure: str, status: str) -> None:
    parts = build(varied(RING, {"boring.pressure": pressure}))
    verdicts = {v.key: v for v in fixture.fixture_verdicts(parts, bore(parts))}
    assert verdicts["boring_ring_pressure"].status == status
