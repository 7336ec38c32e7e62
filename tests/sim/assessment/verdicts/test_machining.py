"""A program that machines the part: the speed of its fastest move and how its worst cut is held; made-up moves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts import machining
from sim.assessment.verdicts.machining import machining_verdicts, moves_held_verdicts
from sim.mechanics.spin import PermissibleSpeed
from sim.programs.path import Move


def judged(
    factor: float | None = 3.0,
    *,
    speeds: tuple[float, ...] = (800.0, 1500.0, 1500.0),
    machine: float = 4000.0,
    stated: float = 2000.0,
    permissible: tuple[float, float, float] = (3000.0, 2800.0, 3500.0),
) -> dict[str, Verdict]:
    moves = tuple(Move("feed", (50.0, 9.0 - k), (50.0, 8.0 - k)) for k in range(3))
    held: Any = None
    if factor is not None:
        turn = SimpleNamespace(mode="slips around", spindle_angle=0.0)
        holding = SimpleNamespace(factor=factor, grip=20e3, handbook=2.0, turn=turn)
        demand = SimpleNamespace(speed=1500.0, forces=SimpleNamespace(tangential=900.0))
        held = SimpleNamespace(holding=holding, demand=demand, move=1)
    run = SimpleNamespace(moves=moves)
    path: Any = SimpleNamespace(
        others=(), held=held, grip=SimpleNamespace(speed=np.array(speeds)), moves=moves, runs=(run,), file="",
        clearance=SimpleNamespace(depth_of_cut=np.array([1.0, 2.5, 1.0])),
    )  # fmt: skip
    figures: Any = SimpleNamespace(
        operation=SimpleNamespace(name="first side", gripping=SimpleNamespace(speed_high=stated)),
        grip=SimpleNamespace(permissible=PermissibleSpeed(*permissible)),
    )
    scenario = SimpleNamespace(
        limits=SimpleNamespace(holding_factor=1.5), machine=SimpleNamespace(speed_limit=machine)
    )
    parts: Any = SimpleNamespace(scenario=scenario)
    return {v.key: v for v in moves_held_verdicts(parts, figures, path)}


@pytest.mark.parametrize(
    ("changes", "limit"),
    [
        ({}, 2000.0),
        ({"machine": 1900.0}, 1900.0),
        ({"permissible": (1800.0, 2800.0, 3500.0)}, 1800.0),
        ({"permissible": (3000.0, 1700.0, 3500.0)}, 1700.0),
        ({"permissible": (3000.0, 2800.0, 1600.0)}, 1600.0),
        ({"stated": 1400.0}, 1400.0),
    ],
)
def test_no_move_is_faster_than_any_of_the_limits(changes: dict[str, Any], limit: float) -> None:
    found = judged(**changes)["program_speed"]
    assert (found.value, found.limit) == (1500.0, limit)
    assert found.status == ("pass" if limit >= 1500.0 else "fail")
    assert "first in move 2" in found.message


def test_what_to_do_about_a_fast_program_depends_on_the_limit() -> None:
    assert judged(stated=1400.0)["program_speed"].advice.startswith("State speed_high")
    assert judged(machine=1400.0)["program_speed"].advice == ""
    assert judged(permissible=(1450.0, 2800.0, 3500.0))["program_speed"].advice == "Use lighter jaws."


@pytest.mark.parametrize(("factor", "status"), [(1.4, "fail"), (1.6, "warn"), (2.4, "warn"), (2.6, "pass")])
def test_the_worst_move_is_held_as_often_as_is_asked_and_does_not_creep(factor: float, status: str) -> None:
    """Below 2.5 a part begins to creep (model of this project)."""
    found = judged(factor)["holding_factor_each_move"]
    assert (found.status, found.value, found.limit) == (status, factor, 1.5)
    assert "in move 2: 2.50 mm deep at 1500 rev/min, 900 N; 20.0 kN left" in found.message


def test_a_program_that_cuts_nothing_is_held() -> None:
    found = judged(None)["holding_factor_each_move"]
    assert (found.status, found.value, found.limit) == ("pass", 1.5, 1.5)


def test_without_a_program_nothing_is_asked() -> None:
    none: Any = None
    assert [*moves_held_verdicts(none, none, None), *machining_verdicts(none, none, None)] == []


def test_a_move_without_a_feed_is_taken_at_the_largest_of_the_cuts(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []
    for name in ("path_verdicts", "program_verdicts", "bar_verdicts", "_held"):
        monkeypatch.setattr(machining, name, lambda *_, **__: [])
    monkeypatch.setattr(machining, "nose_verdicts", lambda _path, _stage, feed: asked.append(feed) or [])
    cuts = tuple(SimpleNamespace(feed=feed) for feed in (0.1, 0.3, 0.2))
    figures: Any = SimpleNamespace(operation=SimpleNamespace(name="first side", cuts=cuts))
    path: Any = SimpleNamespace(others=())
    assert list(machining_verdicts(figures, figures, path)) == []
    assert asked == [0.3]
