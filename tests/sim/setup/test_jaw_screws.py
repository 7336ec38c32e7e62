"""Screws of the soft jaws: as long as jaw and T-nut ask."""

from __future__ import annotations

from collections.abc import Callable

from sim.scenario import Scenario
from sim.setup.jaw_screws import head_seat, nut_top, screw_dimensions


def test_screws_end_in_their_nuts(scenario_name: str, varied: Callable[..., Scenario]) -> None:
    """From the head's seat the shank passes the jaw and ends within the T-nut, which hangs in the master jaw."""
    scenario = varied(scenario_name)
    tip = head_seat(scenario) - screw_dimensions(scenario).length
    nut = scenario.master_jaw.t_nut
    bottom = nut_top(scenario) - nut.neck_height - nut.height
    assert bottom <= tip < nut_top(scenario) <= 0.0
    assert bottom >= -scenario.master_jaw.slot_neck_depth - scenario.master_jaw.slot_height
