"""Contact of steel on aluminium against NAFEMS' roller on a block and Hertz (see roller_in_bore.py)."""

import closed_forms
import pytest
import roller_in_bore as case


def hertz(first=case.STEEL, second=case.ALUMINIUM):
    return closed_forms.hertz_roller(case.LINE_FORCE, case.RELATIVE, first, second)


def test_the_printed_figures_are_hertz():
    assert hertz() == pytest.approx((case.PRINTED_HALF_WIDTH, case.PRINTED_PRESSURE), rel=1e-3)


def test_steel_roller_in_a_wide_aluminium_bore():
    """Required: 1 %, as for equal metals below a half-angle of 9 deg (8 deg here)."""
    found = case.roller()
    assert found.half_width == pytest.approx(case.PRINTED_HALF_WIDTH, rel=0.01)
    assert found.pressure == pytest.approx(case.PRINTED_PRESSURE, rel=0.01)


def test_which_of_both_is_the_softer_does_not_matter():
    """Hertz adds the softnesses, whoever has which; the kernels of roller and bore share little but the code."""
    turned = case.roller(case.ALUMINIUM, case.STEEL)
    assert turned.pressure == pytest.approx(case.roller().pressure, rel=0.01)


def test_one_modulus_for_both_would_be_seen():
    """With steel in steel the pressure is 1.42 times as large."""
    assert hertz(case.STEEL, case.STEEL)[1] > 1.4 * case.roller().pressure
