"""Which values nobody has read off, and how far the verdicts hang on each: what moves is judged by whole new checks."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from sim.assessment.stages import assess
from sim.report.typical import typical_object, typical_schema
from sim.scenario import Scenario
from sim.scenario.fields import field_of
from sim.terminal.typical import end_text, fallen_text, verdict_text
from sim.uncertainty import typical
from sim.uncertainty.typical import not_read_off, ranges, rests_on

HUB = "cast_hub_on_ring"
Varied = Callable[..., Scenario]


def test_every_range_is_of_a_figure_and_spans_what_is_taken(varied: Varied) -> None:
    scenario = varied(HUB)
    for name, (least, most) in ranges().items():
        assert field_of(scenario, name).number, name
        assert 0.0 < least < 1.0 < most, name


def test_what_is_named_or_left_out_was_not_read_off(varied: Varied) -> None:
    plain = not_read_off(varied(HUB))
    assert plain["chuck.guideway_friction"] == "default"
    assert "chuck.stroke" not in plain
    named = not_read_off(varied(HUB, {"typical": ["chuck.stroke", "master_jaw"]}))
    assert named["chuck.stroke"] == named["master_jaw.length"] == "typical"
    assert "chuck.marked_speed" not in named
    read_off = not_read_off(varied(HUB, {"chuck.guideway_friction": 0.08}))
    assert "chuck.guideway_friction" not in read_off


def test_each_end_is_what_a_check_of_it_says(
    scenario_file: Callable[[str], Path], varied: Varied, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More friction grips less, less of it loads the ring more, a stroke of hundredths is refused: as in a file."""
    few = {"chuck.guideway_friction": (0.6, 1.6), "chuck.stroke": (0.01, 1.05)}
    monkeypatch.setattr(typical, "ranges", lambda: few)
    scenario = varied(HUB, {"typical": ["chuck"]})
    worst, found = rests_on(scenario_file(HUB), scenario)
    stroke, friction = found  # what is refused comes first
    assert (stroke.field, friction.field) == ("chuck.stroke", "chuck.guideway_friction")
    assert stroke.worse is stroke.low
    assert stroke.low.worst is None
    assert stroke.low.refused
    own = assess(varied(HUB, {"chuck.guideway_friction": 0.08 * 1.6}), contact_model="foundation")
    low, high = friction.low, friction.high
    assert low.worst is not None
    assert high.worst is not None
    assert high.worst.margin == min(own.verdicts, key=lambda v: v.rank).margin
    assert friction.worse is low  # more force on the ring: it fails there, and the other end only loses grip
    assert low.worst.status == "fail"
    assert high.fallen is not None
    assert high.fallen.verdict.margin < high.fallen.before
    assert worst is not None
    shown = typical_object(worst, found)
    jsonschema.validate(json.loads(json.dumps(shown)), typical_schema())
    assert end_text(stroke.low).startswith("refused: ")
    assert "margin" in verdict_text(worst)
    assert " to " in fallen_text(high)


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [(2.8, "pressure", "28 bar"), (0.3316126, "angle", "19 deg"), (6.0, "length", "6 mm"), (0.08, "", "0.08"),
     (1.5e6, "torque", "1500 N*m"), (3.3e5, "stiffness", "330 kN/mm")],
)  # fmt: skip
def test_values_are_told_in_the_units_of_plates(value: float, kind: str, text: str) -> None:
    shown: Any = typical._shown(value, kind)
    assert shown == text
