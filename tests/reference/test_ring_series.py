"""Rings under three equal radial loads, thick and thin.

Michell's annulus and Lame's, thin ring of Timoshenko and Roark: see closed_forms.py.
"""

import accuracy
import closed_forms
import numpy as np
import pytest

E, NU, OUTER = accuracy.E, accuracy.NU, accuracy.RADIUS


def michell(n, inner, at, *, plane_stress=False):
    return closed_forms.michell(n, inner, OUTER, E, NU, at, plane_stress=plane_stress)


@pytest.mark.parametrize("inner", [10.0, 50.0 * 2.0 / 3.0, 40.0, 46.0, 49.0])
def test_harmonics_of_a_thick_and_a_thin_ring(inner):
    """Plane strain, exact: 0.5 % of the loaded surface's motion in that harmonic, on it, in the middle and at the bore.

    A load of 1 N/rad on the height h is a pressure 1/(R h). The high harmonics of a thick ring fade towards its bore.
    Measured: 0.2 % at most; at n = 24 up to 1 % at the bore of a 4 mm wall, whose share of any load is below 0.1 %.
    """
    height, middle = 30.0, 0.5 * (inner + OUTER)
    places = np.array([[inner, 15.0], [middle, 15.0]])
    _, found = accuracy.gripped_ring(inner, height, 0.2, places, plane=True)
    for n in (0, 2, 3, 4, 6, 9, 12):
        row = int(np.flatnonzero(found.orders == n)[0])
        for got, at in (
            (found.band_mm[row].mean(), OUTER),
            (found.place_mm[row, 0, 0].mean(), inner),
            (found.place_mm[row, 1, 0].mean(), middle),
        ):
            expected = michell(n, inner, at) / (OUTER * height)
            largest = abs(michell(n, inner, OUTER)) / (OUTER * height)
            assert got == pytest.approx(expected, rel=0.0, abs=0.005 * largest)


@pytest.mark.parametrize("inner", [100.0 / 3.0, 44.0, 48.0])
@pytest.mark.parametrize("half_degrees", [0.5, 10.0])
def test_three_arc_loads_move_the_loaded_arcs(inner, half_degrees):
    """Mean motion of the loaded arcs, nearly points and arcs, against the series summed to n = 3000: 0.5 %."""
    ours, exact = accuracy.arc_motion(inner, half_degrees)
    assert ours == pytest.approx(exact, rel=0.005)


def test_a_flat_ring_is_in_plane_stress():
    """A ring 1 mm high in 3D against Michell in plane stress."""
    _, found = accuracy.gripped_ring(40.0, 1.0, 0.2, plane=False)
    for n in (0, 2, 3, 6):
        row = int(np.flatnonzero(found.orders == n)[0])
        expected = michell(n, 40.0, OUTER, plane_stress=True) / OUTER
        assert found.band_mm[row].mean() == pytest.approx(expected, rel=0.005)


def test_thin_ring_formula_within_its_validity():
    """R/t = 50, three inward point loads: 1 %."""
    ours, formula = accuracy.thin_ring()
    assert ours == pytest.approx(formula, rel=0.01)


def test_the_thin_ring_formula_is_low_for_a_thick_ring():
    """R/t = 8: it leaves out shear and the curvature of the wall, and the annulus does not."""
    ours, formula = accuracy.thin_ring(OUTER / 8.5)
    assert 0.02 < 1.0 - formula[0] / ours[0] < 0.1
