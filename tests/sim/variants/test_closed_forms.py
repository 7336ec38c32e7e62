"""What variants ask before the contact is solved against `check`: the same numbers, not nearly the same ones.

Each variant is read anew from the edited file; cuts of every kind, with and without speeds, are among them.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from sim.assessment import operation as checked
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.scenario import Scenario
from sim.variants.demand import demanded, friction
from sim.variants.grip import boring_rest, gripped, left_at, permissible_speed
from sim.variants.keys import Values, quick_keys, stated

VARIANTS = 8  # of each setup
# Keys by the word they end in, with the range of what they are multiplied by, and their unit in the file.
SPREAD: dict[str, tuple[float, float, str]] = {
    "guideway_friction": (0.5, 1.8, ""),
    "efficiency": (0.6, 1.0, ""),
    "piston_area": (0.6, 1.2, "mm2"),
    "largest_pull": (0.6, 1.2, "N"),
    "pressure_limit": (1.0, 1.4, "MPa"),
    "marked_speed": (0.3, 1.4, "rpm"),
    "speed_limit": (0.3, 1.4, "rpm"),
    "holding_factor": (0.7, 2.0, ""),
    "grip_factor": (0.7, 2.0, ""),
    "pressure": (0.4, 1.1, "MPa"),
    "speed_low": (0.3, 1.0, "rpm"),
    "speed_high": (1.0, 2.0, "rpm"),
    "friction": (0.5, 1.8, ""),
    "grip_loss_share": (0.5, 1.0, ""),
    "gripped_diameter_low": (0.9998, 1.0, "mm"),
    "gripped_diameter_high": (1.0, 1.0002, "mm"),
    "feed": (0.4, 2.0, "mm/rev"),
    "depth_of_cut": (0.4, 2.0, "mm"),
    "speed": (0.3, 2.0, "rpm"),
    "cutting_speed": (0.05, 2.0, "m/min"),
    "wear_factor": (1.0, 1.8, ""),
}
USUAL = {"friction": 0.15, "speed": 600.0, "cutting_speed": 120.0}  # where the file states none
AT = {"height": "58 mm", "diameter": "10 mm", "depth_of_cut": "5 mm", "feed": "0.2 mm/rev"}
ROUND = {"height": "50 mm", "diameter": "90 mm", "depth_of_cut": "2 mm", "feed": "0.25 mm/rev"}
MEASURED = {"tangential": "1200 N", "feed": "700 N", "passive": "450 N"}
CUTS: list[dict[str, Any]] = [
    {"name": "drill", "kind": "drilling", **AT, "cutting_speed": "60 m/min"},
    {"name": "live drill", "kind": "drilling", **AT, "cutting_speed": "45 m/min", "rotating_tool": True,
     "off_axis": "30 mm"},
    {"name": "drill, measured", "kind": "drilling", **AT, "forces": MEASURED},
    {"name": "turn, no speed", "kind": "turning", **ROUND},
    {"name": "turn, measured", "kind": "turning", **ROUND, "cutting_speed": "140 m/min", "forces": MEASURED},
    {"name": "back", "kind": "turning", **ROUND, "speed": "500 rpm", "feed_towards": "tailstock"},
    {"name": "face", "kind": "facing", **ROUND, "cutting_speed": "15 m/min", "feed_towards": "axis"},
]  # fmt: skip
SETUPS: dict[str, tuple[str, dict[str, Any]]] = {
    "every cut": ("cast_hub_on_plug", {"operations.0.cuts": CUTS}),
    "chuck data": ("cast_hub_gauged", {}),
    "inside": ("housing_gripped_inside", {}),
    "two operations": ("valve_bonnet_two_steps", {}),
}
Read = Callable[..., Scenario]


@pytest.fixture(scope="module")
def setup(varied: Read) -> Callable[[str], Assessment]:
    """Judge by columns: no closed form asks the contact."""

    def judged(name: str) -> Assessment:
        file, changes = SETUPS[name]
        return assess(varied(file, copy.deepcopy(changes)), contact_model="foundation", advised=False)

    return cache(judged)


def drawn(assessment: Assessment, rng: np.random.Generator, share: float) -> dict[str, str | float]:
    """Return about a share of the keys that the closed forms look at, with values as a file states them."""
    found: dict[str, str | float] = {}
    for key in quick_keys(assessment):
        last = key.split(".")[-1]
        if last not in SPREAD or key.startswith(("machine.pressure", "boring.speed")) or rng.random() > share:
            continue
        low, high, unit = SPREAD[last]
        value = float(stated(assessment.scenario, key) or USUAL[last]) * float(rng.uniform(low, high))
        found[key] = f"{value!r} {unit}" if unit else value
    return found


@pytest.mark.parametrize("name", SETUPS)
def test_closed_forms_are_those_of_check(name: str, setup: Callable[[str], Assessment], varied: Read) -> None:
    own, rng = setup(name), np.random.default_rng(20261)
    seen: set[str] = set()
    for number in range(VARIANTS):
        text = drawn(own, rng, 0.5 if number else 1.0)
        seen |= {key.split(".")[-1] for key in text}
        file, changes = SETUPS[name]
        scenario = varied(file, {**copy.deepcopy(changes), **text})
        parts = replace(own.parts, scenario=scenario)
        values = Values(own, {key: np.array([float(stated(scenario, key))]) for key in text})
        for figures in own.operations:
            index = figures.index
            known = checked.gripped(parts, index, on_land=figures.zone.stands)
            theirs, moment = known.grip, np.array([known.grip.centrifugal_moment])
            mine = gripped(own.scenario, index, values, figures.zone.middle, moment)
            assert mine.rest.item() == theirs.rest_total, text
            assert mine.low_speed.item() == theirs.low_speed_total
            assert mine.high_speed.item() == theirs.high_speed_total
            assert mine.counted.item() == theirs.counted_total
            assert mine.largest.item() == theirs.largest_total
            assert mine.guide_moment(mine.height).item() == theirs.guide_moment
            assert friction(own.scenario, index, values).item() == theirs.friction
            needed = np.array([theirs.needed_total])
            permissible = permissible_speed(own.scenario, index, values, mine, needed)
            least = permissible.within(values("machine.speed_limit")).item()
            assert least == min(theirs.permissible.least, scenario.machine.speed_limit)
            for cut, one in enumerate(known.demands):
                many = demanded(own.scenario, index, cut, values, figures.zone)
                assert many.speed.item() == one.speed, (one.name, text)
                assert many.forces.tangential.item() == one.forces.tangential, (one.name, text)
                assert many.grip.side.item() == one.side_force, (one.name, text)
                assert many.grip.needed.total.item() == one.needed, (one.name, text)
                left = left_at(own.scenario, index, values, mine, many.speed).item()
                assert left == checked.grip_left(
                    replace(figures, operation=scenario.operations[index], grip=theirs), one.speed
                )
        rest, lever = boring_rest(own.scenario, values)
        if scenario.boring.fixture.kind != "none":
            tilt = checked.boring_grip(parts, own.operations[0].zone.middle)
            height = own.operations[0].zone.middle + scenario.chuck.guideway_depth
            assert (rest / 3.0 * lever / height).item() == tilt
    usable = {key.split(".")[-1] for key in quick_keys(own)} & set(SPREAD)
    assert usable <= seen
