"""Pockets at the limits of their tolerances: what a verdict says there is what it says of a file that is bored so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.gripped_again import with_gripping
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdict import ORDER, Verdict
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.variants import quick_keys, variants

Varied = Callable[..., Scenario]
HUB, TWO, BY_PROGRAM, HOUSING = (
    "cast_hub_on_ring",
    "valve_bonnet_two_steps",
    "cast_hub_by_program",
    "housing_gripped_inside",
)
KEY = "pockets_at_their_limits"


def judged(varied: Varied, name: str, changes: dict[str, Any]) -> Assessment:
    return assess(varied(name, changes), contact_model="foundation")


def within(above: str, below: str, size: str = "diameter", number: int = 0) -> dict[str, Any]:
    return {f"pockets.{number}.{size}_tolerance": {"above": above, "below": below}}


def limit_verdict(found: Assessment) -> Verdict | None:
    return next((one for one in found.verdicts if one.key == KEY), None)


def statuses(found: Assessment) -> dict[tuple[str, str], str]:
    return {(one.key, one.stage): one.status for one in found.verdicts if one.key != KEY}


def worse(before: Assessment, *after: Assessment) -> set[tuple[str, str]]:
    """Which verdicts are worse in one of several setups than before, by comparing setups that were written out."""
    known = statuses(before)
    return {
        key
        for one in after
        for key, status in statuses(one).items()
        if ORDER.index(status) < ORDER.index(known.get(key, "pass"))  # type: ignore[arg-type]
    }


@pytest.mark.parametrize(
    ("name", "size", "above", "below"),
    [
        (
            HUB,
            "diameter",
            4.0,
            0.0,
        ),  # too wide a bore: no wall to the counterbores, gripped near the stroke's end
        (HUB, "diameter", 1.0, 1.2),  # no metal for another bore
        (HUB, "depth", 3.0, 0.0),  # a cut of the part reaches the jaws
        (HUB, "depth", 0.0, 15.0),  # too shallow: held on too short a length
        (HUB, "diameter", 0.004, 0.004),
        (TWO, "diameter", 0.5, 0.3),
        (HOUSING, "diameter", 0.2, 0.4),
    ],
)
def test_it_says_what_files_bored_to_the_limits_say(
    varied: Varied, name: str, size: str, above: float, below: float
) -> None:
    stated = judged(varied, name, {})
    nominal = getattr(stated.scenario.pockets[0], size)
    at = [
        judged(varied, name, {f"pockets.0.{size}": f"{value!r} mm"})
        for value in {nominal + above, nominal - below} - {nominal}
    ]
    expected = worse(stated, *at)
    found = judged(varied, name, within(f"{above} mm", f"{below} mm", size))
    one = limit_verdict(found)
    assert one is not None
    assert one.value == len(expected)
    assert one.stage == "boring"
    there = [v for other in at for v in other.verdicts if (v.key, v.stage) in expected]
    assert one.status == min((v.status for v in there), key=ORDER.index, default="pass")
    assert statuses(found) == statuses(stated)  # all others are of the pocket as drawn
    if expected:
        worst = min(there, key=lambda v: v.rank)
        assert worst.name in one.message
        assert worst.message.rstrip(".") in one.message
        assert worst.advice in one.advice


def test_no_other_verdict_finds_what_fails_at_a_limit(varied: Varied) -> None:
    """As drawn a wall stands to the counterbores, bored as wide as its tolerance allows none; nothing else tells."""
    stated = judged(varied, HUB, {})
    found = judged(varied, HUB, within("2 mm", "0 mm"))
    assert stated.status != "fail"
    assert {one.key for one in found.verdicts if one.status == "fail"} == {KEY}
    assert found.status == "fail"


def test_where_nothing_has_a_tolerance_it_is_asked(varied: Varied) -> None:
    one = judged(varied, TWO, {})
    assert limit_verdict(one) is None
    (question,) = [n for n in one.not_judged if KEY in n.verdicts and n.stage == "boring"]
    assert question.needs == "pockets[0].diameter_tolerance and pockets[1].diameter_tolerance"
    other = judged(varied, TWO, within("0.01 mm", "0 mm"))
    (question,) = [n for n in other.not_judged if KEY in n.verdicts and n.stage == "boring"]
    assert question.needs == "pockets[1].diameter_tolerance"


def test_a_program_bores_what_it_says(varied: Varied) -> None:
    """Its path stays that of the pockets as stated: that a bore comes out off is none of its mistakes."""
    found = judged(varied, BY_PROGRAM, within("0.01 mm", "0.01 mm"))
    assert len(found.at_limits) == 2
    assert all(one.boring is found.boring for one in found.at_limits)
    one = limit_verdict(found)
    assert one is not None
    assert "stock left" not in one.message


def test_another_pressure_is_judged_at_the_limits_too(varied: Varied) -> None:
    """As `check` judges a file with that pressure: nothing is carried over from another state."""
    changes = within("0.3 mm", "0.3 mm")
    before = judged(varied, HUB, changes)
    speed = before.operations[0].operation.gripping.speed_high
    for pressure in (0.7, 2.9):
        moved = with_gripping(states(before), {0: (pressure, speed)})
        written = judged(varied, HUB, {**changes, "operations.0.gripping.pressure": f"{pressure} MPa"})
        one, other = limit_verdict(moved), limit_verdict(written)
        assert one is not None
        assert other is not None
        assert (one.status, one.value, one.message) == (other.status, other.value, other.message)
    assert limit_verdict(before) is not None


def test_no_quick_variant_is_drawn_of_it(varied: Varied) -> None:
    """A variant would carry the stated answer over; studies judge each as a whole instead."""
    found = judged(varied, HUB, within("0.01 mm", "0 mm"))
    assert quick_keys(found) == ()
    with pytest.raises(ScenarioError, match="must state no diameter_tolerance"):
        variants(found)


def test_a_wider_tolerance_is_never_better(varied: Varied) -> None:
    order = []
    for share in np.linspace(0.0, 2.0, 5):
        one = limit_verdict(judged(varied, HUB, within(f"{share + 0.001} mm", f"{share + 0.001} mm")))
        assert one is not None
        order.append(ORDER.index(one.status))
    assert order == sorted(order, reverse=True)
    assert order[0] > order[-1]
