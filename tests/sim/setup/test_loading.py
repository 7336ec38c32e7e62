"""What is refused before anything is built, where the command line's table does not reach: both directions, bounds."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.loading import load

OUTSIDE = "cast_hub_on_ring"


def test_loaded_from_text_or_path(scenario_file: Callable[[str], Path]) -> None:
    file = scenario_file(OUTSIDE)
    assert load(str(file)) == load(file)


def test_message_names_the_file(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    file = tmp_path / "setup.toml"
    text = scenario_file(OUTSIDE).read_text(encoding="utf-8")
    file.write_text(text.replace('"19.5 bar"', '"32 bar"'), encoding="utf-8")
    with pytest.raises(ScenarioError) as found:
        load(file)
    assert str(found.value) == (
        f"{file}: operations[0].gripping.pressure must be at most 30 bar, chuck.pressure_limit, found 32 bar"
    )


def test_cuts_and_speeds_are_read_for_every_operation(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match=r"operations\[1\]\.gripping\.speed_low"):
        varied("valve_bonnet_two_steps", {"operations.1.gripping.speed_low": "1200 rpm"})


def test_directions_do_not_mix(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match="all grip outside or all inside"):
        varied("valve_bonnet_two_steps", {"operations.1.gripping.direction": "inside"})
