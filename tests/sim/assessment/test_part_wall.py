"""The wall beside the gripped surface, by hand: of a ring, of a solid part, of one with a web, gripped either way."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from sim.assessment.part_wall import PartWall, part_wall
from sim.scenario import Scenario
from sim.setup.held import held_zone
from sim.setup.parts import build

HUB, HOUSING, THIN = "cast_hub_on_ring", "housing_gripped_inside", "thin_ring_distorts"
Varied = Callable[..., Scenario]
OUTLINE = "operations.0.workpiece.outline"


def mm(*corners: tuple[float, float]) -> list[list[str]]:
    return [[f"{r} mm", f"{z} mm"] for r, z in corners]


def found(varied: Varied, name: str, changes: dict[str, Any] | None = None) -> PartWall:
    parts = build(varied(name, changes))
    return part_wall(parts, 0, held_zone(parts.scenario, 0))


def test_a_hollow_part_gripped_outside(varied: Varied) -> None:
    """Gripped at 117.90 to 118.05 mm, bored to 40 mm; 20 mm of it held; jaws of 50 mm with edges broken by 1 mm."""
    wall = found(varied, HUB)
    assert (wall.inner, wall.outer) == pytest.approx((20.0, 117.975 / 2.0))
    assert wall.thickness == pytest.approx(117.975 / 2.0 - 20.0)
    assert wall.length == pytest.approx(20.0)
    assert wall.half_angle == pytest.approx(math.asin(24.0 / (117.975 / 2.0)))
    assert wall.bore_is_turned
    assert wall.thickness_at(60.0) == pytest.approx(40.0)


def test_gripped_inside(varied: Varied) -> None:
    """A bore of 180.00 to 180.04 mm in an outside of 236 mm."""
    wall = found(varied, HOUSING)
    assert (wall.inner, wall.outer) == pytest.approx((90.01, 118.0))
    assert not wall.bore_is_turned
    assert wall.thickness_at(100.0) == pytest.approx(18.0)


def test_a_solid_part(varied: Varied) -> None:
    solid = mm((0, 0), (59, 0), (59, 26), (40, 26), (40, 58), (0, 58))
    wall = found(varied, HUB, {OUTLINE: solid})
    assert (wall.inner, wall.thickness) == (0.0, pytest.approx(117.975 / 2.0))
    assert not wall.bore_is_turned


def test_the_wall_that_the_jaws_press_is_looked_at_not_the_hub_within(varied: Varied) -> None:
    """A rim from 50 to 59 mm on a hub from 20 to 30 mm, a web at the free end joins them."""
    rim = mm((20, 0), (30, 0), (30, 26), (50, 26), (50, 0), (59, 0), (59, 40), (20, 40))
    cuts = [{"name": "face", "kind": "facing", "diameter": "116 mm", "height": "38 mm", "feed_towards": "axis",
             "depth_of_cut": "1.5 mm", "feed": "0.25 mm/rev", "cutting_speed": "160 m/min"}]  # fmt: skip
    wall = found(varied, HUB, {OUTLINE: rim, "operations.0.cuts": cuts})
    assert (wall.inner, wall.outer) == pytest.approx((50.0, 117.975 / 2.0))


def test_the_softer_of_part_and_jaw_yields(varied: Varied) -> None:
    """Jaws of aluminium under a part of aluminium, and under one of steel."""
    soft = "aluminium EN AW-6082-T6"
    both = found(varied, THIN)
    on_steel = found(varied, THIN, {"operations.0.workpiece.material": "steel C45"})
    assert both.softer == both.material.yield_strength
    assert on_steel.softer == both.softer
    assert on_steel.softer < on_steel.material.yield_strength
    assert both.material.name == soft


def test_thick_metal_yields_sooner(varied: Varied) -> None:
    """EN 10025-2, S235: 195 MPa of a bar a tenth thicker than the part of 118 mm, 215 of a blank of 50 mm.

    Of grey iron in a wall of 20 to 40 mm: 165 MPa of a test piece by 195 over 250, as tensile strengths go (EN 1561).
    """
    soft = {"operations.0.workpiece.material": "steel, soft", "soft_jaw.material": "steel, soft"}
    wall = found(varied, HUB, soft)
    assert wall.material.yield_strength == wall.softer == 195.0
    assert build(varied(HUB, soft)).jaw_material.yield_strength == 215.0
    assert found(varied, HUB).material.yield_strength == pytest.approx(165.0 * 195.0 / 250.0, abs=0.5)
