"""Pockets at the limits of their stated tolerances: which setups are judged, and which tolerances are refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.drawing.digest import scenario_digest
from sim.scenario import Scenario
from sim.setup.loading import refuse_impossible
from sim.setup.size_limits import limit_setups, limit_told, toleranced

Varied = Callable[..., Scenario]
DIGEST = "6f3d 9313 86eb"  # of the hub, from sheets before
HUB, TWO = "cast_hub_on_ring", "valve_bonnet_two_steps"


def within(above: str, below: str) -> dict[str, Any]:
    return {"above": above, "below": below}


def test_every_combination_of_limits_is_judged_once(varied: Varied) -> None:
    one = varied(
        TWO,
        {
            "pockets.0.diameter_tolerance": within("0.05 mm", "0 mm"),
            "pockets.1.diameter_tolerance": within("0.02 mm", "0.01 mm"),
            "pockets.1.depth_tolerance": within("0 mm", "0 mm"),
        },
    )
    assert toleranced(one) == [(0, "diameter"), (1, "diameter"), (1, "depth")]
    found = [(limit.pockets[0].diameter, limit.pockets[1].diameter) for limit in limit_setups(one)]
    assert sorted(found) == [
        pytest.approx(pair) for pair in ((150.0, 99.99), (150.0, 100.02), (150.05, 99.99), (150.05, 100.02))
    ]
    for limit in limit_setups(one):
        assert toleranced(limit) == []
        assert limit_setups(limit) == ()
        assert limit.pockets[1].depth == 34.0
    told = [limit_told(one, limit) for limit in limit_setups(one)]
    assert "flange step bored Ø150.050 mm, spigot step bored Ø99.990 mm, spigot step 34.000 mm deep" in told
    assert len(set(told)) == 4


def test_the_setup_as_stated_is_none_of_its_limits(varied: Varied) -> None:
    one = varied(HUB, {"pockets.0.diameter_tolerance": within("0.02 mm", "0 mm")})
    (limit,) = limit_setups(one)
    assert limit.pockets[0].diameter == pytest.approx(118.02)
    assert limit_setups(varied(HUB)) == ()
    assert limit_setups(varied(HUB, {"pockets.0.diameter_tolerance": within("0 mm", "0 mm")})) == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"pockets.0.depth_tolerance": within("0 mm", "23 mm")},
            r"depth_tolerance\.below must be less",
        ),
        (
            {"pockets.0.depth_tolerance": within("30 mm", "0 mm")},
            r"at the limits .*53\.000 mm deep.*must be less",
        ),
        ({"pockets.0.diameter_tolerance": within("80 mm", "0 mm")}, r"at the limits .*Ø198\.000 mm"),
    ],
)
def test_what_cannot_be_bored_at_a_limit_is_refused(
    varied: Varied, changes: dict[str, Any], said: str
) -> None:
    with pytest.raises(ScenarioError, match=said):
        refuse_impossible(varied(HUB, changes))


def test_a_tolerance_states_both_limits_and_no_negative_one(varied: Varied) -> None:
    with pytest.raises(ScenarioError, match=r"below"):
        varied(HUB, {"pockets.0.diameter_tolerance": {"above": "0.02 mm"}})
    with pytest.raises(ScenarioError, match=r"0 mm or more"):
        varied(HUB, {"pockets.0.diameter_tolerance": within("0.02 mm", "-0.01 mm")})


def test_jaws_that_were_bored_before_have_no_tolerance(varied: Varied) -> None:
    earlier = {"diameter": "100 mm", "depth": "10 mm", "diameter_tolerance": within("0.1 mm", "0 mm")}
    with pytest.raises(ScenarioError, match="diameter_tolerance"):
        varied(HUB, {"soft_jaw.bored_before": [{"travel": "3 mm", "pockets": [earlier]}]})


def test_more_than_four_tolerances_are_refused(varied: Varied) -> None:
    third = {"name": "third", "diameter": "96 mm", "depth": "36 mm"}
    all_of = {"diameter_tolerance": within("0.01 mm", "0 mm"), "depth_tolerance": within("0.1 mm", "0 mm")}
    stated = varied(TWO)
    pockets = [
        {"name": one.name, "diameter": f"{one.diameter} mm", "depth": f"{one.depth} mm", **all_of}
        for one in stated.pockets
    ]
    with pytest.raises(ScenarioError, match=r"at most 4 tolerances, .*, found 5"):
        refuse_impossible(
            varied(TWO, {"pockets": [*pockets, {**third, "depth_tolerance": all_of["depth_tolerance"]}]})
        )


def test_papers_from_before_there_were_tolerances_keep_their_digest(varied: Varied) -> None:
    """Stated, they are values like all others."""
    assert scenario_digest(varied(HUB)) == DIGEST
    stated = varied(HUB, {"pockets.0.diameter_tolerance": within("0.02 mm", "0 mm")})
    assert scenario_digest(stated) != DIGEST
