"""Fields by dotted key: their kind, and whether a value may stand there, as when the whole file is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.results import Assessment
from sim.base import units
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.fields import field_of
from sim.variants import quick_keys
from sim.variants.keys import stated

HUB = "cast_hub_on_ring"


def test_every_quick_key_is_a_number(assessment: Callable[[str], Assessment], scenario_name: str) -> None:
    """What is stated may stand there again, written as a file writes it."""
    found = assessment(scenario_name)
    for key in quick_keys(found):
        field = field_of(found.scenario, key)
        assert field.number, key
        assert field.stated == stated(found.scenario, key), key
        if field.stated is not None:
            assert field.refusal(field.text(field.stated)) == "", key
            if field.kind:
                assert units.read(field.text(field.stated), field.kind) == field.stated


@pytest.mark.parametrize(
    ("key", "kind", "number"),
    [
        ("soft_jaw.screws.positions.1", "length", True),
        ("soft_jaw.screws.positions", "", False),
        ("soft_jaw.material", "", False),
        ("soft_jaw.serration_index", "", True),
        ("boring.fixture.outer_diameter", "length", True),
        ("boring.fixture", "", False),
        ("boring.program", "", False),
        ("operations.0.workpiece.outline.2.1", "length", True),
        ("operations.0.cuts.1.feed", "feed", True),
        ("operations.0.gripping.friction", "", True),
    ],
)
def test_kinds(varied: Callable[..., Scenario], key: str, kind: str, number: bool) -> None:
    field = field_of(varied(HUB), key)
    assert (field.kind, field.number) == (kind, number)


@pytest.mark.parametrize(
    "key", ["chuck.strock", "pockets.3.depth", "pockets.first.depth", "boring.program.file", ""]
)
def test_no_such_field(varied: Callable[..., Scenario], key: str) -> None:
    with pytest.raises(KeyError):
        field_of(varied(HUB), key)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("chuck.stroke", "-1 mm"),
        ("chuck.stroke", "1 bar"),
        ("chuck.guideway_friction", -0.1),
        ("limits.stroke_reserve", 1.5),
        ("soft_jaw.serration_index", 0.5),
    ],
)
def test_a_refusal_reads_as_that_of_the_file(varied: Callable[..., Scenario], key: str, value: Any) -> None:
    refusal = field_of(varied(HUB), key).refusal(value)
    with pytest.raises(ScenarioError) as raised:
        varied(HUB, {key: value})
    assert refusal
    assert refusal in str(raised.value)
