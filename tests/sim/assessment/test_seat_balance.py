"""The jaw's seat: gaping warns, lifting fails, and the advice says where the screws stand."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.scenario import Scenario

HUB, HOUSING = "cast_hub_on_ring", "housing_gripped_inside"
TORQUE = "soft_jaw.screws.torque"


@pytest.fixture(scope="module")
def seat(varied: Callable[..., Scenario]) -> Callable[..., Verdict]:
    def judged(
        name: str, changes: dict[str, Any] | None = None, key: str = "jaw_seat_stays_closed"
    ) -> Verdict:
        found = assess(varied(name, changes), contact_model="foundation")
        return next(v for v in found.verdicts if v.key == key)

    return judged


def test_a_seat_that_gapes_warns_and_one_that_lifts_fails(seat: Callable[..., Verdict]) -> None:
    """Less and less torque on the same jaw: the preload goes with it, and so do both factors."""
    torques = (185.0, 140.0, 60.0, 30.0)
    found = [seat(HUB, {TORQUE: f"{torque} N*m"}) for torque in torques]
    assert [one.status for one in found] == ["pass", "warn", "fail", "fail"]
    assert [one.value / torque for one, torque in zip(found[:2], torques, strict=False)] == pytest.approx(
        [found[0].value / torques[0]] * 2
    )
    assert all(after.value < before.value for before, after in pairwise(found))


@pytest.mark.parametrize(("name", "end", "way"), [(HUB, "outer", "in"), (HOUSING, "inner", "out")])
def test_the_advice_names_where_the_screws_stand(
    seat: Callable[..., Verdict], varied: Callable[..., Scenario], name: str, end: str, way: str
) -> None:
    """And screws that stand the way it says do keep the seat closed for longer."""
    one = seat(name, {TORQUE: "60 N*m"})
    first, last = varied(name).soft_jaw.screws.positions
    assert (
        f"farther {way}: under the blank they stand {first:g} and {last:g} mm from its inner end"
        in one.advice
    )
    assert f"tips about its {end} end" in one.advice
    step = {"in": -1.0, "out": 1.0}[way]
    moved = [f"{first + step} mm", f"{last + step} mm"]
    assert seat(name, {TORQUE: "60 N*m", "soft_jaw.screws.positions": moved}).value > one.value


def test_the_serrations_wedge_in_the_seats_balance_and_nowhere_else(
    seat: Callable[..., Verdict],
) -> None:
    """Hardly any preload: the seat lifts, and the teeth, which only shear, say nothing of it."""
    loose = {TORQUE: "5 N*m"}
    assert seat(HUB, loose).status == "fail"
    teeth, tight = (seat(HUB, changes, "serrations") for changes in (loose, None))
    assert teeth.value == tight.value
