"""Where the part is held: heights by hand from pocket and outline."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.held import held_zone


@pytest.mark.parametrize(
    ("name", "index", "seat", "low", "high"),
    [
        # jaw 50 mm high, pocket 23 mm deep, groove 2 mm, chamfer 1 mm, rim 26 mm
        ("cast_hub_on_ring", 0, 27.0, 29.0, 49.0),
        # 60 mm, 16 mm deep, groove 1.5 mm, flange 16 mm: the chamfer ends it
        ("valve_bonnet_two_steps", 0, 44.0, 45.5, 59.0),
        # 34 mm deep, groove 2 mm; the wide step takes the wall away above z = 44 mm, chamfer 1 mm
        ("valve_bonnet_two_steps", 1, 26.0, 28.0, 43.0),
    ],
)
def test_held_zone(
    varied: Callable[..., Scenario], name: str, index: int, seat: float, low: float, high: float
) -> None:
    zone = held_zone(varied(name), index)
    assert (zone.seat, zone.low, zone.high) == pytest.approx((seat, low, high))
    assert zone.length == pytest.approx(high - low)
    assert zone.middle == pytest.approx(0.5 * (low + high))


def test_held_zone_needs_a_gripped_surface(varied: Callable[..., Scenario]) -> None:
    """A part 100 mm wide has no surface of the gripped 118 mm."""
    outline = [["20 mm", "0 mm"], ["50 mm", "0 mm"], ["50 mm", "58 mm"], ["20 mm", "58 mm"]]
    scenario = varied("cast_hub_on_ring", {"operations.0.workpiece.outline": outline})
    with pytest.raises(ScenarioError, match=r"operations\[0\]\.workpiece\.outline must have a surface"):
        held_zone(scenario, 0)


@pytest.mark.parametrize(
    ("name", "corners", "low", "high"),
    [
        # a collar of 118 mm from 15 mm up stands out of 117.2 mm: the wall ends at 22 mm
        ("cast_hub_on_ring", [(20, 0), (58.6, 0), (58.6, 15), (59, 15), (59, 26), (20, 26)], 15.0, 22.0),
        # 0.1 mm in 5 mm: what stands back by more than 0.1 mm from the wall's upper end is not gripped
        ("cast_hub_on_ring", [(20, 0), (58.7, 0), (59.2, 25), (20, 25)], 17.0, 22.0),
        ("cast_hub_on_ring", [(20, 25), (58.7, 25), (59.2, 0), (20, 0)], 2.0, 7.0),
        # gripped inside, what stands in: 179.2 mm below 180 mm
        ("housing_gripped_inside", [(89.6, 0), (118, 0), (118, 45), (90, 45), (90, 9), (89.6, 9)], 2.0, 9.0),
    ],
    ids=["collar", "taper", "other taper", "gripped inside"],
)  # fmt: skip
def test_jaws_grip_what_stands_out(
    varied: Callable[..., Scenario], name: str, corners: list[tuple[float, float]], low: float, high: float
) -> None:
    """Of surfaces near to the gripped diameter, not the longest but what the jaws reach first, part frame."""
    outline = [[f"{r} mm", f"{z} mm"] for r, z in corners]
    zone = held_zone(varied(name, {"operations.0.workpiece.outline": outline}), 0)
    assert (zone.low - zone.seat, zone.high - zone.seat) == pytest.approx((low, high))
