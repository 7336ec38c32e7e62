"""Hertz line contact.

K. L. Johnson, Contact Mechanics, Cambridge 1985, ch. 4 (from memory, not verified): a = sqrt(4 P R / (pi E*)),
p0 = 2 P / (pi a) with 1/R = 1/R1 - 1/R2 = dR/R^2 and E* = E/(2 (1 - nu^2)) for equal materials. With x = E1 dR/Q,
E1 = E/(1 - nu^2), the half-angle a/R is sqrt(8/(pi x)) and p0 R/Q = 2/(pi half-angle).
"""

import math

import pytest

from sim.contact.plane_case import pin_in_hole

# So small a load that R + dR is R within 0.1 %.
RADIUS, LOAD, E, NU = 50.0, 20.0, 210e3, 0.3


def half_width(gap):
    """Return a from the book's quantities, mm."""
    relative = RADIUS * (RADIUS + gap) / gap
    modulus = E / (2.0 * (1.0 - NU**2))
    return math.sqrt(4.0 * LOAD * relative / (math.pi * modulus))


@pytest.mark.parametrize("degrees", [4.0, 6.5, 8.5])
def test_small_contact_is_hertzian(degrees):
    """Required: 1 % while the half-angle is below 9 deg."""
    x = 8.0 / (math.pi * math.radians(degrees) ** 2)
    gap = x * LOAD * (1.0 - NU**2) / E
    a = half_width(gap)
    assert a / RADIUS == pytest.approx(math.radians(degrees), rel=0.002)
    found = pin_in_hole(LOAD, gap, 1.3 * math.radians(degrees), RADIUS, strips=50, material=(E, NU))
    assert found.half_angle_rad == pytest.approx(a / RADIUS, rel=0.01)
    assert found.centre_mpa == pytest.approx(2.0 * LOAD / (math.pi * a), rel=0.01)


def test_hertz_is_low_when_the_contact_is_wide():
    """At 27 deg Hertz's peak pressure is 9 % low (project design notes)."""
    half = math.radians(27.0)
    b2 = math.tan(0.5 * half) ** 2
    x = (2.0 - math.log1p(b2) - 2.0 * b2**2) / (math.pi * b2 * (1.0 + b2))
    found = pin_in_hole(LOAD, x * LOAD * (1.0 - NU**2) / E, 1.25 * half, RADIUS, strips=50, material=(E, NU))
    hertz = 2.0 / (math.pi * math.sqrt(8.0 / (math.pi * x))) * LOAD / RADIUS
    assert hertz / found.centre_mpa == pytest.approx(0.91, abs=0.01)
