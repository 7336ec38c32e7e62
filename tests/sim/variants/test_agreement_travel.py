"""Stroke, screws, seat and fixture of many variants are, to the last bit, what the verdicts of each one say.

No contact is solved: the verdicts are those of the edited file on the solids of the file as it stands, which none of
these keys changes. Every kind of key of this half is drawn in every round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from sim.assessment.as_stated import depends, doubts
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.fixture import fixture_figures
from sim.assessment.operation import gripped
from sim.assessment.practice import with_practice
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.boring import boring_verdicts
from sim.assessment.verdicts.jaw import jaw_verdicts, seat_verdicts
from sim.assessment.verdicts.metal import metal_verdicts
from sim.assessment.verdicts.part import part_verdicts
from sim.assessment.verdicts.pockets import pocket_verdicts
from sim.scenario import Scenario
from sim.setup.parts import Parts
from sim.variants import Variants, judged, quick_keys, variants
from sim.variants.keys import stated
from sim.variants.result import WORDS

ROUNDS = 8
UNITS = {
    "soft_jaw.screws.torque": "N*mm",
    "boring.pressure": "MPa",
    "boring.speed": "rpm",
    "machine.swing_diameter": "mm",
    "machine.speed_limit": "rpm",
    "machine.lowest_pressure": "MPa",
    "chuck.marked_speed": "rpm",
    "chuck.moment_limit": "N*mm",
    "chuck.largest_grip": "N",
    "limits.loading_clearance": "mm",
    "limits.ring_pressure": "MPa",
    "limits.ring_speed": "rpm",
    "gripping.pressure": "MPa",
    "gripping.speed_low": "rpm",
    "gripping.speed_high": "rpm",
    "workpiece.gripped_diameter_low": "mm",
    "workpiece.gripped_diameter_high": "mm",
    "workpiece.out_of_round": "mm",
}
PLAIN = (
    "soft_jaw.screws.thread_friction",
    "soft_jaw.screws.head_friction",
    "limits.stroke_reserve",
    "limits.boring_load_share",
    "chuck.guideway_friction",
    "gripping.grip_loss_share",
)
CLOSED = {
    "boring travel",
    "boring ring pressure",
    "boring ring speed",
    "boring speed",
    "boring swing",
    "load on the fixture",
    "fixture strength",
    "fixture seat",
    "fixture gives",
    "guideway moment while boring",
    "largest grip while boring",
    "steady pressure",
    "one boring travel for all",
    "screw torque",
    "pressure under the head",
    "metal under the screw head",
    "unbalance",
    "jaw seat stays closed",
    "serrations",
    "loading clearance",
    "grip travel",
}


def kind(key: str) -> str:
    """Return a key without the number of its operation."""
    return key.split(".", 2)[2] if key.startswith("operations.") else key


def changes(scenario: Scenario, keys: list[str], rng: np.random.Generator) -> dict[str, str | float]:
    """Return all keys with values beside what the scenario states, as a file has them."""
    found: dict[str, str | float] = {}
    for key in keys:
        value, last = float(stated(scenario, key)), key.split(".")[-1]
        if last.startswith("gripped_diameter"):
            value += float(rng.uniform(-0.004, 0.004))
        elif last == "out_of_round":
            value = float(rng.uniform(0.0, 0.05))
        elif last in ("stroke_reserve", "grip_loss_share", "speed_low"):
            value *= float(rng.uniform(0.5, 1.0))
        elif last == "speed_limit" and scenario.machine.spindle_power:
            value *= float(rng.uniform(0.6, 1.0))  # beyond the spindle's chart it is refused
        elif last == "speed_high":
            value *= float(rng.uniform(1.0, 1.5))
        elif last == "pressure":
            value *= float(rng.uniform(0.5, 1.0))
        else:
            value *= float(rng.uniform(0.6, 1.7))
        unit = UNITS.get(kind(key))
        found[key] = value if unit is None else f"{value!r} {unit}"
    return found


def of_check(before: Assessment, scenario: Scenario) -> Iterator[Verdict]:
    """Yield the verdicts of an edited scenario on the solids of the one before, none from a contact."""
    parts = replace(before.parts, scenario=scenario)
    speed = before.boring.highest_speed if before.boring.file else scenario.boring.speed
    boring = replace(before.boring, highest_speed=speed, bearing=fixture_figures(parts, speed))
    operations = tuple(_figures(parts, old) for old in before.operations)
    yield from boring_verdicts(parts, boring, operations)
    yield from pocket_verdicts(parts, boring, operations)
    yield from jaw_verdicts(parts)
    yield from metal_verdicts(parts)
    for figures in operations:
        yield from part_verdicts(parts, boring, figures)
        yield from seat_verdicts(parts, figures)


def _figures(parts: Parts, old: OperationFigures) -> OperationFigures:
    new = gripped(parts, old.index)
    operation = parts.scenario.operations[old.index]
    return replace(old, operation=operation, travel=new.travel, grip_travel=new.grip_travel, grip=new.grip)


@pytest.fixture(scope="module")
def ready(quickly_judged: Callable[[str], Assessment]) -> Callable[[str], Variants]:
    """Variants with columns for the contact, which decides none of the verdicts looked at here."""
    return lambda name: variants(quickly_judged(name))


@pytest.mark.usefixtures("few_solutions")
@pytest.mark.parametrize(
    "name", ["cast_hub_on_ring", "cast_hub_on_plug", "housing_gripped_inside", "valve_bonnet_two_steps"]
)
def test_closed_forms_are_those_of_check(
    name: str, ready: Callable[[str], Variants], varied: Callable[..., Scenario]
) -> None:
    own, rng = ready(name), np.random.default_rng(31)
    before = own.assessment
    keys = [key for key in quick_keys(before) if kind(key) in (*UNITS, *PLAIN)]
    assert {*UNITS, *PLAIN} - {kind(key) for key in keys} <= {"chuck.largest_grip"}
    scenarios = [varied(name, changes(before.scenario, keys, rng)) for _ in range(ROUNDS)]
    found = judged(own, {key: [stated(s, key) for s in scenarios] for key in keys})
    places = {where: column for column, where in enumerate(zip(found.names, found.stages, strict=True))}
    doubted = doubts(before.verdicts, [f.operation.name for f in before.operations])
    seen = set()
    for row, scenario in enumerate(scenarios):
        for verdict in of_check(before, scenario):
            if verdict.name not in CLOSED:
                continue
            column = places[verdict.name, verdict.stage]
            seen.add(verdict.name)
            assert found.value[row, column] == verdict.value, verdict.name
            assert found.limit[row, column] == verdict.limit, verdict.name
            told = with_practice(verdict, scenario).status
            if not depends(verdict.key, verdict.stage, doubted):
                assert WORDS[found.status[row, column]] == told, verdict.name
    assert seen == CLOSED & set(found.names)
    assert len(seen) >= 15
