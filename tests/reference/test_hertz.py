"""Hertz line contact (closed_forms.hertz_half_width; K. L. Johnson, Contact Mechanics, Cambridge 1985, ch. 4).

a = sqrt(4 P R / (pi E*)), p0 = 2 P / (pi a). With x = E1 dR/Q, E1 = E/(1 - nu^2), the half-angle a/R is sqrt(8/(pi x))
and p0 R/Q = 2/(pi half-angle). The load is so small that R + dR is R within 0.1 %.
"""

import math

import accuracy
import closed_forms
import pytest


@pytest.mark.parametrize("degrees", [4.0, 6.5, 8.5])
def test_small_contact_is_hertzian(degrees):
    """Required: 1 % while the half-angle is below 9 deg."""
    found, a = accuracy.hertz(degrees)
    assert a / accuracy.RADIUS == pytest.approx(math.radians(degrees), rel=0.002)
    assert found.half_angle_rad == pytest.approx(a / accuracy.RADIUS, rel=0.01)
    assert found.centre_mpa == pytest.approx(2.0 * accuracy.HERTZ_LOAD / (math.pi * a), rel=0.01)


def test_hertz_is_low_when_the_contact_is_wide():
    """At 27 deg Hertz's peak pressure is 9 % below the conformal one (Persson)."""
    x = closed_forms.conformal_difference(math.radians(27.0))
    hertz = 2.0 / (math.pi * math.sqrt(8.0 / (math.pi * x))) * accuracy.PERSSON_LOAD / accuracy.RADIUS
    assert hertz / accuracy.conformal(27.0, 50).centre_mpa == pytest.approx(0.91, abs=0.01)
