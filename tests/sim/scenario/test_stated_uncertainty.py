"""The tables of spreads: made when a file states one, and then read and told of as every other."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.uncertainty import Uncertainty

FIELD = "uncertainty.jaw_modulus"
WRONG = [
    ({"kind": "normol"}, "must have kind"),
    ({"kind": "uniform", "low": "3 GPa", "high": "2 GPa"}, "low must be at most high"),
    ({"kind": "uniform", "low": "3 GPa", "high": "2 mm"}, "found '2 mm'"),
    ({"kind": "uniform", "low": "3 GPa"}, "is missing"),
]


@pytest.mark.parametrize(("stated", "told"), WRONG)
def test_what_is_wrong_is_told_with_its_place(
    varied: Callable[..., Scenario], stated: dict[str, Any], told: str
) -> None:
    with pytest.raises(ScenarioError, match=FIELD) as found:
        varied("cast_hub_on_plug", {"uncertainty": {"jaw_modulus": stated}})
    assert told in str(found.value)


def test_what_is_stated_is_read(varied: Callable[..., Scenario]) -> None:
    stated = {"jaw_modulus": {"kind": "uniform", "low": "2 GPa", "high": "3 GPa"}}
    found = varied("cast_hub_on_plug", {"uncertainty": stated}).uncertainty
    assert found == Uncertainty.model_validate(stated)
    assert varied("cast_hub_on_plug").uncertainty is None


def test_the_schema_describes_them() -> None:
    found = Scenario.model_json_schema()
    own = Uncertainty.model_json_schema()
    assert found["properties"]["uncertainty"]["anyOf"] == [{"$ref": "#/$defs/Uncertainty"}, {"type": "null"}]
    assert found["$defs"]["Uncertainty"]["properties"] == own["properties"]
    assert own["$defs"].items() <= found["$defs"].items()


def test_a_setup_without_spreads_makes_none(scenario_file: Callable[[str], Path]) -> None:
    code = (
        f"import sys, sim; sim.load({str(scenario_file('cast_hub_on_ring'))!r})\n"
        "assert not {'sim.scenario.uncertainty', 'sim.scenario.search', 'sim.scenario.jaw_set'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)  # noqa: S603  our own words
