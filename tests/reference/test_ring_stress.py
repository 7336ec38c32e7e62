"""Stress around a squeezed ring against published formulas, and the finite elements' strain against the plane series.

Thin ring under three point loads (Timoshenko, Strength of Materials II; Roark, rings): bending moment 0.1888 P R under
a load, P R / 2 (1/sin t - 1/t) between, with t = 60 deg; force around P cot t / 2 and P / (2 sin t). Lame: a ring under
an even pressure outside bears 2 p b^2 / (b^2 - a^2) at its bore.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from plain_case import HALF_ARC_RAD, STEEL, plain_setup

from sim.contact import clamped_shape, prepare, press
from sim.mechanics import distortion

T = math.pi / 3.0


@pytest.mark.parametrize(("thinness", "within"), [(20.0, 0.03), (40.0, 0.02)])
def test_point_loads_on_a_thin_ring(thinness: float, within: float) -> None:
    load, mean, width = 1000.0, 50.0, 20.0
    wall = mean / thinness
    area, section = width * wall, width * wall**2 / 6.0
    moment = 0.5 * load * mean * (1.0 / T - 1.0 / math.tan(T))
    assert moment == pytest.approx(0.1888 * load * mean, rel=2e-3)  # as printed
    around = 0.5 * load / math.tan(T)
    # Inside of the wall under a load: pulled by bending, pressed by the force around.
    expected = moment / section - around / area
    found = distortion.annulus(load, mean - 0.5 * wall, mean + 0.5 * wall, width, 210e3, 0.3)
    assert found.free_stress == pytest.approx(expected, rel=within)


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_even_pressure_is_lames_ring(direction: distortion.Direction) -> None:
    """Three arcs that meet are an even pressure."""
    a, b, width, load = 40.0, 60.0, 25.0, 30e3
    found = distortion.annulus(load, a, b, width, 210e3, 0.3, direction=direction, half_angle=T)
    loaded = b if direction == "outside" else a
    pressure = 3.0 * load / (2.0 * math.pi * loaded * width)
    assert found.free_stress == pytest.approx(2.0 * pressure * loaded**2 / (b**2 - a**2), rel=1e-6)


def test_strain_of_the_finite_elements_gives_the_series_stress() -> None:
    """A plain ring 40/50 mm, 30 mm high, under an even pressure on each arc: stress free along z, so nearly plane.

    The series' bore stress beside E times the strain around the bore at half height; 4 % for the third dimension.
    """
    setup = plain_setup(0.0, 40.0, STEEL)
    ready = prepare(setup, np.array([[40.0, 25.0]]))
    result = press(setup, None, ready)
    even = np.full_like(result.pressure_mpa, 1.0)
    shape = clamped_shape(replace(result, pressure_mpa=even), ready)
    along = 2.0 * math.sin(HALF_ARC_RAD) * 50.0 * 30.0  # N of one jaw along its travel at 1 MPa
    load = along * HALF_ARC_RAD / math.sin(HALF_ARC_RAD)  # the series takes what is spread along the arc
    series = distortion.annulus(load, 40.0, 50.0, 30.0, 210e3, 0.3, half_angle=HALF_ARC_RAD)
    assert 210e3 * float(np.abs(shape.hoop_strain[0]).max()) == pytest.approx(series.free_stress, rel=0.04)


def test_a_rigid_shift_strains_nothing() -> None:
    """The strain around the bore of a ring that is only moved is none; of one that grows evenly it is u / r."""
    setup = plain_setup(0.0, 40.0, STEEL)
    ready = prepare(setup, np.array([[40.0, 25.0]]))
    shape = clamped_shape(press(setup, None, ready), ready)
    mean = float(shape.moved_mm[0, 0].mean())
    assert float(shape.hoop_strain[0].mean()) == pytest.approx(mean / 40.0, rel=1e-6)
