"""Pressure against grip height: the free body's own formula turned round, and its crossing with what is allowed.

F_g = F_r (1 - mu tan(alpha + phi) - 3 mu a / L) / (1 + 3 mu h / L), statics with a linear guide pressure; the guideway
bears F_g h.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.layouts.grip_height import GripHeight, grip_height
from sim.scenario import Scenario

Varied = Callable[..., Scenario]
HUB = "cast_hub_on_ring"
AREA, EFFICIENCY, ANGLE, DEPTH, LENGTH, MU, BELOW = 15_000.0, 0.95, math.radians(19.0), 15.0, 80.0, 0.08, 25.0


def per_pressure(heights: np.ndarray) -> np.ndarray:
    """Total grip over pressure (N/MPa) at heights above the serrated plane, with the hub's chuck."""
    lean = math.tan(ANGLE + math.atan(MU))
    lost = 1.0 - MU * lean - 3.0 * MU * DEPTH / LENGTH
    return np.asarray(AREA * EFFICIENCY / lean * lost / (1.0 + 3.0 * MU * (heights + BELOW) / LENGTH))


@pytest.fixture(scope="module")
def judged(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged(HUB)


@pytest.fixture(scope="module")
def shown(judged: Assessment) -> GripHeight:
    return grip_height(judged, 0)


def test_curves(judged: Assessment, shown: GripHeight) -> None:
    grip = judged.operations[0].grip
    rest = 1.5 * (1.5 * grip.needed_total + 3.0 * grip.centrifugal_per_jaw)
    k = per_pressure(shown.heights)
    assert shown.needed == pytest.approx(rest / k, rel=1e-9)
    assert shown.by_moment == pytest.approx(3.0 * 2e6 / (shown.heights + BELOW) / k, rel=1e-9)
    assert shown.by_grip == pytest.approx(90_000.0 / k, rel=1e-9)
    assert shown.limit == pytest.approx(3.0)
    assert shown.height == judged.operations[0].zone.middle


def test_the_height_that_the_guideway_ends(varied: Varied) -> None:
    """F h / 3 = M with F what is needed: h = 3 M / F above the guideway's middle, whatever the pressure."""
    judged = assess(varied(HUB, {"chuck.moment_limit": "800 N*m"}), contact_model="foundation")
    found = grip_height(judged, 0)
    grip = judged.operations[0].grip
    rest = 1.5 * (1.5 * grip.needed_total + 3.0 * grip.centrifugal_per_jaw)
    assert found.ended_by == "guideway moment"
    assert found.highest == pytest.approx(3.0 * 0.8e6 / rest - BELOW, rel=1e-3)


def test_the_height_that_the_pressure_ends(varied: Varied) -> None:
    """k(h) p_limit = F: the grip falls with 1 + 3 mu h / L."""
    changes = {"machine.pressure_limit": "15 bar", "operations.0.gripping.pressure": "15 bar"}
    judged = assess(varied(HUB, changes), contact_model="foundation")
    found = grip_height(judged, 0)
    grip = judged.operations[0].grip
    rest = 1.5 * (1.5 * grip.needed_total + 3.0 * grip.centrifugal_per_jaw)
    at_foot = float(per_pressure(np.array([-BELOW]))[0])
    expected = (at_foot * 1.5 / rest - 1.0) * LENGTH / (3.0 * MU) - BELOW
    assert found.ended_by == "the pressure limit"
    assert found.highest == pytest.approx(expected, rel=1e-3)


def test_beyond_the_chucks_data_nothing_is_said(varied: Varied) -> None:
    points = [{"pressure": "22 bar", "grip": "58 kN"}]
    judged = assess(varied(HUB, {"chuck.grip_points": points}), contact_model="foundation")
    found = grip_height(judged, 0)
    assert np.isnan(found.by_grip).all()  # 90 kN lie above the largest point
    assert not np.isnan(found.needed).all()
