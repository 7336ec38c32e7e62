"""What a cut asks of the grip, by hand from one cut's fields: its speed, its rake, its direction, its diameter."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment import demand
from sim.base import tables
from sim.mechanics.cutting import CutForces
from sim.mechanics.drilling import drill_forces
from sim.mechanics.kienzle import correction, cut_metal
from sim.scenario import Cut, Scenario
from sim.setup.held import HeldZone

HUB = "cast_hub_on_ring"
MU = 0.1
IRON = tables.material("cast iron GJL-250")
ZONE = HeldZone(seat=27.0, low=30.0, high=50.0, part_length=58.0)  # its middle lies 13 mm over the back face
Varied = Callable[..., Scenario]


def stated(varied: Varied, **fields: Any) -> tuple[Cut, Scenario]:
    """Return the hub's first cut of 80 mm with other fields, and its scenario; None takes a field away."""
    cut = {"name": "cut", "kind": "turning", "diameter": "80 mm", "height": "50 mm", "feed_towards": "chuck",
           "depth_of_cut": "2 mm", "feed": "0.25 mm/rev", **fields}  # fmt: skip
    scenario = varied(HUB, {"operations.0.cuts": [{k: v for k, v in cut.items() if v is not None}]})
    return scenario.operations[0].cuts[0], scenario


@pytest.mark.parametrize(
    ("fields", "speed"),
    [
        ({"speed": "700 rpm"}, 700.0),
        ({"cutting_speed": "160 m/min"}, 160e3 / (math.pi * 80.0)),
        # 180 m/min where nothing is stated (common practice, no source)
        ({}, 180e3 / (math.pi * 80.0)),
        # a driven drill stands in a spindle at rest, whatever its own cutting speed
        ({"kind": "drilling", "diameter": "10 mm", "depth_of_cut": "5 mm", "rotating_tool": True, "off_axis": "30 mm",
          "cutting_speed": "60 m/min"}, 0.0),
    ],
)  # fmt: skip
def test_the_speed_that_a_cut_asks_for(varied: Varied, fields: dict[str, Any], speed: float) -> None:
    cut, _ = stated(varied, **fields)
    assert demand.asked_speed(cut) == pytest.approx(speed)


@pytest.mark.parametrize(("low", "high", "speed"), [(200, 1000, 700), (800, 1000, 800), (200, 600, 600)])
def test_a_cut_runs_within_the_operations_speeds(varied: Varied, low: int, high: int, speed: int) -> None:
    cut, scenario = stated(varied, speed="700 rpm")
    assert demand.speed_within(cut, demand.asked_speed(cut), low, high) == pytest.approx(speed)
    assert demand.cut_speed(cut, scenario.operations[0]) == pytest.approx(700.0)


@pytest.mark.parametrize(
    ("material", "rake"),
    [
        ("steel C45", 6.0),
        ("steel 42CrMo4, quenched and tempered", 6.0),
        ("cast iron GJL-250", 2.0),
        ("aluminium EN AW-6082-T6", 0.0),
    ],
)
def test_the_rake_of_the_handbooks_values(material: str, rake: float) -> None:
    assert math.degrees(cut_metal(material).rake) == pytest.approx(rake)


def test_measured_forces_are_taken_as_they_are(varied: Varied) -> None:
    fields = {"forces": {"tangential": "900 N", "feed": "400 N", "passive": "300 N"}, "speed": "500 rpm"}
    cut, _ = stated(varied, **fields)
    found = demand.cut_forces(cut, "cast iron GJL-250", 500.0)
    assert (found.tangential, found.feed, found.passive) == (900.0, 400.0, 300.0)
    assert (found.diameter, found.height, found.feed_towards, found.kind) == (80.0, 50.0, "chuck", "turning")


def test_a_faster_cut_needs_less_force_and_a_lower_limit_gives_no_credit(varied: Varied) -> None:
    """By the correction of carbide forces fall with the cutting speed; what speed_low adds may not be counted."""
    cut, scenario = stated(varied, cutting_speed="110 m/min")
    slow, fast = (demand.cut_forces(cut, "cast iron GJL-250", speed).tangential for speed in (450.0, 900.0))
    assert fast < slow
    asked = demand.asked_speed(cut)
    found = demand.demand(cut, scenario.operations[0], IRON, ZONE, MU)
    forced = varied(
        HUB, {"operations.0.gripping.speed_low": "900 rpm", "operations.0.gripping.speed_high": "1000 rpm"}
    )
    held = demand.demand(cut, forced.operations[0], IRON, ZONE, MU)
    assert (found.speed, held.speed) == (pytest.approx(asked), pytest.approx(900.0))
    assert held.forces.tangential == pytest.approx(found.forces.tangential, rel=1e-12)


def needed(varied: Varied, tangential: float, feed: float, passive: float, **where: Any) -> float:
    """Return the grip that forces need on the hub, which is gripped at 117.975 mm in the mean."""
    place = {"diameter": 80.0, "height": 13.0, "feed_towards": "chuck", "kind": "turning", **where}
    _, scenario = stated(varied, speed="500 rpm")
    forces = CutForces(tangential, feed, passive, **place)
    return demand.demand_of(forces, "cut", 500.0, scenario.operations[0], ZONE, MU).needed


def test_torque_alone_asks_by_the_ratio_of_the_diameters(varied: Varied) -> None:
    """mu F d_grip / 2 = Fc d_cut / 2, in the middle of the held height, where nothing tips."""
    assert needed(varied, 1000.0, 0.0, 0.0) == pytest.approx(1000.0 * 80.0 / 117.975 / MU)


def test_an_overhang_asks_by_its_lever(varied: Varied) -> None:
    """M = Fc l against mu d / 4 + l_grip / 12, the same above the held height as below."""
    lever = MU * 117.975 / 4.0 + 20.0 / 12.0
    for height in (13.0 + 60.0, 13.0 - 60.0):
        assert needed(varied, 1000.0, 0.0, 0.0, height=height) == pytest.approx(1000.0 * 60.0 / lever)


def test_a_feed_along_the_spindle_is_the_axial_force(varied: Varied) -> None:
    """Towards the chuck the back face bears it; away from it friction does; both tip by Ff d_cut / 2."""
    lever = MU * 117.975 / 4.0 + 20.0 / 12.0
    tipping = 0.5 * 400.0 * 80.0 / lever
    assert needed(varied, 0.0, 400.0, 0.0) == pytest.approx(tipping)
    assert needed(varied, 0.0, 400.0, 0.0, feed_towards="tailstock") == pytest.approx(
        max(tipping, 400.0 / MU)
    )


def test_a_feed_across_the_spindle_is_the_radial_force(varied: Varied) -> None:
    """Facing: the feed force tips by its overhang alone, the passive one by half the cut's diameter."""
    lever = MU * 117.975 / 4.0 + 20.0 / 12.0
    facing = {"feed_towards": "axis", "kind": "facing"}
    assert needed(varied, 0.0, 400.0, 0.0, **facing) == pytest.approx(0.0)
    assert needed(varied, 0.0, 400.0, 0.0, **facing, height=73.0) == pytest.approx(400.0 * 60.0 / lever)
    assert needed(varied, 0.0, 0.0, 400.0, **facing) == pytest.approx(0.5 * 400.0 * 80.0 / lever)


@pytest.mark.parametrize("feed", [0.01, 0.1, 0.3])
def test_a_drill_is_asked_for_the_larger_force_of_two_printings(feed: float) -> None:
    """C45: kc1.1 of 1500 MPa with mc 0.22, or 2220 MPa with 0.14, which is less below 0.0075 mm of chip.

    Each lip cuts h = f/2 sin 59 deg thick and d/2 / sin 59 deg wide; its force at the mean diameter makes the torque of
    one at the drill's, the thrust is that of two lips, and nothing is passive.
    """
    where: dict[str, Any] = {"diameter": 4.0, "height": 50.0, "feed_towards": "chuck"}
    found = drill_forces(cut_metal("steel C45"), 60.0, feed=feed, rake_angle=0.1, wear_factor=1.0, **where)
    half_point = math.radians(59.0)
    thick, wide = 0.5 * feed * math.sin(half_point), 2.0 / math.sin(half_point)
    corrected = correction(0.1, 1.0, 60.0, "drilling", math.radians(6.0))
    force = max(kc11 * thick**-mc for kc11, mc in ((1500.0, 0.22), (2220.0, 0.14))) * thick * wide * corrected
    assert (found.kind, found.passive) == ("drilling", 0.0)
    assert found.tangential == pytest.approx(force)
    assert found.feed == pytest.approx(2.0 * force * math.sin(half_point))


def test_a_drill_cuts_at_its_own_speed_where_it_turns(varied: Varied) -> None:
    """At 60 m/min it needs more than at 120; a driven one does so whatever the spindle does."""
    fields = {"kind": "drilling", "diameter": "10 mm", "depth_of_cut": "5 mm", "cutting_speed": "60 m/min"}
    centred, _ = stated(varied, **fields)
    slow, fast = (
        demand.cut_forces(centred, "steel C45", v / (math.pi * 0.01)).tangential for v in (60.0, 120.0)
    )
    assert fast < slow
    driven, _ = stated(varied, **fields, rotating_tool=True, off_axis="30 mm")
    found = demand.cut_forces(driven, "steel C45", 0.0)
    assert (found.tangential, found.off_axis) == (pytest.approx(slow), 30.0)


def test_a_cut_that_is_no_drill_is_one_edge(varied: Varied) -> None:
    """2 mm deep at 0.25 mm a turn square to the surface: kc1.1 of the larger printing on that section."""
    cut, _ = stated(varied, cutting_speed="100 m/min", wear_factor=1.0, approach_angle="90 deg")
    found = demand.cut_forces(cut, "steel C45", 100e3 / (math.pi * 80.0))
    corrected = correction(cut.rake_angle, 1.0, 100.0, "turning", math.radians(6.0))
    assert found.tangential == pytest.approx(2220.0 * 0.25**-0.14 * 0.25 * 2.0 * corrected)
    assert found.kind == "turning"
    assert found.passive > 0.0
