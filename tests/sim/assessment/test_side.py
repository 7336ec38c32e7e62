"""Force and moment of a cut across the spindle against r x F by hand; weight against a cylinder's."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.assessment.side import GRAVITY, PartWeight, cut_side_load, tips_along, weight_load, worst_side_load
from sim.mechanics.cutting import CutForces
from sim.scenario import Scenario
from sim.setup.held import HeldZone
from sim.setup.parts import build


def cut(kind: str = "turning", towards: str = "chuck", diameter: float = 80.0) -> CutForces:
    passive = 0.0 if kind == "drilling" else 300.0
    return CutForces(1000.0, 400.0, passive, diameter, 50.0, towards, kind)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "towards", "vector"),
    [
        # tool at +x: it pushes the part away outside, against the far wall of a bore outward
        ("turning", "chuck", (-300.0, -1000.0, -400.0)),
        ("turning", "tailstock", (-300.0, -1000.0, 400.0)),
        ("boring", "chuck", (300.0, -1000.0, -400.0)),
        # facing: the feed force is radial, the passive one pushes towards the chuck
        ("facing", "axis", (-400.0, -1000.0, -300.0)),
        ("facing", "outward", (400.0, -1000.0, -300.0)),
    ],
)
def test_a_cut_is_r_cross_f(kind: str, towards: str, vector: tuple[float, float, float]) -> None:
    force, moment = cut_side_load(cut(kind, towards), 35.0)
    expected = np.cross((40.0, 0.0, 35.0), vector)
    assert force == pytest.approx(vector[:2])
    assert moment == pytest.approx(expected[:2])


def test_a_drill_on_the_axis_loads_no_side() -> None:
    assert cut_side_load(cut("drilling"), 35.0) == ((0.0, 0.0), (0.0, 0.0))


@given(st.floats(-200.0, 200.0))
def test_the_lever_is_linear(height: float) -> None:
    _, at_middle = cut_side_load(cut(), 0.0)
    force, moment = cut_side_load(cut(), height)
    assert moment[0] - at_middle[0] == pytest.approx(-height * force[1], abs=1e-9)
    assert moment[1] - at_middle[1] == pytest.approx(height * force[0], abs=1e-9)


def test_weight_of_a_ring_is_added_along_the_cut(varied: Callable[..., Scenario]) -> None:
    """A ring of 63/45 mm radius and 30 mm length; steel of 7.85 g/cm3 weighs pi (63^2 - 45^2) 30 x 7.85e-6 kg."""
    outline = [["45 mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], ["45 mm", "30 mm"]]
    changes = {"operations.0.workpiece.outline": outline, "operations.0.workpiece.material": "steel C45"}
    parts = build(varied("thin_ring_distorts", changes))
    zone = HeldZone(30.0, 32.0, 52.0, 30.0)
    load = worst_side_load(weight_load(parts, 0, zone), zone, [cut(), cut("drilling")])
    weight = math.pi * (63.0**2 - 45.0**2) * 30.0 * 7.85e-6 * GRAVITY
    assert load.weight == pytest.approx(weight, rel=1e-3)
    assert load.amount == pytest.approx(math.hypot(300.0, 1000.0) + load.weight)
    bare, tipping = cut_side_load(cut(), 30.0 + 50.0 - 42.0)
    # centre of mass 45 mm over the serrated plane, 3 mm over the held middle
    lever = 30.0 + 15.0 - 42.0
    share = load.weight / math.hypot(*bare)
    assert load.moment[0] == pytest.approx(tipping[0] - lever * share * bare[1])
    assert load.moment[1] == pytest.approx(tipping[1] + lever * share * bare[0])


def test_a_drill_leaves_the_weight(varied: Callable[..., Scenario]) -> None:
    parts = build(varied("thin_ring_distorts"))
    zone = HeldZone(30.0, 32.0, 52.0, 30.0)
    load = worst_side_load(weight_load(parts, 0, zone), zone, [cut("drilling")])
    assert load.amount == pytest.approx(load.weight)


@pytest.mark.parametrize("arm", [12.0, -12.0])
def test_a_drills_weight_tips_with_its_thrust_off_the_axis(arm: float) -> None:
    """Thrust of 400 N 30 mm off the axis and a weight of 50 N, 12 mm over or under the held middle, across x alone."""
    drill = CutForces(1000.0, 400.0, 0.0, 10.0, 50.0, "chuck", "drilling", 30.0)
    load = worst_side_load(PartWeight(50.0, arm), HeldZone(30.0, 32.0, 52.0, 30.0), [drill])
    assert load.force == (math.copysign(50.0, load.force[0]), 0.0)
    tipping = 400.0 * 30.0 + 12.0 * 50.0
    assert math.hypot(*load.moment) == pytest.approx(tipping)
    assert load.moment[1] == pytest.approx(arm * load.force[0] + math.copysign(400.0 * 30.0, load.moment[1]))


def test_what_tips_nothing_still_has_its_whole_weight() -> None:
    """A sign is 1 or -1, for the smallest moments and arms too, and 1 where either is none."""
    assert [tips_along(m, a) for m, a in ((0.0, 9.0), (9.0, 0.0), (1e-3, 1e-3), (-1e-3, 1e-3))] == [
        1,
        1,
        1,
        -1,
    ]
    load = worst_side_load(PartWeight(50.0, 0.0), HeldZone(30.0, 32.0, 52.0, 30.0), [cut("drilling")])
    assert (load.force, load.moment) == ((50.0, 0.0), (0.0, 0.0))


def test_the_smallest_side_force_still_has_the_weight_along_it() -> None:
    forces = CutForces(0.03, 0.0, 0.04, 80.0, 50.0, "chuck", "turning")
    (x, y), _ = cut_side_load(forces, 0.0)
    load = worst_side_load(PartWeight(50.0, 0.0), HeldZone(30.0, 32.0, 52.0, 30.0), [forces])
    assert load.force == pytest.approx((x / 0.05 * 50.05, y / 0.05 * 50.05))
