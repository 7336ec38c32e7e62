"""Changes of single fields: values read as TOML or as text, places that do not exist refused in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.scenario.changes import changed, changes
from sim.setup.loading import load


def test_values() -> None:
    found = changes(["soft_jaw.height=70 mm", " a.b = 3", "c=[1, 2]", "d=true", 'e="x = y"'])
    assert found == {"soft_jaw.height": "70 mm", "a.b": 3, "c": [1, 2], "d": True, "e": "x = y"}


@pytest.mark.parametrize("text", ["soft_jaw.height", "=70 mm", "soft_jaw.height=", " = "])
def test_a_change_needs_field_and_value(text: str) -> None:
    with pytest.raises(ScenarioError, match="must be field=value"):
        changes([text])


def test_tables_stay_as_they_are() -> None:
    tables = {"a": {"b": [{"c": 1}]}}
    assert changed(tables, {"a.b.0.c": 2, "a.d": 3, "e.f": 4}) == {
        "a": {"b": [{"c": 2}], "d": 3},
        "e": {"f": 4},
    }
    assert tables == {"a": {"b": [{"c": 1}]}}


@pytest.mark.parametrize(
    ("field", "says"), [("a.b.1", "count from 0 to 0"), ("a.b.x", "count from 0"), ("t.u", "names no field")]
)
def test_a_place_that_does_not_exist(field: str, says: str) -> None:
    with pytest.raises(ScenarioError, match=says):
        changed({"a": {"b": [1]}, "t": "text"}, {field: 2})


def test_a_changed_file_is_checked_like_any_other(scenario_file: Callable[[str], Path]) -> None:
    file = scenario_file("cast_hub_on_ring")
    assert load(file, {"boring.travel": "2.5 mm"}).boring.travel == 2.5
    for wrong, says in (
        ({"boring.travel": "9 mm"}, "boring.travel must be at most chuck.stroke"),
        ({"boring.colour": "red"}, "boring.colour is not a key"),
        ({"pockets.4.depth": "9 mm"}, "count from 0 to 0"),
    ):
        with pytest.raises(ScenarioError, match=says) as found:
            load(file, wrong)
        assert str(found.value).startswith(str(file))
