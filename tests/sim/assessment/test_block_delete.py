"""Blocks behind a slash: an operator may have them run or skipped, so a program is judged both ways."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment.boring import bore
from sim.assessment.machining import part_program
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.report.assessment import as_object
from sim.scenario import Scenario
from sim.setup import parts
from sim.variants import judged, variants
from sim.variants.result import WORDS

BY_PROGRAM = "cast_hub_by_program"
PROGRAMS = Path(__file__).parents[3] / "scenarios" / "programs"
FIELD = "operations.0.program"
Turned = Callable[..., Assessment]


@pytest.fixture
def written(varied: Callable[..., Scenario], tmp_path: Path) -> Callable[..., Scenario]:
    """Scenario whose part program is the shipped one with some of its text replaced."""

    def write(*replaced: tuple[str, str], changes: dict[str, Any] | None = None) -> Scenario:
        text = (PROGRAMS / "cast_hub_first_side.nc").read_text(encoding="utf-8")
        for old, new in replaced:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        return varied(BY_PROGRAM, {f"{FIELD}.file": str(file), **(changes or {})})

    return write


@pytest.fixture
def turned(written: Callable[..., Scenario]) -> Turned:
    def turn(*replaced: tuple[str, str], changes: dict[str, Any] | None = None) -> Assessment:
        return assess(written(*replaced, changes=changes), contact_model="foundation")

    return turn


def one(found: Assessment, name: str) -> Verdict:
    (verdict,) = (v for v in found.verdicts if (v.name, v.stage) == (name, "first side"))
    return verdict


LIMIT_SKIPPED = ("N20 G50 S1000", "/N20 G50 S1000")
TOO_LOW = ("N230 X118.4 Z-33.2\n", "N230 X118. Z-33.\n/N235 Z-36.\n")


@pytest.mark.parametrize(
    "shown", [{}, {f"{FIELD}.optional_blocks": "run"}, {f"{FIELD}.optional_blocks": "skip"}]
)
def test_a_speed_limit_behind_a_slash_is_none(turned: Turned, shown: dict[str, str]) -> None:
    """Facing down to 36 mm at 160 m/min: n = 1000 v / (pi d) where nothing limits it."""
    found = turned(LIMIT_SKIPPED, changes=shown)
    verdict = one(found, "program speed")
    assert verdict.status == "fail"
    assert verdict.value == pytest.approx(160e3 / (math.pi * 36.0))
    assert verdict.message.startswith("with blocks behind / skipped: ")
    # What is the same either way names none.
    assert one(found, "spindle turns").message == "an M3 or M4 turns the spindle under every cut."
    listed = as_object(found)["machining"][0]
    readings = {"blocks behind / run", "blocks behind / skipped"}
    assert {
        listed["optional_blocks"],
        *(way["optional_blocks"] for way in listed["other_readings"]),
    } == readings
    skipped = shown.get(f"{FIELD}.optional_blocks") == "skip"
    assert listed["optional_blocks"] == f"blocks behind / {'skipped' if skipped else 'run'}"
    assert any(note.startswith("judged in 2 ways (blocks behind / ") for note in listed["notes"])


@pytest.mark.parametrize("shown", ["run", "skip"])
def test_a_block_that_touches_when_it_is_run(turned: Turned, shown: str) -> None:
    found = turned(TOO_LOW, changes={f"{FIELD}.optional_blocks": shown})
    verdict = one(found, "tool contact")
    assert verdict.status == "fail"
    assert verdict.message.startswith("with blocks behind / run: insert touches soft jaws")
    assert "N235" in verdict.message
    assert one(turned(("N230 X118.4 Z-33.2", "N230 X118. Z-33.")), "tool contact").status == "pass"


def test_the_grip_is_asked_in_every_way(turned: Turned) -> None:
    """A deep cut behind a slash, not shown: the least holding factor and its remedies are those of that way."""
    deep = ("N80 G0 Z2.\n", "N80 G0 Z2.\n/N82 X60.\n/N84 G1 Z-8. F0.5\n/N86 G0 X90.\n/N88 Z2.\n")
    plain, found = turned(), turned(deep, changes={f"{FIELD}.optional_blocks": "skip"})
    verdict = one(found, "holding factor, each move")
    assert verdict.value < 0.7 * one(plain, "holding factor, each move").value
    assert verdict.message.startswith("with blocks behind / run: ")
    machining = found.machining[0]
    assert machining is not None
    assert machining.held is not None
    assert machining.least_held is not None
    assert machining.least_held.holding.factor == verdict.value < machining.held.holding.factor


def test_variants_agree_in_every_way(written: Callable[..., Scenario]) -> None:
    """Another pressure, judged anew and as a variant: same status, value and limit of what the program decides."""
    deep = ("N80 G0 Z2.\n", "N80 G0 Z2.\n/2N82 X60.\n/2N84 G1 Z-8. F0.4\n/2N86 G0 X90.\n/2N88 Z2.\n")
    changes = {f"{FIELD}.optional_blocks": "skip"}
    base = assess(written(LIMIT_SKIPPED, deep, changes=changes), contact_model="foundation")
    found = judged(variants(base), {"operations.0.gripping.pressure": np.array([1.95, 1.5])})
    names = list(zip(found.names, found.stages, strict=True))
    for row, pressure in enumerate(("19.5 bar", "15 bar")):
        changes |= {"operations.0.gripping.pressure": pressure}
        again = written(LIMIT_SKIPPED, deep, changes=changes)
        whole = base if row == 0 else assess(again, contact_model="foundation")
        for name in ("holding factor, each move", "program speed"):
            verdict, column = one(whole, name), names.index((name, "first side"))
            assert found.value[row, column] == pytest.approx(verdict.value, rel=0.02)
            assert found.limit[row, column] == pytest.approx(verdict.limit, rel=0.02)
            assert WORDS[found.status[row, column]] == verdict.status


def readings(scenario: Scenario) -> list[str]:
    program = part_program(parts.build(scenario), 0)
    assert program is not None
    return [way.reading for way in program.readings]


def test_each_switch_is_run_and_skipped_by_itself(written: Callable[..., Scenario]) -> None:
    """Two switches make four ways, first those in which both do the same."""
    both = ("N260 M30", "/1N252 G0 X290.\n/2N254 Z140.\nN260 M30")
    found = readings(written(both))
    assert found == [
        "blocks behind /1 and /2 run",
        "blocks behind /1 and /2 skipped",
        "blocks behind /1 run, behind /2 skipped",
        "blocks behind /2 run, behind /1 skipped",
    ]
    # A slash without a number is a switch of its own: whether it is that of /1 is left open.
    assert len(readings(written((both[0], both[1].replace("/2", "/"))))) == 4
    # What makes no difference is not judged twice.
    assert readings(written(("N260 M30", "/N255 M9\nN260 M30"))) == ["blocks behind / run"]
    assert readings(written()) == [""]


def test_more_switches_than_are_followed_are_refused(written: Callable[..., Scenario]) -> None:
    five = "".join(f"/{n}N{900 + n} G0 X30{n}.\n" for n in range(1, 6))
    with pytest.raises(ScenarioError, match=r"behind 5 different slashes \(/1, /2, /3, /4, /5\); at most 4"):
        readings(written(("N260 M30", f"{five}N260 M30")))


def test_what_cannot_be_followed_in_one_way_is_refused_with_the_way(written: Callable[..., Scenario]) -> None:
    with pytest.raises(ScenarioError, match=r"\(blocks behind / skipped\): .*cuts before a tool is called"):
        readings(written(("N30 T0303", "/N30 T0303")))
    with pytest.raises(
        ScenarioError,
        match=r"\(blocks behind / run\): program line .* word G71 must name its contour by P and Q",
    ):
        readings(written(("N80 G0 Z2.", "/G71 P1\nN80 G0 Z2.")))


def test_the_fastest_way_of_boring_loads_the_fixture(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    """The load that is left on the ring, and the room for a ring, are those of the worst way."""
    text = (PROGRAMS / "cast_hub_jaws.nc").read_text(encoding="utf-8")
    text = text.replace("N400 G97 S400 M3\n", "N400 G97 S950 M3\n/N405 S400\n")
    text = text.replace("N410 G0 X114. Z20.", "/N410 G0 X114. Z20.\nX132. Z16.\nX114.")
    file = tmp_path / "jaws.nc"
    file.write_text(text, encoding="utf-8")
    found = bore(parts.build(varied(BY_PROGRAM, {"boring.program.file": str(file)})))
    assert [way.reading for way in found.readings] == ["blocks behind / run", "blocks behind / skipped"]
    assert found.highest_speed == 950.0
    assert {way.highest_speed for way in found.readings} == {950.0}
