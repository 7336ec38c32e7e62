"""Interpolation without overshoot against SciPy's, and what it promises."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from sim.contact.monotone import interpolated


@settings(max_examples=200, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    n=st.integers(3, 12),
    flat=st.floats(0.0, 0.6),
    rising=st.booleans(),
)
def test_it_is_that_of_scipy(seed, n, flat, rising):
    """Flat stretches and extrema come in, at the ends too."""
    rng = np.random.default_rng(seed)
    places = np.cumsum(rng.uniform(0.1, 2.0, n))
    steps = np.where(rng.random((n, 2, 3)) < flat, 0.0, rng.normal(size=(n, 2, 3)))
    values = np.cumsum(np.abs(steps) if rising else steps, axis=0)
    at = np.concatenate([rng.uniform(places[0], places[-1], 9), places])
    expected = PchipInterpolator(places, values, axis=0)(at)
    found = interpolated(places, values, at)
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-12)
    if rising:
        order = np.argsort(at)
        assert np.all(np.diff(found[order], axis=0) >= -1e-12)


def test_between_two_places_it_is_a_line():
    found = interpolated(np.array([1.0, 3.0]), np.array([[2.0], [6.0]]), np.array([1.0, 1.5, 3.0]))
    assert found[:, 0] == pytest.approx([2.0, 3.0, 6.0])
