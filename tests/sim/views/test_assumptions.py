from __future__ import annotations

from sim.assessment.results import Assessment
from sim.views.assumptions import stated


def test_values_carry_the_shops_units(two_steps: Assessment) -> None:
    scenario = two_steps.scenario
    values = {v.field: v for v in stated(scenario)}
    assert values["soft_jaw.height"].value == f"{scenario.soft_jaw.height:g} mm"
    assert values["boring.pressure"].value == f"{10.0 * scenario.boring.pressure:g} bar"
    assert values["chuck.wedge_angle"].value == "19 deg"
    assert values["limits.ring_speed"].value == "900 rev/min"
    assert values["chuck.tilt_stiffness"].value == "6000 kN m/rad"
    assert values["operations[0].marking_allowed"].value in {"yes", "no"}


def test_defaults_are_told_from_what_the_file_states(two_steps: Assessment) -> None:
    values = {v.field: v for v in stated(two_steps.scenario)}
    assert values["limits.clearance"].default
    assert not values["soft_jaw.height"].default
    assert not values["operations[1].workpiece.outline"].default
    assert all(v.meaning for v in values.values())
