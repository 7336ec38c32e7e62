"""Rate at which the contact approaches Persson's solution as the strips get finer (see test_conformal_contact).

Constant pressure on a strip of width h, and a pressure that ends like a root: first order is expected of the pressure
in the root mean square, second order of its value in the middle, where it is smooth.
"""

import math

import numpy as np
import pytest

from sim.contact.plane_case import pin_in_hole

RADIUS, LOAD, E, NU, HALF = 50.0, 1000.0, 210e3, 0.3, math.radians(30.0)


def pressure(phi):
    b2, y2 = math.tan(0.5 * HALF) ** 2, np.tan(0.5 * phi) ** 2
    s, q = np.sqrt(np.maximum(b2 - y2, 0.0)), math.sqrt(1.0 + b2)
    log = np.log((q + s) / (q - s)) / (2.0 * math.pi * b2 * q**2)
    return (2.0 * s / (math.pi * q * (1.0 + y2)) + log) * LOAD / RADIUS


def test_rates():
    b2 = math.tan(0.5 * HALF) ** 2
    x = (2.0 - math.log1p(b2) - 2.0 * b2**2) / (math.pi * b2 * (1.0 + b2))
    counts, spread, centre, half = (10, 20, 40), [], [], []
    for strips in counts:
        found = pin_in_hole(LOAD, x * LOAD * (1.0 - NU**2) / E, 1.25 * HALF, RADIUS, strips, (E, NU))
        width = found.angles_rad[1] - found.angles_rad[0]
        samples = found.angles_rad[:, None] + width * (np.arange(400) + 0.5 - 200.0) / 400.0
        expected = pressure(samples).mean(axis=1)
        spread.append(math.sqrt(np.mean((found.pressure_mpa - expected) ** 2) / np.mean(expected**2)))
        centre.append(abs(found.centre_mpa / expected.max() - 1.0))
        half.append(abs(found.half_angle_rad / HALF - 1.0))
    h = np.log(1.0 / np.array(counts))
    assert np.polyfit(h, np.log(spread), 1)[0] == pytest.approx(1.0, abs=0.25)
    assert np.polyfit(h, np.log(centre), 1)[0] == pytest.approx(2.0, abs=0.4)
    assert np.polyfit(h, np.log(half), 1)[0] > 0.8
