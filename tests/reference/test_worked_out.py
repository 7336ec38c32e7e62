"""Formulas that books have and that are worked out here by another way, so that nothing of them hangs on memory.

No oracle shares code with what it judges. Tables: scribd 127821968 (Kraefte und Leistungen beim Bohren, page 294 of a
table book): correction for the cutting speed of drilling. C3 of VDI 2230 (5.5/44b): as several open programs after it
print it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.base.tables import property_class, thread
from sim.mechanics import drilling, kienzle
from sim.mechanics.fixtures import bar
from sim.mechanics.fixtures.bar import Section
from sim.mechanics.hold import needed_grip
from sim.mechanics.screws import engagement

RADIUS = 80.0
TURN = np.linspace(0.0, 2.0 * math.pi, 20_001)


def enclosed(waver: float) -> float:
    """Return the area (mm2) within the closed curve 2 pi R long whose curvature is 1 / R + waver cos 2 phi."""
    step = RADIUS * float(TURN[1])
    heading = TURN + waver * RADIUS * np.sin(2.0 * TURN) / 2.0
    middle = 0.5 * (heading[1:] + heading[:-1])
    x, y = (np.r_[0.0, np.cumsum(f(middle) * step)] for f in (np.cos, np.sin))
    assert math.hypot(x[-1], y[-1]) < 1e-6 * RADIUS
    return 0.5 * float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))


def test_ring_buckles_in_its_plane() -> None:
    """A ring of one length whose curvature wavers by w cos 2 phi loses area; pressure gains by it what bending costs.

    Bending costs E I / 2 times the integral of (w cos 2 phi)^2 along it. The lost area is measured on the curve itself,
    integrated from its curvature. So q = cost / area, and a load of 2 pi R q / 3 each of three.
    """
    stiffness, waver = 1.0e6, 1e-3 / RADIUS
    lost = enclosed(0.0) - enclosed(waver)
    cost = 0.5 * stiffness * waver**2 * math.pi * RADIUS
    assert cost / lost == pytest.approx(3.0 * stiffness / RADIUS**3, rel=2e-3)
    # High and thin walled: it gives way in its plane.
    thin = Section(((RADIUS - 1.0, RADIUS + 1.0),), 40.0)
    steel = 210e3
    pressure = cost / lost * steel * 40.0 * 2.0**3 / 12.0 / stiffness
    each = 2.0 * math.pi * RADIUS * pressure / 3.0
    assert bar.critical_load(thin, steel, 0.3) == pytest.approx(each, rel=5e-3)


def test_ring_buckles_out_of_its_plane() -> None:
    """Least q by energy: moved w cos 2 phi out of its plane, turned f cos 2 phi about itself, under a thrust q R.

    Curvature f / R + 4 w / R^2, twist 2 (f / R + w / R^2), slope 2 w / R; the turn that costs least for each w.
    """
    flat, steel = Section(((RADIUS - 10.0, RADIUS + 10.0),), 2.0), 210e3
    bending, twisting = steel * flat.flat_inertia, steel / 2.6 * flat.torsion[0]
    turned = np.linspace(-10.0, 10.0, 400_001) / RADIUS**2  # f / R for w = 1
    moved = 1.0 / RADIUS**2
    cost = (bending * (turned + 4.0 * moved) ** 2 + 4.0 * twisting * (turned + moved) ** 2).min()
    pressure = cost / (RADIUS * 4.0 / RADIUS**2)
    each = 2.0 * math.pi * RADIUS * pressure / 3.0
    assert bar.critical_load(flat, steel, 0.3) == pytest.approx(each, rel=1e-3)


def test_a_pressed_surface_is_pressed_as_much_along_itself() -> None:
    """Flamant's line load on a half-plane, 2 P cos / (pi r) towards it, summed over a strip: just below, both are p."""
    depth, half = 1e-3, 1.0
    across = half * np.sinh(np.linspace(-12.0, 12.0, 400_001)) / math.sinh(12.0)
    radial = 2.0 * depth / (math.pi * (across**2 + depth**2))
    square, lean = depth**2 / (across**2 + depth**2), across**2 / (across**2 + depth**2)
    assert np.trapezoid(radial * lean, across) == pytest.approx(1.0, rel=3e-3)
    assert np.trapezoid(radial * square, across) == pytest.approx(1.0, rel=3e-3)


def test_friction_used_in_one_direction_is_the_most() -> None:
    """Many points around, each with its friction in a direction of its own, never carry more than the closed form says.

    And with one direction for all they carry just that.
    """
    rng = np.random.default_rng(3)
    mu, grip, radius = 0.15, 30e3, 50.0
    pressed = rng.dirichlet(np.ones(24), 500) * grip
    lean = rng.uniform(0.0, 2.0 * math.pi, (500, 24))
    torque = mu * radius * (pressed * np.cos(lean)).sum(axis=1)
    axial = mu * (pressed * np.sin(lean)).sum(axis=1)
    for t, a in zip(np.abs(torque), np.abs(axial), strict=True):
        assert needed(t, a, radius, mu) <= grip * (1.0 + 1e-12)
    for angle in (0.0, 0.4, 1.2, 0.5 * math.pi):
        t, a = mu * grip * radius * math.cos(angle), mu * grip * math.sin(angle)
        assert needed(t, a, radius, mu) == pytest.approx(grip)


def needed(torque: float, axial: float, radius: float, mu: float) -> float:
    """Return the grip (N) that the closed form asks for: a cut at the gripped diameter with this torque and pull."""
    return float(needed_grip(torque / radius, axial, 0.0, 2.0 * radius, 2.0 * radius, mu, 1.0, 20.0).combined)


def test_a_nut_of_equal_strength_has_the_least_c3() -> None:
    """C3 = 0.728 + 1.769 R - 2.896 R^2 + 1.296 R^3 from R = 0.4 to 1, 0.897 beyond; what `engagement` takes of it."""
    ratio = np.linspace(0.4, 1.0, 601)
    dilation = 0.728 + 1.769 * ratio - 2.896 * ratio**2 + 1.296 * ratio**3
    assert dilation.min() == pytest.approx(0.897, abs=5e-4)
    assert dilation.argmin() == 600
    # (5.5/48): m = 1.2 R_m A_s P / (C3 tau_B (P / 2 + (d - D2) tan 30 deg) pi d) + 0.8 P, tau_B = 0.6 R_m.
    size, strength, nut = thread("M16"), property_class("10.9", 16.0), 900.0
    diameter, pitch = 16.0, 2.0
    stress_area = math.pi / 4.0 * (diameter - 0.9382 * pitch) ** 2
    depth = 0.5 * pitch + 0.6495 * pitch / math.sqrt(3.0)
    stripped = dilation[-1] * 0.6 * nut * depth * math.pi * diameter / pitch
    least = 1.2 * strength.tensile * stress_area / stripped + 0.8 * pitch
    assert engagement(20.0, size, strength, nut).needed == pytest.approx(least, rel=2e-3)


def test_the_lips_of_a_drill_turn_it_at_half_its_radius() -> None:
    """Two forces spread evenly from the axis to the rim: their torque is that of one at the drill's diameter."""
    diameter, kappa, feed = 20.0, math.radians(59.0), 0.2
    force = kienzle.cutting_force(0.5 * feed, 0.5 * diameter, kappa, 2000.0, 0.25, 1.0)
    place = (np.arange(4000) + 0.5) * 0.5 * diameter / 4000
    torque = 2.0 * float(np.sum(force / 4000 * place))
    found = drilling.drilling_forces(feed, diameter, 2000.0, 0.25, height=10.0)
    assert 0.5 * found.tangential * found.diameter == pytest.approx(torque)


@pytest.mark.parametrize(("slowest", "fastest", "step"), [(10.0, 30.0, 1.3), (31.0, 80.0, 1.1)])
def test_the_correction_for_speed_is_near_a_table_books_steps(
    slowest: float, fastest: float, step: float
) -> None:
    for speed in (slowest, 0.5 * (slowest + fastest), fastest):
        assert kienzle.speed_factor(speed) == pytest.approx(step, rel=0.09)
