"""Threads stated as a cut: force by hand, pull, outside and inside, and what they may not state.

By hand for M80 x 2 cut in passes of 0.2 mm at most, with kc1.1 1500 MPa and mc 0.2, sharp: chip 0.2 sin(27.5 deg) mm,
section 0.2 x 2 mm2, times 1.3 (chip compression) and the K_v of the root's cutting speed.
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
THREAD: dict[str, Any] = {
    "name": "thread", "kind": "threading", "diameter": "80 mm", "end_diameter": "77.5 mm", "height": "50 mm",
    "depth_of_cut": "0.2 mm", "feed": "2 mm/rev", "wear_factor": 1.0, "specific_force": "1500 MPa",
    "chip_exponent": 0.2, "speed": "300 rpm",
}  # fmt: skip
INSIDE: dict[str, Any] = {"diameter": "40 mm", "end_diameter": "42.5 mm"}
FORCE = (
    1500.0
    * (0.2 * math.sin(math.radians(27.5))) ** -0.2
    * 0.4
    * 1.3
    * 2.023
    / (math.pi * 0.0775 * 300.0) ** 0.153
)
Varied = Callable[..., Scenario]


def scenario(varied: Varied, **fields: Any) -> Scenario:
    cut = {k: v for k, v in (THREAD | fields).items() if v is not None}
    return varied(HUB, {"operations.0.cuts": [cut]})


def forces(varied: Varied, **fields: Any) -> CutForces:
    cut = scenario(varied, **fields).operations[0].cuts[0]
    return demand.cut_forces(cut, "cast iron GJL-250", 300.0)


def of(varied: Varied, **fields: Any) -> Assessment:
    return assess(scenario(varied, **fields), contact_model="foundation")


def status(found: Assessment, key: str) -> str:
    return next(one.status for one in found.verdicts if one.key == key)


def test_force_and_pull_by_hand(varied: Varied) -> None:
    load = part_load(forces(varied))
    assert load.torque == pytest.approx(40.0 * FORCE)
    pull = math.hypot(0.5, 0.5) * FORCE
    assert (load.away_from_chuck, load.towards_chuck) == (pytest.approx(pull), 0.0)
    assert load.radial == pytest.approx(math.hypot(FORCE, pull))
    assert part_load(forces(varied, feed_towards="tailstock")) == load


def test_inside_it_presses_outward(varied: Varied) -> None:
    """The passive force on the part: away from the tool outside, into the wall of a bore inside."""
    outer, inner = cut_wrench(forces(varied), 0.0), cut_wrench(forces(varied, **INSIDE), 0.0)
    assert outer[0] < 0.0 < inner[0]
    assert forces(varied, **INSIDE).diameter == 42.5


def test_measured_forces_of_a_thread_pull_too(varied: Varied) -> None:
    measured = {"tangential": "1500 N", "feed": "400 N", "passive": "0 N"}
    found = forces(varied, specific_force=None, chip_exponent=None, forces=measured)
    assert part_load(found).away_from_chuck == 400.0
    assert (
        status(of(varied, specific_force=None, chip_exponent=None, forces=measured), "measured_forces")
        == "pass"
    )
    light = {"tangential": "5 N", "feed": "4 N", "passive": "0 N"}
    assert (
        status(of(varied, specific_force=None, chip_exponent=None, forces=light), "measured_forces") != "pass"
    )


def test_a_thread_lies_on_the_part(varied: Varied) -> None:
    """On the collar of 80 mm or in the bore of 40 mm; not in the air round the collar."""
    assert status(of(varied), "cuts_on_the_part") == "pass"
    assert status(of(varied, **INSIDE), "cuts_on_the_part") == "pass"
    assert status(of(varied, diameter="85 mm", end_diameter="82.5 mm"), "cuts_on_the_part") != "pass"
    assert status(of(varied, diameter="70 mm", end_diameter="72.5 mm"), "cuts_on_the_part") != "pass"


def test_its_lead_is_no_feed_of_an_edge(varied: Varied) -> None:
    assert status(of(varied, feed="4 mm/rev"), "feed_of_the_cuts") == "pass"


def test_variants_thread_alike(varied: Varied) -> None:
    own, other = of(varied), of(varied, feed="4 mm/rev")
    drawn = judged(variants(own), {"operations.0.cuts.0.feed": np.array([4.0])})
    for key in ("feed_of_the_cuts", "holding_factor", "cuts_on_the_part", "specific_force_of_the_cuts"):
        one, number = next(v for v in other.verdicts if v.key == key), drawn.keys.index(key)
        assert drawn.margin[0, number] == pytest.approx(one.margin, rel=0.02), key
        assert WORDS[drawn.status[0, number]] == one.status, key
    assert other.operations[0].holdings[0].factor < own.operations[0].holdings[0].factor


@pytest.mark.parametrize(("fields", "words"), [
    ({"feed_towards": "axis"}, "feed_towards must be .* for threading"),
    ({"end_diameter": None}, "end_diameter must state the root"),
    ({"depth_of_cut": "1.3 mm"}, "depth_of_cut must be the deepest pass"),
    ({"insert": "TNMG 160408"}, "insert must be left out for threading"),
    ({"nose_radius": "0.2 mm"}, "nose_radius must be left out for threading"),
    ({"rotating_tool": True, "speed": None, "cutting_speed": "90 m/min"}, "rotating_tool must be left out for thread"),
    ({"through": True}, "through is for drilling"),
    ({"kind": "turning"}, "end_diameter is for grooving and parting"),
])  # fmt: skip
def test_what_a_thread_may_not_state(varied: Varied, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        scenario(varied, **fields)
