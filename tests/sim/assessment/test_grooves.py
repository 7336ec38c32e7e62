"""Grooving and parting: forces by hand, the worse end of the groove, where its blade lies, what it may not state.

By hand with kc1.1 1500 MPa and mc 0.2, a sharp blade 3 mm wide at 0.1 mm a turn: Fc = 1500 * 3 * 0.1^0.8 * 1.3 (chip
compression of a blade) and K_v = 2.023 / v^0.153 below 100 m/min, that of 20 m/min below 20.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely

from sim.assessment import demand
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.mechanics.cut_surface import CutPlace, off_surface, room, surfaces
from sim.mechanics.cutting import CutForces, cut_wrench, part_load
from sim.scenario import Cut, Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

HUB = "cast_hub_on_ring"
BLADE: dict[str, Any] = {
    "name": "groove", "kind": "grooving", "diameter": "80 mm", "end_diameter": "70 mm", "height": "50 mm",
    "feed_towards": "axis", "depth_of_cut": "3 mm", "feed": "0.1 mm/rev", "wear_factor": 1.0,
    "specific_force": "1500 MPa", "chip_exponent": 0.2, "speed": "200 rpm",
}  # fmt: skip
STEADY = 1500.0 * 3.0 * 0.1**0.8 * 1.3
Varied = Callable[..., Scenario]


def cut_of(varied: Varied, **fields: Any) -> Cut:
    stated = {key: value for key, value in (BLADE | fields).items() if value is not None}
    return varied(HUB, {"operations.0.cuts": [stated]}).operations[0].cuts[0]


def forces(varied: Varied, **fields: Any) -> CutForces:
    return demand.cut_forces(cut_of(varied, **fields), "cast iron GJL-250", 200.0)


def test_a_blade_cuts_its_width_with_its_feed(varied: Varied) -> None:
    """At 70 mm and 200 rev/min it cuts at 44 m/min; the lever is that of 80 mm; what pushes is square to the edge."""
    found = forces(varied)
    assert found.tangential == pytest.approx(STEADY * 2.023 / (math.pi * 0.07 * 200.0) ** 0.153)
    assert (found.diameter, found.passive) == (80.0, 0.0)
    assert found.feed == pytest.approx(math.sqrt(0.5) * found.tangential)
    load = part_load(found)
    assert load.torque == pytest.approx(40.0 * found.tangential)
    assert (load.towards_chuck, load.away_from_chuck) == (0.0, 0.0)
    assert load.radial == pytest.approx(math.hypot(found.tangential, found.feed))
    x, y, z, *_ = cut_wrench(found, 10.0)
    assert (x, y, z) == pytest.approx((-found.feed, -found.tangential, 0.0))


def test_a_groove_in_a_bore_is_pressed_outward(varied: Varied) -> None:
    found = forces(varied, diameter="50 mm", end_diameter="60 mm", feed_towards="outward")
    assert found.diameter == 60.0
    assert cut_wrench(found, 0.0)[0] == pytest.approx(found.feed)


def test_parting_to_the_axis_slows_to_the_least_speed(varied: Varied) -> None:
    found = forces(varied, kind="parting", end_diameter="0 mm")
    assert found.tangential == pytest.approx(STEADY * 2.023 / 20.0**0.153)


def test_a_constant_cutting_speed_turns_fastest_at_the_smaller_end(varied: Varied) -> None:
    cut = cut_of(varied, speed=None, cutting_speed="80 m/min")
    assert demand.asked_speed(cut) == pytest.approx(80e3 / (math.pi * 70.0))
    # ... and if the spindle keeps the speed of its larger end it cuts slowest at the smaller: 70 m/min
    found = demand.cut_forces(cut, "cast iron GJL-250", demand.asked_speed(cut))
    assert found.tangential == pytest.approx(STEADY * 2.023 / 70.0**0.153)
    parted = cut_of(varied, kind="parting", end_diameter="0 mm", speed=None, cutting_speed="80 m/min")
    scenario = varied(HUB, {"operations.0.cuts": [BLADE]})
    assert demand.cut_speed(parted, scenario.operations[0]) == scenario.operations[0].gripping.speed_high


def place(kind: Any, towards: Any, diameter: float, end: float, height: float) -> CutPlace:
    return CutPlace(kind, towards, diameter, height, end_diameter=end)


def test_where_a_blade_lies() -> None:
    """A sleeve of 20 to 50 mm of radius, 40 mm long, between jaws 20 mm high that begin at its outside."""
    jaws = shapely.box(50.0, 0.0, 90.0, 20.0)
    drawn = surfaces(shapely.box(20.0, 0.0, 50.0, 40.0), jaws, -10.0)
    outer, inner = (
        place("grooving", "axis", 100.0, 80.0, 30.0),
        place("grooving", "outward", 40.0, 50.0, 30.0),
    )
    assert off_surface(outer, 3.0, [drawn]) == pytest.approx(0.0, abs=1e-9)
    assert off_surface(inner, 3.0, [drawn]) == pytest.approx(0.0, abs=1e-9)
    # 4 mm within the metal, from either side
    assert off_surface(place("grooving", "axis", 92.0, 80.0, 30.0), 3.0, [drawn]) == pytest.approx(4.0)
    assert off_surface(place("grooving", "outward", 48.0, 60.0, 30.0), 3.0, [drawn]) == pytest.approx(4.0)
    assert (outer.radii(3.0), inner.radii(3.0)) == ((40.0, 50.0), (20.0, 25.0))
    # from outside half a blade comes off the room to the jaws; from in front it does not get there
    assert room(outer, 3.0, jaws).gap == pytest.approx(30.0 - 1.5 - 20.0)
    beside = room(place("parting", "axis", 100.0, 40.0, 21.0), 3.0, jaws)
    assert (beside.gap, beside.deep) == (0.0, True)
    assert room(inner, 3.0, jaws).gap == pytest.approx(math.hypot(50.0 - 25.0, 28.5 - 20.0))
    behind = shapely.box(0.0, 35.0, 10.0, 50.0)
    assert room(inner, 3.0, behind).gap == 0.0


def test_a_drawn_groove_is_the_same_groove() -> None:
    """Before it is cut or after it: 3 mm wide, from 50 to 45 mm of radius."""
    sleeve = shapely.difference(shapely.box(20.0, 0.0, 50.0, 40.0), shapely.box(45.0, 28.5, 60.0, 31.5))
    drawn = surfaces(shapely.Polygon(sleeve.exterior), shapely.box(50.0, 0.0, 90.0, 20.0), -10.0)
    assert off_surface(place("grooving", "axis", 100.0, 90.0, 30.0), 3.0, [drawn]) < 0.5


@pytest.mark.parametrize(("fields", "words"), [
    ({"end_diameter": None}, "end_diameter must state where grooving ends"),
    ({"end_diameter": "80 mm"}, "end_diameter must be less than diameter, 80 mm"),
    ({"feed_towards": "outward"}, "end_diameter must be more than diameter, 80 mm"),
    ({"feed_towards": "chuck"}, "feed_towards must be axis or outward for grooving"),
    ({"kind": "parting", "feed_towards": "outward", "end_diameter": "90 mm"}, "feed_towards must be axis for parting"),
    ({"insert": "CNMG 120408"}, "insert must be left out for grooving"),
    ({"nose_radius": "0.4 mm"}, "nose_radius must be left out for grooving"),
    ({"approach_angle": "90 deg"}, "approach_angle must be left out for grooving"),
    ({"rotating_tool": True, "speed": None}, "rotating_tool must be left out for grooving"),
    ({"kind": "turning"}, "end_diameter is for grooving and parting"),
    ({"height": "5 mm", "diameter": "118 mm"}, "height must be over"),
])  # fmt: skip
def test_what_no_blade_does_is_refused(varied: Varied, fields: dict[str, Any], words: str) -> None:
    stated = {key: value for key, value in (BLADE | fields).items() if value is not None}
    with pytest.raises(ScenarioError, match=words):
        assess(varied(HUB, {"operations.0.cuts": [stated]}), contact_model="foundation")


def holding(found: Assessment, key: str = "holding_factor") -> Any:
    return next(v for v in found.verdicts if v.key == key)


def test_a_groove_is_judged_and_drawn_alike(varied: Varied) -> None:
    """A wide blade fed hard warns by its feed; variants at another feed are what `check` says of it."""

    def of(**fields: Any) -> Assessment:
        return assess(varied(HUB, {"operations.0.cuts": [BLADE | fields]}), contact_model="foundation")

    own, other, hard = of(), of(feed="0.2 mm/rev"), of(feed="0.4 mm/rev")
    drawn = judged(variants(own), {"operations.0.cuts.0.feed": np.array([0.2, 0.4])})
    for row, found in enumerate((other, hard)):
        for key in ("feed_of_the_cuts", "holding_factor", "specific_force_of_the_cuts", "cuts_on_the_part"):
            one, number = holding(found, key), drawn.keys.index(key)
            assert drawn.margin[row, number] == pytest.approx(one.margin, rel=0.02), key
            assert WORDS[drawn.status[row, number]] == one.status, key
    assert holding(own, "feed_of_the_cuts").value == pytest.approx(0.1 / (0.07 * 3.0))
    assert holding(hard, "feed_of_the_cuts").status == "fail"
    assert holding(hard).value < holding(other).value < holding(own).value
    asked = "Is what is parted off caught?"
    assert asked not in [n.question for n in own.not_judged]
    parted = of(kind="parting", end_diameter="40 mm")
    assert [n.matters for n in parted.not_judged if n.question == asked] == [True]
