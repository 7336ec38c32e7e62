"""Drills: torque and thrust against a published table, no tipping on the axis, tipping off it, their own speed.

The table is from a tool maker's catalogue of 2020, its technical reference for twist drills, found through a search of
public pages: torque K D^2 (0.630 + 16.84 f) / 100 N m and, in cast iron, thrust 570 K D f^0.85 N, with D in mm, f in
mm/rev; K = 1.39 for cast iron of 280 MPa (198 HB). It is for sharp drills; Kienzle here carries a wear factor.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment.demand import cut_forces, demand
from sim.assessment.figures.cut import CutDemand
from sim.assessment.operation import gripped
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.mechanics import cutting, hold
from sim.scenario import Scenario
from sim.scenario.cut import Cut
from sim.setup.parts import build
from sim.variants import judged as variants_judged
from sim.variants import variants
from sim.variants.demand import demanded
from sim.variants.keys import Values

HUB = "cast_hub_on_ring"
Varied = Callable[..., Scenario]


def drill(diameter: float = 10.0, **further: Any) -> dict[str, Any]:
    """Return a cut's table: a centred drill at the hub's free face, in a blind hole."""
    return {"name": "drill", "kind": "drilling", "diameter": f"{diameter} mm", "height": "58 mm",
            "depth_of_cut": f"{0.5 * diameter} mm", "feed": "0.2 mm/rev", "cutting_speed": "60 m/min",
            **({"through": False} if "kind" not in further else {}), **further}  # fmt: skip


def with_drill(varied: Varied, *cuts: dict[str, Any]) -> Scenario:
    return varied(HUB, {"operations.0.cuts": list(cuts)})


def quickly(scenario: Scenario) -> Assessment:
    """Judge with columns for the contact: forces, grip and programs are what a drill changes."""
    return assess(scenario, contact_model="foundation")


def asked(varied: Varied, **changes: Any) -> CutDemand:
    """Return what a drill asks of the hub's grip by closed forms."""
    found = gripped(build(with_drill(varied, drill(**changes))), 0)
    return found.demands[0]


@pytest.mark.parametrize("diameter", [6.0, 10.0, 16.0, 25.0])
def test_torque_and_thrust_stand_by_a_published_table(varied: Varied, diameter: float) -> None:
    """Kienzle's printings differ by 30 % and more, the table by as much; no less than the table may be asked for."""
    scenario = with_drill(varied, drill(diameter, wear_factor=1.0))
    found = cut_forces(scenario.operations[0].cuts[0], "cast iron GJL-250", 60e3 / (math.pi * diameter))
    torque = 1.39 * diameter**2 * (0.630 + 16.84 * 0.2) / 100.0 * 1000.0
    thrust = 570.0 * 1.39 * diameter * 0.2**0.85
    assert 0.9 * torque < 0.5 * found.tangential * diameter < 1.6 * torque
    assert thrust < found.feed < 2.6 * thrust


def friction_and_diameter(varied: Varied) -> tuple[float, float]:
    work = with_drill(varied, drill()).operations[0].workpiece
    mu = gripped(build(with_drill(varied, drill())), 0).grip.friction
    return mu, 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)


@pytest.mark.parametrize("diameter", [10.0, 20.0])
def test_a_centred_drill_asks_for_its_torque_alone(varied: Varied, diameter: float) -> None:
    """Grip = torque / (mu R): its thrust goes on the back face and tips nothing, however far out it drills."""
    found = asked(varied, diameter=diameter)
    mu, gripped_diameter = friction_and_diameter(varied)
    torque = 0.5 * found.forces.tangential * diameter
    assert found.needed == pytest.approx(torque / (mu * 0.5 * gripped_diameter), rel=1e-9)
    assert found.governing == "torque and axial force"
    assert found.side_force == 0.0


def test_a_larger_drill_asks_for_more(varied: Varied) -> None:
    """Torque grows with the square of the diameter at one feed and one cutting speed."""
    small, large = (asked(varied, diameter=d, cutting_speed="20 m/min").needed for d in (10.0, 20.0))
    assert large == pytest.approx(4.0 * small, rel=1e-9)


def test_a_drill_towards_the_tailstock_pulls_the_part_out(varied: Varied) -> None:
    """As a drill fed from the chuck's side: friction carries thrust and torque together."""
    found = asked(varied, feed_towards="tailstock")
    mu, gripped_diameter = friction_and_diameter(varied)
    assert found.forces.feed_towards == "tailstock"
    torque = found.forces.tangential * 10.0 / gripped_diameter
    assert found.needed == pytest.approx(math.hypot(torque, found.forces.feed) / mu, rel=1e-9)


def test_a_centred_drill_leaves_speed_to_the_hub(varied: Varied) -> None:
    """What the grip must hold is what its torque asks for, by closed forms and by linear programs."""
    found = quickly(with_drill(varied, drill()))
    figures = found.operations[0]
    assert figures.holdings[0].asked == pytest.approx(figures.demands[0].needed, rel=0.02)
    assert figures.grip.needed_total == pytest.approx(figures.demands[0].needed, rel=0.02)
    assert figures.grip.permissible.least > 1000.0


def test_the_overhang_of_an_off_axis_force_still_counts() -> None:
    """The same forces at 100 mm overhang by a turning tool, by a drill on the axis, and by one 40 mm off it."""
    of = (800.0, 500.0, 0.0, 20.0)
    turned = hold.overhang_moment(*of, 100.0)
    assert turned == pytest.approx(math.hypot(80_000.0, 5_000.0))
    assert hold.overhang_moment(*of, 100.0, drill_off_axis=0.0) == 0.0
    assert hold.overhang_moment(*of, 100.0, drill_off_axis=40.0) == pytest.approx(500.0 * 40.0)
    assert hold.overhang_moment(800.0, 500.0, 60.0, 20.0, 100.0, drill_off_axis=0.0) == pytest.approx(6_000.0)


def test_a_drill_off_the_axis_is_its_couple_and_its_thrust() -> None:
    """Two lips' forces of 1000 N at D/4 either side of the drill's axis, 40 mm off the spindle's, by r x F each."""
    forces = cutting.CutForces(1000.0, 900.0, 0.0, 20.0, 50.0, "chuck", "drilling", 40.0)
    lips = [
        ((40.0 + 5.0, 0.0, 35.0), (0.0, -1000.0, -450.0)),
        ((40.0 - 5.0, 0.0, 35.0), (0.0, 1000.0, -450.0)),
    ]
    force = np.sum([f for _, f in lips], axis=0)
    moment = np.sum([np.cross(r, f) for r, f in lips], axis=0)
    assert cutting.cut_wrench(forces, 35.0) == pytest.approx((*force, *moment))


def test_a_live_drill_off_the_axis_is_held_less(varied: Varied) -> None:
    def held(off: str) -> float:
        live = drill(rotating_tool=True, off_axis=off)
        return quickly(with_drill(varied, live)).operations[0].holdings[0].factor

    on, near, far = held("0 mm"), held("25 mm"), held("50 mm")
    assert on * (1.0 + 1e-6) >= near > far


def test_a_live_drill_has_its_own_cutting_speed(varied: Varied) -> None:
    """On a still spindle it has the K_v of its own speed: 2.023 / v^0.153 below 100 m/min, 1.380 / v^0.07 above."""

    def force(speed: str) -> float:
        return asked(varied, rotating_tool=True, off_axis="0 mm", cutting_speed=speed).forces.tangential

    turning = asked(varied, cutting_speed="60 m/min")
    top = with_drill(varied, drill()).operations[0].gripping.speed_high
    assert force("60 m/min") / force("150 m/min") == pytest.approx(
        2.023 / 60.0**0.153 * 150.0**0.07 / 1.380, rel=1e-9
    )
    live = asked(varied, rotating_tool=True, off_axis="0 mm")
    assert live.speed == 0.0
    # A drill that stands cuts as fast as the spindle turns it, here slower than it asks for.
    slow = 10e-3 * math.pi * top
    assert 20.0 < slow < 60.0
    assert turning.forces.tangential / live.forces.tangential == pytest.approx((60.0 / slow) ** 0.153)


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"feed_towards": "axis"}, 'feed_towards must be "chuck" or "tailstock" for drilling'),
        ({"off_axis": "20 mm"}, "off_axis is for a drill that turns"),
        ({"rotating_tool": True}, "off_axis must state how far from the spindle axis"),
        (
            {"rotating_tool": True, "off_axis": "0 mm", "speed": "900 rpm"},
            "speed is the spindle's, which stands",
        ),
        ({"rotating_tool": True, "off_axis": "70 mm"}, "off_axis must keep the drill of 10 mm on the part"),
        ({"rotating_tool": True, "kind": "turning"}, "forces must be stated for a rotating tool"),
    ],
)
def test_what_cannot_be_judged_is_refused(varied: Varied, changes: dict[str, Any], found: str) -> None:
    with pytest.raises(ScenarioError, match=r"operations\[0\].cuts\[0\].?") as refused:
        quickly(with_drill(varied, drill(**changes)))
    assert found in str(refused.value)


def test_a_live_drill_states_its_cutting_speed(varied: Varied) -> None:
    live = drill(rotating_tool=True, off_axis="0 mm")
    del live["cutting_speed"]
    with pytest.raises(ScenarioError, match="cutting_speed must be stated for a rotating tool"):
        with_drill(varied, live)


CUTS = (
    drill(),
    drill(16.0, feed_towards="tailstock"),
    drill(rotating_tool=True, off_axis="40 mm"),
    drill(forces={"tangential": "1200 N", "feed": "2000 N", "passive": "150 N"}),
)


def test_variants_ask_the_same_of_the_grip(varied: Varied) -> None:
    """Closed forms over arrays against the single ones, at speeds of which some are held by the operation's limits."""
    found = quickly(with_drill(varied, *CUTS))
    figures = found.operations[0]
    for number, cut in enumerate(found.scenario.operations[0].cuts):
        varies = cut.forces is None
        speeds = np.array([10.0, 30.0, 90.0, 200.0]) if varies else np.array([60.0])
        keys = {f"operations.0.cuts.{number}.cutting_speed": speeds} if varies else {}
        many = demanded(found.scenario, 0, number, Values(found, keys), figures.zone)
        for row, speed in enumerate(speeds):
            one = demand(
                replaced(cut, cutting_speed=float(speed)),
                figures.operation,
                found.scenario.metal(figures.operation.workpiece.material),
                figures.zone,
                figures.grip.friction,
            )
            assert many.grip.needed.total[row] == pytest.approx(one.needed, rel=1e-9)
            assert many.forces.tangential[row] == pytest.approx(one.forces.tangential, rel=1e-9)
            assert many.grip.side[row] == pytest.approx(one.side_force, rel=1e-9)


def replaced(cut: Cut, **changes: Any) -> Cut:
    """Return a cut with some fields changed, already in the inside units."""
    return cut.model_copy(update=changes)


def test_variants_judge_drills_as_check_does(varied: Varied) -> None:
    found = quickly(with_drill(varied, *CUTS[:3]))
    rows = variants_judged(variants(found), {})
    for name in ("holding factor", "grip at rest", "spindle speed"):
        verdict = next(v for v in found.verdicts if v.name == name)
        column = rows.column(verdict.key, verdict.stage)
        assert rows.value[0, column] == pytest.approx(verdict.value, rel=0.02)
        assert rows.limit[0, column] == pytest.approx(verdict.limit, rel=0.02)


def test_a_drill_in_a_program_is_a_drill(varied: Varied, tmp_path: Path) -> None:
    """A cutter by its outline, as wide on both sides of its tip, that feeds on the axis."""
    solid = [["0 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "26 mm"], ["42.5 mm", "26 mm"], ["42.5 mm", "58 mm"],
             ["0 mm", "58 mm"]]  # fmt: skip
    tool = {"number": 7, "name": "drill 10", "cutter": {"outline": [
        ["-5 mm", "3 mm"], ["0 mm", "0 mm"], ["5 mm", "3 mm"], ["5 mm", "60 mm"], ["-5 mm", "60 mm"]]},
        "plate": {"outline": [["-20 mm", "60 mm"], ["20 mm", "60 mm"], ["20 mm", "120 mm"], ["-20 mm", "120 mm"]],
                  "thickness": "40 mm"}}  # fmt: skip
    file = tmp_path / "drill.nc"
    file.write_text("T0707 G97 S800\nG0 X0. Z3.\nG1 Z-20. F.2\nG0 Z20.", encoding="utf-8")
    changes = {"operations.0.program.file": str(file), "operations.0.program.tools": [tool],
               "operations.0.workpiece.outline": solid}  # fmt: skip
    found = assess(varied("cast_hub_by_program", changes), contact_model="foundation")
    machining = found.machining[0]
    assert machining is not None
    assert machining.held is not None
    forces = machining.held.demand.forces
    assert forces.kind == "drilling"
    assert forces.diameter == pytest.approx(10.0, abs=0.05)
    assert machining.held.demand.governing == "torque and axial force"
    assert machining.held.demand.side_force == 0.0


def test_weight_tips_the_way_the_thrust_does(varied: Varied) -> None:
    """Spindle level: a drill has no side force to say where the weight acts, so it acts where it does most."""
    from sim.assessment.side import weight_load, worst_side_load

    parts = build(with_drill(varied, drill()))
    zone = gripped(parts, 0).zone
    forces = cutting.CutForces(1000.0, 900.0, 0.0, 20.0, 50.0, "chuck", "drilling", 40.0)
    for towards in ("chuck", "tailstock"):
        load = worst_side_load(weight_load(parts, 0, zone), zone, [replace(forces, feed_towards=towards)])
        assert abs(load.moment[1]) >= 900.0 * 40.0
        assert load.amount == pytest.approx(load.weight)
