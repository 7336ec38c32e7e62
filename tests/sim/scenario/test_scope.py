"""What has no model is said in one sentence with what comes nearest, from the list that the manual prints."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.base.scope import asked_for, out_of_scope
from sim.manual import page
from sim.scenario.scenario import Scenario, checked, full_tables

# What a setter may ask for that is known not to be judged; the list is held to these words, not to itself.
ASKED = (
    "collet", "lever", "hexagon", "tapered pocket", "jaw inserts", "conical", "two jaws", "four jaws", "six jaws",
    "magnetic", "vacuum", "faceplate", "between centres", "mandrel", "diaphragm", "hard jaws", "milling", "bar feeder",
    "sub-spindle", "scroll", "creep", "chatter", "face driver", "one pocket on two diameters",
)  # fmt: skip


@pytest.mark.parametrize("words", ASKED)
def test_each_has_its_sentence(words: str) -> None:
    found = asked_for(words)
    assert found is not None
    assert found.told.count(". ") == 0
    assert found.told.endswith("(chuckscene manual scope)")


def test_words_are_whole_and_of_one_row_only() -> None:
    assert asked_for("insert", "hands", "leverage", "boring_pressure") is None
    words = [word for row in out_of_scope() for word in row.words]
    assert len(words) == len(set(words))
    assert all(word == word.lower() for word in words)


def test_the_manual_prints_the_whole_list() -> None:
    text = page("scope").text
    assert "<!--" not in text
    for row in out_of_scope():
        assert f"| {row.name} | {row.why} | {row.nearest} |" in text


@pytest.mark.parametrize(
    ("place", "value", "words"),
    [
        (
            ("boring", "fixture", "kind"),
            "collet",
            r'must have kind = "ring".*collets have no model.*sector jaws',
        ),
        (("operations", 0, "cuts", 0, "kind"), "milling", r"milling cutters have no model"),
        (("chuck", "kind"), "magnetic", r"magnetic and vacuum chucks have no model"),
        (("soft_jaw", "inserts"), [], r"jaw inserts have no model"),
        (("pockets", 0, "taper"), "5 deg", r"tapered pockets and conical grip have no model"),
        (("operations", 0, "gripping", "collet"), True, r"collets have no model"),
        (("chuck", "jaws"), 4, r"two that meet the part first take more.*three sector jaws"),
    ],
)
def test_a_scenario_that_asks_for_it_is_told(
    scenario_file: Callable[[str], Path], place: tuple[str | int, ...], value: Any, words: str
) -> None:
    path = scenario_file("cast_hub_on_ring")
    tables = full_tables(path)
    at: Any = tables
    for step in place[:-1]:
        at = at[step]
    at[place[-1]] = value
    with pytest.raises(ScenarioError, match=words):
        checked(tables, path)


def test_a_slip_of_a_key_is_no_such_thing(varied: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError) as refused:
        varied("cast_hub_on_ring", {"operations.0.cuts.0.inserts": "CNMG 120408"})
    assert "have no model" not in str(refused.value)
