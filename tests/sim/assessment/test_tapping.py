"""Taps: torque by hand, pull, their own axis, and what they may not state.

By hand for M10 x 1.5 with kc1.1 1500 MPa and mc 0.2, sharp: kc at 0.045 mm of chip, torque kc P^2 D / 8 times 1.3 (chip
compression) and the K_v of 20 m/min, 2.023 / 20^0.153.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment import demand
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.mechanics.cutting import CutForces, cut_wrench, part_load
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

HUB = "cast_hub_on_ring"
TAP: dict[str, Any] = {
    "name": "tap", "kind": "tapping", "diameter": "10 mm", "height": "58 mm", "depth_of_cut": "0.8 mm",
    "feed": "1.5 mm/rev", "wear_factor": 1.0, "specific_force": "1500 MPa", "chip_exponent": 0.2, "speed": "300 rpm",
}  # fmt: skip
LIVE: dict[str, Any] = {
    "rotating_tool": True,
    "off_axis": "30 mm",
    "speed": None,
    "cutting_speed": "12 m/min",
}
TORQUE = 1500.0 * 0.045**-0.2 * 1.5**2 * 10.0 / 8.0 * 1.3 * 2.023 / 20.0**0.153  # N mm
Varied = Callable[..., Scenario]


def scenario(varied: Varied, **fields: Any) -> Scenario:
    return varied(HUB, {"operations.0.cuts": [{k: v for k, v in (TAP | fields).items() if v is not None}]})


def forces(varied: Varied, **fields: Any) -> CutForces:
    cut = scenario(varied, **fields).operations[0].cuts[0]
    return demand.cut_forces(cut, "cast iron GJL-250", 300.0)


def of(varied: Varied, **fields: Any) -> Assessment:
    return assess(scenario(varied, **fields), contact_model="foundation")


def test_the_section_of_an_internal_thread_is_nearly_what_the_handbooks_torque_takes() -> None:
    """ISO 68-1: P/8 wide at the major diameter, 3/4 P at the minor, 5/8 of sqrt(3)/2 P high."""
    section = 0.5 * (1.0 / 8.0 + 3.0 / 4.0) * 5.0 / 8.0 * math.sqrt(3.0) / 2.0
    assert 0.9 * 0.25 < section < 0.25


def test_torque_and_pull_of_a_tap(varied: Varied) -> None:
    load = part_load(forces(varied))
    assert load.torque == pytest.approx(TORQUE)
    # flutes of 45 deg: T / R along the axis, out of the jaws
    assert (load.away_from_chuck, load.towards_chuck, load.radial) == (pytest.approx(TORQUE / 5.0), 0.0, 0.0)
    assert part_load(forces(varied, wear_factor=1.5)).torque == pytest.approx(1.5 * TORQUE)


def test_a_live_tap_is_a_couple_and_a_pull_off_the_axis(varied: Varied) -> None:
    found = cut_wrench(forces(varied, **LIVE), 20.0)
    assert found == pytest.approx((0.0, 0.0, TORQUE / 5.0, 0.0, -30.0 * TORQUE / 5.0, -TORQUE))


def test_measured_forces_of_a_tap_pull_too(varied: Varied) -> None:
    measured = {"tangential": "1500 N", "feed": "400 N", "passive": "0 N"}
    found = forces(varied, specific_force=None, chip_exponent=None, forces=measured)
    assert part_load(found).away_from_chuck == 400.0


@pytest.mark.parametrize("tool", [{}, LIVE], ids=["on the axis", "live"])
def test_variants_tap_alike(varied: Varied, tool: dict[str, Any]) -> None:
    own, other = of(varied, **tool), of(varied, **tool, feed="3 mm/rev")
    drawn = judged(variants(own), {"operations.0.cuts.0.feed": np.array([3.0])})
    for key in ("feed_of_the_cuts", "holding_factor", "cuts_on_the_part", "specific_force_of_the_cuts"):
        one, number = next(v for v in other.verdicts if v.key == key), drawn.keys.index(key)
        assert drawn.margin[0, number] == pytest.approx(one.margin, rel=0.02), key
        assert WORDS[drawn.status[0, number]] == one.status, key
    assert other.operations[0].holdings[0].factor < own.operations[0].holdings[0].factor


@pytest.mark.parametrize(("fields", "words"), [
    ({"feed_towards": "axis"}, "feed_towards must be .* for drilling and tapping"),
    ({"off_axis": "20 mm"}, "off_axis is for a drill that turns"),
    ({"through": True}, "through is for drilling"),
    ({"end_diameter": "5 mm"}, "end_diameter is for grooving and parting"),
])  # fmt: skip
def test_what_a_tap_may_not_state(varied: Varied, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        scenario(varied, **fields)
