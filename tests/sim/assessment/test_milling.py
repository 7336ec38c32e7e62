"""A cutter that turns while the spindle stands: a tooth's force is judged wherever it may point."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.holding import back_face, hold_cut
from sim.assessment.results import Assessment
from sim.assessment.side import weight_load
from sim.assessment.stages import assess
from sim.base.arrays import Floats
from sim.holding import pressed
from sim.mechanics.cutting import CutForces, cut_wrench, part_load, tooth_forces
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"
RADIUS, HEIGHT, TOOTH = 40.0, 50.0, (1500.0, 700.0, 1200.0)
MILLED = {
    "name": "mill a flat", "kind": "turning", "diameter": "80 mm", "height": "50 mm", "depth_of_cut": "3 mm",
    "feed": "0.3 mm/rev", "rotating_tool": True, "cutting_speed": "120 m/min",
    "forces": {"tangential": "1500 N", "feed": "700 N", "passive": "1200 N"},
}  # fmt: skip
WHOLE = math.hypot(*TOOTH)


def milled(varied: Callable[..., Scenario], towards: str) -> Assessment:
    changes: dict[str, Any] = {"operations.0.cuts": [{**MILLED, "feed_towards": towards}]}
    return assess(varied(HUB, changes), contact_model="foundation")


def ways(count: int) -> list[Floats]:
    """Return forces as large as the tooth's, each another way."""
    drawn = np.random.default_rng(3).normal(size=(count, 3))
    axes = np.vstack([np.eye(3), -np.eye(3)])
    return list(WHOLE * np.vstack([axes, drawn / np.linalg.norm(drawn, axis=1)[:, None]]))


def wrench(force: Floats, lever: float) -> Floats:
    """Return r x F with the cut at (RADIUS, 0, lever)."""
    return np.concatenate([force, np.cross([RADIUS, 0.0, lever], force)])


@pytest.mark.parametrize("towards", ["chuck", "tailstock", "axis", "outward"])
def test_no_way_of_a_tooth_asks_more_of_the_grip(towards: Any) -> None:
    stated = CutForces(*TOOTH, 2.0 * RADIUS, HEIGHT, towards)
    judged = cut_wrench(tooth_forces(stated), 25.0)
    load = part_load(tooth_forces(stated))
    for force in ways(40):
        other = wrench(force, 25.0)
        assert abs(other[5]) <= abs(judged[5]) * (1.0 + 1e-12)
        assert other[2] <= judged[2] * (1.0 + 1e-12)
        assert math.hypot(other[3], other[4]) <= math.hypot(judged[3], judged[4]) * (1.0 + 1e-12)
        assert math.hypot(other[0], other[1]) <= load.radial * (1.0 + 1e-12)
    assert load.away_from_chuck == pytest.approx(WHOLE)


def test_a_milled_flat_is_held_however_a_tooth_pushes(varied: Callable[..., Scenario]) -> None:
    """Fed towards the axis its passive force would else press the part home, and promise twice as much."""
    found = milled(varied, "axis")
    (figures,) = found.operations
    faces, back = pressed(figures.clamping.rest), back_face(found.parts, 0, figures.zone)
    load, lever = weight_load(found.parts, 0, figures.zone), figures.zone.seat + HEIGHT - figures.zone.middle
    (held,) = figures.holdings
    others = [
        hold_cut(faces, back, load, wrench(force, lever), held.grip, figures.grip.friction, 1.0).factor
        for force in ways(8)
    ]
    assert 0.75 * min(others) < held.factor <= min(others) * (1.0 + 1e-9)
    assert max(others) > 2.0 * held.factor


def test_which_way_it_is_fed_changes_nothing(varied: Callable[..., Scenario]) -> None:
    factors = [milled(varied, way).operations[0].holdings[0].factor for way in ("axis", "chuck", "tailstock")]
    assert factors == pytest.approx([factors[0]] * 3)
