"""Counts are refused before anything is worked out: one sentence with what was found and what is allowed."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from typing import Any

import pytest

from sim.base import limits
from sim.base.errors import ScenarioError
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"


def ring(count: int) -> list[list[str]]:
    turn = [2.0 * math.pi * n / count for n in range(count)]
    return [[f"{60 + 5 * math.cos(a)!r} mm", f"{30 + 5 * math.sin(a)!r} mm"] for a in turn]


def many(value: dict[str, Any], count: int) -> list[dict[str, Any]]:
    return [{**value, "name": f"one {n}"} for n in range(count)]


CUT = {
    "kind": "turning", "name": "a", "diameter": "100 mm", "height": "40 mm", "depth_of_cut": "1 mm", "feed": "0.2 mm",
}  # fmt: skip
TOO_MANY: dict[str, tuple[dict[str, Any], int, str]] = {
    "corners": (
        {"operations.0.workpiece.outline": ring(limits.CORNERS.most + 1)}, limits.CORNERS.most,
        "operations[0].workpiece.outline",
    ),
    "corners of a tool": (
        {"boring.tool.head": {"outline": ring(limits.TOOL_CORNERS.most + 1)}}, limits.TOOL_CORNERS.most, "head.outline",
    ),
    "cuts": ({"operations.0.cuts": many(CUT, limits.CUTS.most + 1)}, limits.CUTS.most, "operations[0].cuts"),
    "pockets": ({"pockets": many({"height": "2 mm"}, 5000)}, limits.POCKETS.most, "pockets"),
    "operations": ({"operations": many({}, 5000)}, limits.OPERATIONS.most, "operations"),
    "grip points": (
        {"chuck.grip_points": [{"pull": f"{n} kN", "grip": "1 kN"} for n in range(1, 5000)]}, limits.GRIP_POINTS.most,
        "chuck.grip_points",
    ),
    "views": ({"views": many({}, 5000)}, limits.VIEWS.most, "views"),
    "own materials": ({"materials": many({}, 5000)}, limits.MATERIALS.most, "materials"),
    "included files": ({"include": ["a.toml"] * 5000}, limits.INCLUDED.most, "include"),
}  # fmt: skip


@pytest.mark.parametrize("case", TOO_MANY)
def test_more_than_is_taken_is_one_sentence(case: str, varied: Callable[..., Scenario]) -> None:
    changes, most, field = TOO_MANY[case]
    begin = time.process_time()
    with pytest.raises(ScenarioError, match=f"must have at most {most} items, found [0-9]+") as caught:
        varied(HUB, changes)
    assert field in str(caught.value)
    assert "\n" not in str(caught.value)
    assert time.process_time() - begin < 5.0


def test_a_long_text_is_refused_and_not_quoted_whole(varied: Callable[..., Scenario]) -> None:
    for field in ("operations.0.workpiece.material", "soft_jaw.material", "boring.tool.insert", "title"):
        with pytest.raises(ScenarioError, match=r"at most [0-9]+ characters, found 900000") as caught:
            varied(HUB, {field: "x" * 900_000})
        assert len(str(caught.value)) < 500


def test_thousands_of_unknown_keys_are_told_soon(varied: Callable[..., Scenario]) -> None:
    """Each is compared with the keys that are known, to say which may be meant."""
    begin = time.process_time()
    with pytest.raises(ScenarioError, match="not a key of a scenario"):
        varied(HUB, {"machine": {f"spede_limitt_{n}": 1 for n in range(30_000)}})
    assert time.process_time() - begin < 10.0


def test_a_program_of_too_many_moves_is_refused(
    varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    from sim.assessment.program import read_program
    from sim.setup import parts

    scenario = varied("cast_hub_by_program")
    stated = scenario.boring.program
    assert stated is not None
    built = parts.build(scenario)
    assert built.boring_text is not None
    monkeypatch.setattr("sim.assessment.program.MOVES", limits.Count("moves", 3))
    with pytest.raises(ScenarioError, match=r"must make at most 3 moves, found [0-9]+"):
        read_program(stated, "boring.program", built.boring_text, built.boring_tools, 0.0, 3500.0)
