"""No verdict vanishes in silence: what a scenario leaves out is said, and what matters is no plain pass."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.gripped_again import with_gripping
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdict import NotJudged
from sim.base.errors import ChuckSceneError
from sim.scenario import Scenario
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import refuse_impossible

Varied = Callable[..., Scenario]
HUB, BY_PROGRAM, HOUSING = "cast_hub_on_ring", "cast_hub_by_program", "housing_gripped_inside"
# As much as can be stated: earlier borings, jaws that differ, a hole through them, a part out of round, readings.
RICH: dict[str, dict[str, Any]] = {
    BY_PROGRAM: {
        "soft_jaw.bored_before": [{"travel": "3 mm", "pockets": [{"diameter": "100 mm", "depth": "10 mm"}]}],
        "soft_jaw.mass_differences": ["5 g", "0 g", "0 g"],
        "soft_jaw.serrations_off": [0, 0, 0],
        "boring.through_diameter": "86 mm",
        "operations.0.workpiece.out_of_round": "0.01 mm",
        "operations.0.back_stop": {"outer_diameter": "60 mm", "thickness": "4 mm", "height": "2 mm"},
        "chuck.tilt_stiffness": "6000 kN*m/rad",
        "chuck.grip_points": [
            {"pressure": "5 bar", "grip": "12 kN"},
            {"pressure": "30 bar", "grip": "76 kN"},
        ],
        "limits.holding_factor": 1.6,
    },
    HOUSING: {"soft_jaw.mass_differences": ["5 g", "0 g", "0 g"], "soft_jaw.serrations_off": [0, 0, 0]},
}
KEPT = {"title", "revision", "description", "name", "views", "kind", "uncertainty"}


def named(found: Assessment) -> set[tuple[str, str]]:
    return {(v.key, v.stage) for v in found.verdicts}


def asked(found: Assessment, question: str) -> NotJudged | None:
    (one,) = [n for n in found.not_judged if question in n.question] or [None]
    return one


def places(table: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key of a file's tables, lists of tables gone into."""
    items = table.items() if isinstance(table, dict) else enumerate(table)
    for key, value in items:
        if isinstance(table, dict) and key not in KEPT:
            yield (*path, key)
        if isinstance(value, dict) or (isinstance(value, list) and value and isinstance(value[0], dict)):
            yield from places(value, (*path, key))


def without(tables: dict[str, Any], path: tuple[str | int, ...]) -> dict[str, Any]:
    found = copy.deepcopy(tables)
    place: Any = found
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    return found


@pytest.mark.parametrize("name", list(RICH))
def test_what_vanishes_with_a_field_is_accounted_for(name: str, scenario_file: Callable[[str], Path]) -> None:
    """Take every field away that may be left out: each verdict that is gone then has its question.

    A verdict that failed would go in silence else; so the question matters wherever its verdict can fail.
    """
    path = scenario_file(name)
    tables = full_tables(path)
    for field, value in RICH[name].items():
        place: Any = tables
        *steps, last = field.split(".")
        for step in steps:
            place = place[int(step)] if step.isdigit() else place.setdefault(step, {})
        place[last] = value
    whole = assess(checked(tables, path), contact_model="foundation", advised=False)
    stated = {(n.question, n.stage) for n in whole.not_judged}
    left_out, vanished = 0, set()
    for place in places(tables):
        try:
            scenario = checked(without(tables, place), path)
            refuse_impossible(scenario)
            found = assess(scenario, contact_model="foundation", advised=False)
        except ChuckSceneError:
            continue  # it may not be left out
        left_out += 1
        gone = named(whole) - named(found)
        new = [n for n in found.not_judged if (n.question, n.stage) not in stated]
        for verdict, stage in gone:
            vanished.add(verdict)
            there = [n for n in new if verdict in n.verdicts and n.stage in (stage, "chuck", "jaws")]
            assert there, f"{verdict} of {stage} vanishes without {place}"
            if verdict not in ("unbalance", "back_face_width"):
                assert any(n.matters for n in there), (verdict, place)
                assert found.status != "pass"
    assert left_out > 10
    assert "largest_grip" in vanished
    if name == BY_PROGRAM:
        assert vanished >= {"depth_of_cut", "cut_below_the_part", "holding_factor_each_move", "unbalance",
                            "freshly_bored_face", "back_face_width"}  # fmt: skip


def test_all_that_matters_stated_is_a_plain_pass(assessment: Callable[[str], Assessment]) -> None:
    """Both programs, their tools' depths, new jaws, the chuck's largest grip: nothing that matters is left."""
    found = assessment(BY_PROGRAM)
    assert (found.status, found.unasked) == ("pass", ())
    assert any(
        "spindle" in n.question for n in found.not_judged
    )  # there is no such check: said, not warned of


@pytest.mark.parametrize(
    ("field", "verdict"),
    [
        ("chuck.largest_grip", "largest_grip"),
        ("operations.0.program", "holding_factor_each_move"),
        ("operations.0.program.finished_outline", "cut_below_the_part"),
        ("operations.0.program.tools.0.largest_depth_of_cut", "depth_of_cut"),
        ("boring.program.tools.1.largest_depth_of_cut", "depth_of_cut"),
        ("soft_jaw.bored_before", "freshly_bored_face"),
        ("boring.speed", None),
        ("operations.0.cuts.0.cutting_speed", None),
    ],
)
def test_one_field_less_is_no_plain_pass(
    scenario_file: Callable[[str], Path], field: str, verdict: str | None
) -> None:
    """The setup that passes plainly, less one field: it warns, and says which field."""
    path = scenario_file(BY_PROGRAM)
    tables = full_tables(path)
    if field == "boring.speed":  # without a program the table's speed is all there is
        del tables["boring"]["program"]
        tables["boring"]["tool"] = {
            "insert": "DCMT 11T304",
            "approach_angle": "93 deg",
            "bar_diameter": "25 mm",
            "reach": "100 mm",
            "functional_offset": "17 mm",
        }
    place = tuple(int(step) if step.isdigit() else step for step in field.split("."))
    scenario = checked(without(tables, place), path)
    refuse_impossible(scenario)
    found = assess(scenario, advised=False)
    assert {v.status for v in found.verdicts} == {"pass"}
    assert found.status == "warn"
    last = str(place[-1])
    (one,) = [n for n in found.unasked if last in n.needs]
    assert verdict is None or verdict in one.verdicts


def test_columns_are_no_plain_pass(quickly_judged: Callable[[str], Assessment]) -> None:
    """The quick model tells the order of magnitude: a marking of 0.8 of the yield may be one of 1.2."""
    found = quickly_judged(BY_PROGRAM)
    assert found.status == "warn"
    (one,) = found.unasked
    assert "marking" in one.verdicts
    assert one.needs == "a check without --quick"


def test_states_say_the_same(quickly_judged: Callable[[str], Assessment]) -> None:
    """Another pressure asks no more and no less."""
    found = quickly_judged(HUB)
    moved = with_gripping(states(found), {0: (2.1, 900.0)})
    assert moved.not_judged == found.not_judged
    assert moved.status == "warn"


def test_what_is_stated_is_asked(varied: Varied) -> None:
    stated = varied(
        HUB,
        {
            "soft_jaw.mass_differences": ["0 g", "0 g", "0 g"],
            "soft_jaw.serrations_off": [0, 0, 0],
            "operations.0.workpiece.out_of_round": "0.02 mm",
        },
    )
    before, after = (assess(one, contact_model="foundation", advised=False) for one in (varied(HUB), stated))
    for question in ("three jaws in balance", "gripped surface run true"):
        assert asked(before, question) is not None
        assert asked(after, question) is None
    assert list(before.not_judged) == sorted(before.not_judged, key=lambda one: not one.matters)


def test_a_spindle_that_a_turning_tool_pushes_round_is_asked_for(varied: Varied) -> None:
    """A tooth of 500, 300 and 200 N all round at 80 mm: 24.7 N m on whatever holds the spindle."""
    cut = {"name": "mill", "diameter": "80 mm", "height": "50 mm", "feed_towards": "tailstock", "depth_of_cut": "1 mm",
           "feed": "0.1 mm/rev", "cutting_speed": "120 m/min", "rotating_tool": True,
           "forces": {"tangential": "500 N", "feed": "300 N", "passive": "200 N"}}  # fmt: skip
    for cuts, told in (([cut], 1), ([{**cut, "rotating_tool": False}], 0)):
        found = assess(varied("cast_hub_on_ring", {"operations.0.cuts": cuts}), contact_model="foundation")
        asked = [one for one in found.not_judged if one.question.startswith("Is the spindle held")]
        assert len(asked) == told
        assert all(one.matters and "24.7 N m" in one.why for one in asked)
