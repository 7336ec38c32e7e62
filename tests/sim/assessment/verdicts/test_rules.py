"""The rules: one key each, all of them listed, and what they say to depend on is what moves them."""

from __future__ import annotations

import importlib
import math
import pkgutil
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import sim.assessment.verdicts as package
from sim.assessment.gripped_again import judged_at as judged_state
from sim.assessment.not_judged import BY_CONTACT
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdicts.rule import Cause, Rule, keys
from sim.assessment.verdicts.rules import BY_KEY, RULES, depending_on, rule_of, table_rows
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.views.web import look

HUB, BY_PROGRAM, HOUSING = "cast_hub_on_ring", "cast_hub_by_program", "housing_gripped_inside"
OF_A_PATH = {
    "touch", "nearest", "cut too deep", "stock left", "worst move", "fastest move", "deepest move", "rapid move",
    "bar", "last move", "spindle", "tool change",
}  # fmt: skip
HEAD = "| verdict | asks | basis |"
# Fields that stand for a cause; each alone may move no verdict whose rule does not name the cause.
MOVED: list[tuple[Cause, str, Any]] = [
    ("pressure", "operations.0.gripping.pressure", "26 bar"),
    ("pressure", "boring.pressure", "6.5 bar"),
    ("speed", "operations.0.gripping.speed_high", "850 rpm"),
    ("speed", "boring.speed", "650 rpm"),
    ("friction", "operations.0.gripping.friction", 0.11),
    ("friction", "chuck.guideway_friction", 0.1),
    ("friction", "soft_jaw.screws.head_friction", 0.14),
    ("size", "operations.0.workpiece.gripped_diameter_low", "117.95 mm"),
    ("cut", "operations.0.cuts.0.feed", "0.21 mm/rev"),
    ("cut", "operations.0.cuts.0.depth_of_cut", "1.7 mm"),
]


def stated() -> dict[str, Rule]:
    """Every rule that a module of the package states, by where it stands."""
    found = {}
    for info in pkgutil.iter_modules(package.__path__):
        if info.name not in ("rules", "judge"):
            module = importlib.import_module(f"{package.__name__}.{info.name}")
            found |= {name: one for name, one in vars(module).items() if isinstance(one, Rule)}
    return found


def test_every_rule_is_listed_once_under_its_key() -> None:
    found = stated()
    assert {rule.key for rule in found.values()} == set(BY_KEY)
    assert len(RULES) == len(BY_KEY) == len({rule.name for rule in RULES})
    assert all(re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", key) for key in BY_KEY)
    assert all(name == rule.key.upper() for name, rule in found.items())
    assert rule_of("grip_at_rest").name == "grip at rest"
    with pytest.raises(KeyError):
        rule_of("grip at rest")


def test_every_rule_says_all_that_is_shown_of_it() -> None:
    for rule in RULES:
        assert rule.name
        assert rule.basis
        assert rule.asks[0].islower(), rule.key
        assert rule.asks.endswith("?"), rule.key
        assert "|" not in rule.name + rule.basis + rule.asks, rule.key
        known = {"", "shape", *look._BORING, *look._JAWS, *look._OPERATION, *OF_A_PATH}
        assert rule.view in known, rule.key


def test_the_manuals_table_is_made_of_the_rules(root: Path) -> None:
    """Whoever adds a rule runs `python tests/sim/manual/verdict_table.py`."""
    text = (root / "sim" / "manual" / "verdicts.md").read_text(encoding="utf-8")
    shown = text.split("<!-- verdicts -->\n")[1].split("\n<!-- /verdicts -->")[0]
    assert shown.split("\n") == table_rows()
    others = [root / "README.md", *sorted((root / "sim" / "manual").glob("*.md"))]
    assert sum(HEAD in page.read_text(encoding="utf-8") for page in others) == 1


def test_the_table_made_of_the_rules() -> None:
    rows = table_rows()
    assert rows[:2] == [HEAD, "|---|---|---|"]
    assert [row.split(" | ")[0].removeprefix("| ") for row in rows[2:]] == [rule.name for rule in RULES]


def test_a_verdict_carries_what_its_rule_says(quickly_judged: Callable[[str], Assessment]) -> None:
    found = [v for name in (BY_PROGRAM, HOUSING) for v in quickly_judged(name).verdicts]
    assert len({v.key for v in found}) > 55
    for verdict in found:
        rule = rule_of(verdict.key)
        mine = (rule.name, rule.unit, rule.at_least)
        assert (verdict.name, verdict.unit, verdict.at_least) == mine


@pytest.fixture(scope="module")
def hub(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged(HUB)


def moved(before: Assessment, after: Assessment) -> set[str]:
    mine = {(v.key, v.stage): (v.value, v.limit) for v in before.verdicts}
    return {
        v.key
        for v in after.verdicts
        if not all(
            math.isclose(a, b, rel_tol=1e-9)
            for a, b in zip(mine[v.key, v.stage], (v.value, v.limit), strict=True)
        )
    }


@pytest.mark.parametrize(("cause", "field", "value"), MOVED, ids=[m[1] for m in MOVED])
def test_what_moves_a_verdict_is_named_by_its_rule(
    varied: Callable[..., Scenario], hub: Assessment, cause: Cause, field: str, value: Any
) -> None:
    """Else a search, a window or a study would take it for fixed and carry a pass over."""
    found = moved(hub, assess(varied(HUB, {field: value}), contact_model="foundation"))
    assert found
    assert found <= depending_on(cause)


def test_the_contact_model_moves_what_says_so(
    hub: Assessment, assessment: Callable[[str], Assessment]
) -> None:
    """Between columns and finite elements: so much that columns are no plain pass."""
    assert set(BY_CONTACT) == depending_on("contact")
    found = moved(assessment(HUB), hub)
    assert found >= keys(
        *(BY_KEY[key] for key in ("marking", "roundness_after_release", "jaw_taper_under_grip"))
    )


@pytest.mark.parametrize("name", [HUB, BY_PROGRAM, HOUSING])
def test_nothing_that_pressure_or_speed_move_is_carried_over(
    quickly_judged: Callable[[str], Assessment], name: str
) -> None:
    """A verdict that variants take over from the assessment would pass at any pressure."""
    one = quickly_judged(name)
    pressure = one.operations[0].operation.gripping.pressure
    found = judged(variants(one), {"operations.0.gripping.pressure": np.array([pressure])})
    carried = {key for key, over in zip(found.keys, found.carried, strict=True) if over}
    assert carried
    assert not carried & depending_on("pressure", "speed", "friction") - keys(
        BY_KEY["friction_of_the_part_in_the_jaws"]
    )


def test_a_state_judges_all_that_its_pressure_and_speed_move(hub: Assessment) -> None:
    """Windows and searches read an operation's verdicts off its states; what is left out there is judged elsewhere.

    Steady pressure is a limit of its own in a window, forces that were measured stay as stated, and a program is judged
    with the whole setup.
    """
    stage = hub.operations[0].operation.name
    elsewhere = {"steady_pressure", "measured_forces", "holding_factor_each_move", "program_speed"}
    there = {v.key for v in hub.verdicts if v.stage == stage} & depending_on("pressure", "speed")
    found = {v.key for v in judged_state(states(hub), 0, 2.0, 900.0).verdicts}
    assert len(there) > 10
    assert there - elsewhere <= found
