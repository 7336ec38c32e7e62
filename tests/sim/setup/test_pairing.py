"""Which friction holds a part: stated, or by its materials and the surface that is gripped; never taken in silence.

Values are those of the table as numbers: cast iron on smooth steel, turned 0.08, raw 0.112, ground 0.048.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import refuse_impossible
from sim.setup.pairing import it13, pairing_of

HUB, BONNET = "cast_hub_on_ring", "valve_bonnet_two_steps"
Varied = Callable[..., Scenario]
TURNED = "cast iron on steel, smooth jaw, turned part"


@pytest.fixture
def told(scenario_file: Callable[[str], Any]) -> Callable[..., Scenario]:
    """The hub as it stands, with what is said of its surface replaced; None leaves it out."""

    def of(surface: str | None, pairing: str | None, **more: Any) -> Scenario:
        path = scenario_file(HUB)
        tables = full_tables(path)
        operation = tables["operations"][0]
        for table, key, value in (
            (operation["workpiece"], "gripped_surface", surface),
            (operation["gripping"], "pairing", pairing),
        ):
            table.pop(key, None)
            if value is not None:
                table[key] = value
        operation["workpiece"] |= more.pop("workpiece", {})
        operation |= more
        scenario = checked(tables, path)
        refuse_impossible(scenario)
        return scenario

    return of


def test_a_friction_that_nobody_states_is_asked_for(told: Callable[..., Scenario]) -> None:
    """Raw bar, nothing said: once 'steel on steel, turned part' was taken for it without a word."""
    with pytest.raises(
        ScenarioError, match=r"operations\[0\]\.gripping\.pairing must be stated, or follow .*raw"
    ):
        told(None, None)


@pytest.mark.parametrize(("surface", "low"), [("turned", 0.08), ("ground", 0.048), ("raw", 0.112)])
def test_it_follows_from_the_surface(told: Callable[..., Scenario], surface: str, low: float) -> None:
    found = pairing_of(told(surface, None), 0)
    assert found.low == low
    assert found.name == f"cast iron on steel, smooth jaw, {surface} part"


@pytest.mark.parametrize(("surface", "said"), [("raw", "turned"), ("turned", "raw"), ("ground", "turned")])
def test_two_surfaces_are_refused_with_the_question(
    told: Callable[..., Scenario], surface: str, said: str
) -> None:
    """Raw stock with a turned part's value, and the more dangerous: a turned or ground one with more friction."""
    with pytest.raises(ScenarioError, match=rf"that of a {surface} part.*what do the jaws grip"):
        told(surface, f"cast iron on steel, smooth jaw, {said} part")


def test_what_an_earlier_operation_turned_is_turned(varied: Varied) -> None:
    scenario = varied(BONNET)
    assert scenario.operations[1].workpiece.turned_in is not None
    with pytest.raises(
        ScenarioError, match=r"operations\[1\]\.gripping\.pairing must be that of a turned part"
    ):
        varied(BONNET, {"operations.1.gripping.pairing": "steel on steel, smooth jaw, raw part"})
    with pytest.raises(ScenarioError, match=r"gripped_surface must be 'turned' or left out"):
        varied(BONNET, {"operations.1.workpiece.gripped_surface": "raw"})


@pytest.mark.parametrize(
    ("more", "sign"),
    [
        ({"workpiece": {"gripped_diameter_low": "117.4 mm"}}, "IT13"),
        ({"workpiece": {"out_of_round": "0.2 mm"}}, "out of round"),
        ({"marking_allowed": True}, "mark it"),
    ],
)
def test_signs_of_raw_stock_beside_a_turned_pairing_are_no_plain_pass(
    told: Callable[..., Scenario], more: dict[str, Any], sign: str
) -> None:
    """The raw bar with the turned value that once passed without a word: only the pairing says what is gripped."""
    found = assess(told(None, TURNED, **more), contact_model="foundation", advised=False)
    (asked,) = [one for one in found.not_judged if "turned, ground or raw" in one.question]
    assert asked.matters
    assert sign in asked.why
    assert asked in found.unasked
    known = assess(told("turned", TURNED, **more), contact_model="foundation", advised=False)
    assert not [one for one in known.not_judged if "turned, ground or raw" in one.question]


def test_a_pairing_alone_is_asked_about_and_no_more(told: Callable[..., Scenario]) -> None:
    found = assess(told(None, TURNED), contact_model="foundation", advised=False)
    (asked,) = [one for one in found.not_judged if "turned, ground or raw" in one.question]
    assert not asked.matters


def test_tolerances_of_grade_it13_are_those_of_the_standard() -> None:
    """ISO 286-1, table 1, as public tables quote it (engineersvault.blogspot.com).

    Over 18 to 30 mm 0.33 mm, 80 to 120 0.54, 120 to 180 0.63, 250 to 315 0.81.
    """
    for low, high, listed in ((18, 30, 0.33), (80, 120, 0.54), (120, 180, 0.63), (250, 315, 0.81)):
        assert it13((low * high) ** 0.5) == pytest.approx(listed, abs=0.02)
