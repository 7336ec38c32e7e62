"""The boring set-up: where the tool crosses, how fast the chuck turns at most, which fixture is advised, by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.scenario import Scenario
from sim.setup.parts import build

HUB, PLUG, HOUSING, BY_PROGRAM, STEPS = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "housing_gripped_inside",
    "cast_hub_by_program",
    "valve_bonnet_two_steps",
)
PROGRAM = Path(__file__).parents[3] / "scenarios" / "programs" / "cast_hub_jaws.nc"
Varied = Callable[..., Scenario]


def bored(varied: Varied, name: str, changes: dict[str, Any] | None = None) -> BoringFigures:
    return bore(build(varied(name, changes)))


@pytest.mark.parametrize(
    ("name", "clearance", "plane"),
    [
        (HUB, 3.0, 64.0 + 3.0),  # the ring's upper face: counterbores 22 mm deep, pins of 9 mm, 14 mm of ring
        (HUB, 8.0, 64.0 + 8.0),
        (PLUG, 3.0, 50.0 + 3.0),  # the plug lies below the jaws, which are 50 mm high
        (HOUSING, 4.0, 60.0 + 4.0),  # the outer ring too
    ],
)
def test_the_tool_crosses_over_the_highest_of_all_that_turns(
    varied: Varied, name: str, clearance: float, plane: float
) -> None:
    found = bored(varied, name, {"boring.passes": {"rapid_clearance": f"{clearance} mm"}})
    across = [m for m in found.moves if m.kind == "rapid" and m.start[0] != m.end[0] and m.start[1] > 45.0]
    assert across
    assert all(m.start[1] == m.end[1] == pytest.approx(plane) for m in across)


@pytest.mark.parametrize(
    ("pressure", "speed", "words"),
    [
        ("7 bar", "900 rpm", ""),
        ("7.1 bar", "900 rpm", ", bored with 7.0 bar at most"),
        ("7 bar", "910 rpm", ", bored with 900 rev/min at most"),
        ("9 bar", "910 rpm", ", bored with 7.0 bar and 900 rev/min at most"),
    ],
)
def test_a_ring_is_advised_with_the_limits_that_boring_goes_beyond(
    varied: Varied, pressure: str, speed: str, words: str
) -> None:
    found = bored(varied, PLUG, {"boring.pressure": pressure, "boring.speed": speed})
    assert f"for its pins){words}, or by a plug" in found.advice


def test_inside_an_outer_ring_is_advised_and_outside_a_ring_or_a_plug(varied: Varied) -> None:
    """An outer ring lies below all of the path."""
    inside, outside = bored(varied, HOUSING), bored(varied, HUB)
    assert inside.fixture is None
    assert inside.outer_ring_top is not None
    assert f"upper face lies at most {inside.outer_ring_top:.1f} mm above the serrated plane" in inside.advice
    lowest = min(z for move in inside.moves for _, z in (move.start, move.end))
    assert inside.outer_ring_top < lowest
    assert outside.outer_ring_top is None
    assert outside.fixture is not None
    assert "a ring with an inner diameter of" in outside.advice


@pytest.mark.parametrize(
    ("rough", "finish", "speed"),
    [
        ("S300", "S400", 400.0),
        ("S300", "S950", 950.0),  # faster than the scenario states
        ("S300", "S310", 310.0),  # and slower: what is written counts
        ("", "S400", 420.0),  # roughed at what the scenario states
        ("", "S430", 430.0),
        ("", "", 420.0),
    ],
)
def test_the_highest_speed_is_the_program_s_or_where_it_says_none_the_scenario_s(
    varied: Varied, tmp_path: Path, rough: str, finish: str, speed: float
) -> None:
    file = tmp_path / "jaws.nc"
    text = PROGRAM.read_text(encoding="utf-8").replace("S400", finish).replace("S300", rough)
    file.write_text(text, encoding="utf-8")
    changes = {"boring.program.file": str(file), "boring.speed": "420 rpm"}
    assert bored(varied, BY_PROGRAM, changes).highest_speed == pytest.approx(speed)


def test_blocks_that_may_be_skipped_count_with_their_speed(varied: Varied, tmp_path: Path) -> None:
    """Behind a slash the chuck turns faster, and the switch may stand either way."""
    file = tmp_path / "jaws.nc"
    text = PROGRAM.read_text(encoding="utf-8")
    line = next(one for one in text.splitlines() if "S400" in one)
    file.write_text(text.replace(line, f"{line}\n/G97 S650"), encoding="utf-8")
    assert bored(varied, BY_PROGRAM, {"boring.program.file": str(file)}).highest_speed == pytest.approx(650.0)


@pytest.mark.parametrize(
    ("name", "pocket", "diameter", "widest"),
    [
        # A plug's seat is turned through the pocket: 3 mm of back face must stay on either side, for the part to stand
        # on. In the bonnet's jaws the plug would be 78 mm wide, in the hub's 90 mm.
        (STEPS, 1, 82.0, "76.0"),
        (STEPS, 1, 84.0, None),
        (PLUG, 0, 94.0, "88.0"),
        (PLUG, 0, 98.0, None),
    ],
)
def test_no_plug_is_advised_that_leaves_the_part_nothing_to_stand_on(
    varied: Varied, name: str, pocket: int, diameter: float, widest: str | None
) -> None:
    scenario = varied(name)
    pockets = list(scenario.pockets)
    pockets[pocket] = pockets[pocket].model_copy(
        update={"diameter": diameter}
    )  # the jaws alone: no part fits it
    found = bore(build(scenario.model_copy(update={"pockets": pockets}))).fixture
    assert found is not None
    assert found.plug.fits == (widest is None)
    if widest is not None:
        assert f"leaves the part no back face; {widest} mm would" in found.plug.reason
