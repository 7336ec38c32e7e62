"""Borders of pressure against speed where they have a closed form.

VDI 3106 and EN 1550 as quoted in public chuck manuals (the standards were not at hand): F_sp0 = S_sp (S_z F_spz +
F_c), loss at most two thirds of the grip at rest. Statics: grip at rest is proportional to the pressure in a free body
without the chuck's own points, F_0 = k p; F_c = M_c omega^2.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.gripped_again import judged_at as judged_at
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.layouts.window import Window, border, window
from sim.mechanics.grip import grip_at_rest
from sim.scenario import Scenario
from sim.setup.drive import drive

HUB = "cast_hub_on_ring"
CHANGES = {"chuck.moment_limit": "1000 N*m", "chuck.largest_grip": "55 kN", "machine.speed_limit": "2500 rpm"}


@pytest.fixture(scope="module")
def judged(varied: Callable[..., Scenario]) -> Assessment:
    return assess(varied(HUB, CHANGES), contact_model="foundation", advised=False)


@pytest.fixture(scope="module")
def shown(judged: Assessment) -> Window:
    return window(judged, 0)


def per_pressure(judged: Assessment) -> float:
    """Total grip at rest over pressure, N/MPa."""
    height = judged.operations[0].zone.middle + judged.scenario.chuck.guideway_depth
    return grip_at_rest(1.0, height, drive(judged.scenario.chuck)).total


def pull(judged: Assessment, speeds: np.ndarray) -> np.ndarray:
    """Centrifugal force of all three jaws, N; kg mm/s2 are mN."""
    moment = 3.0 * judged.operations[0].grip.centrifugal_moment
    return np.asarray(1e-3 * moment * (math.pi * speeds / 30.0) ** 2)


@pytest.mark.parametrize("speed", [500.0, 637.0, 1200.0, 1800.0])
def test_grip_at_rest(judged: Assessment, shown: Window, speed: float) -> None:
    """p = S_sp (S_z F_spz + F_c(n)) / k with 1.5 and 1.5; F_spz is the grip that holds the worst cut once there."""
    pressure = float(np.interp(speed, shown.speeds, border(shown, "grip at rest")))
    figures = judged_at(states(judged), 0, pressure, speed).figures
    once = max(held.grip / held.factor for held in figures.holdings)
    (turning,) = pull(judged, np.array([speed]))
    assert pressure == pytest.approx(1.5 * (1.5 * once + turning) / per_pressure(judged), rel=0.02)


def test_two_thirds_of_the_grip(judged: Assessment, shown: Window) -> None:
    """F_c(n) = 2/3 F_0: p = 3/2 F_c / k."""
    expected = 1.5 * pull(judged, shown.speeds) / per_pressure(judged)
    found = border(shown, "two thirds of the grip lost (EN 1550)")
    inside = (expected > shown.pressures[0]) & (expected < shown.pressures[-1])
    assert found[inside] == pytest.approx(expected[inside], rel=1e-9)


@pytest.mark.parametrize("speed", [500.0, 637.0, 1200.0, 2100.0])
def test_holding_factor(judged: Assessment, shown: Window, speed: float) -> None:
    """On the border the linear programs, solved there, hold S_z = 1.5 times the cut: F_0(p) - F_c(n) = S_z F_needed."""
    pressure = float(np.interp(speed, shown.speeds, border(shown, "holding factor")))
    found = judged_at(states(judged), 0, pressure, speed)
    (factor,) = (v.value for v in found.verdicts if v.name == "holding factor")
    assert factor == pytest.approx(1.5, rel=0.02)


def test_guideway_moment_and_largest_grip(judged: Assessment, shown: Window) -> None:
    """F_0 h / 3 = M: p = 3 M / (h k); F_0 = F_max: p = F_max / k; at every speed alike."""
    k, height = (
        per_pressure(judged),
        judged.operations[0].zone.middle + judged.scenario.chuck.guideway_depth,
    )
    assert border(shown, "guideway moment") == pytest.approx(3.0 * 1e6 / (height * k), rel=1e-9)
    assert border(shown, "largest grip") == pytest.approx(55_000.0 / k, rel=1e-9)


def test_marked_speeds(shown: Window) -> None:
    """The margin is 1 at the marked speed itself, at every pressure."""
    for name, speed in (("marked on the chuck", 4000.0), ("machine's speed limit", 2500.0)):
        (criterion,) = (c for c in shown.criteria if c.name == name)
        assert criterion.margin == pytest.approx(
            np.broadcast_to(speed / shown.speeds, criterion.margin.shape)
        )


def test_highest_speed(judged: Assessment, shown: Window) -> None:
    """Where the largest allowed grip is just what VDI 3106 asks for: n = (30/pi) sqrt((F_0/S_sp - S_z F_spz)/M_c)."""
    figures, height = (
        judged.operations[0],
        judged.operations[0].zone.middle + judged.scenario.chuck.guideway_depth,
    )
    assert shown.fastest is not None
    seat = border(shown, "jaw seat stays closed")
    # The seat bears less grip the faster its jaw is pulled outward, so the largest grip is one of each speed.
    most = np.minimum(np.minimum(55_000.0, 3.0 * 1e6 / height), seat * per_pressure(judged))
    moment = 3e-3 * figures.grip.centrifugal_moment
    spare = np.maximum(most / 1.5 - 1.5 * figures.grip.needed_total, 0.0)
    permitted = 30.0 / math.pi * np.sqrt(spare / moment)
    known = np.isfinite(permitted)
    left = permitted[known] - shown.speeds[known]  # falls with the speed: its zero is the highest one
    expected = float(np.interp(0.0, -left, shown.speeds[known]))
    assert np.all(np.diff(left) < 0.0)
    assert shown.fastest.speed == pytest.approx(expected, rel=0.01)
    assert shown.fastest.margin == pytest.approx(1.0, abs=1e-6)


@pytest.mark.usefixtures("coarse")
def test_the_best_pressure_lies_between_a_rising_and_a_falling_margin(
    varied: Callable[..., Scenario],
) -> None:
    """Margins p / p_low and p_high / p are equal at the geometric mean, where both are sqrt(p_high / p_low)."""
    loose = {"chuck.largest_grip": "45 kN"}
    judged = assess(varied(HUB, loose), contact_model="foundation", advised=False)
    shown = window(judged, 0)
    column = int(np.flatnonzero(shown.speeds == 1000.0)[0])
    low, high = border(shown, "grip at rest")[column], border(shown, "largest grip")[column]
    assert shown.recommended is not None
    assert shown.recommended.low is not None
    assert shown.recommended.high is not None
    assert {shown.recommended.low.name, shown.recommended.high.name} == {"grip at rest", "largest grip"}
    assert shown.recommended.pressure == pytest.approx(math.sqrt(low * high), rel=2e-3)
    assert shown.recommended.margin == pytest.approx(math.sqrt(high / low), rel=2e-3)
    assert shown.recommended.low.at == pytest.approx(low, rel=2e-3)
    assert shown.recommended.high.at == pytest.approx(high, rel=2e-3)
