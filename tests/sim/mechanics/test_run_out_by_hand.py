"""Shift of a part by jaws and lobes, as complex sums over three jaws: soft and stiff sideways, any jaw, any scale."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from sim.mechanics.run_out import jaw_shift, lobe_shift, lobe_weights

PLACES = np.array([-0.4, -0.1, 0.1, 0.4])
WEIGHTS = np.array([1.0, 3.0, 3.0, 1.0])


@pytest.mark.parametrize("rho", [0.3, 0.5, 1.0])
@pytest.mark.parametrize("errors", [(0.3, 0.0, 0.0), (0.0, 0.3, 0.0), (0.1, 0.2, -0.4), (-0.2, 0.1, 0.1)])
def test_jaws_that_yield_sideways_too_shift_the_part_less(
    rho: float, errors: tuple[float, float, float]
) -> None:
    """(2/3) rho |sum of d exp(i 120 deg k)|."""
    total = sum(d * cmath.exp(2j * math.pi * k / 3.0) for k, d in enumerate(errors))
    assert jaw_shift(errors, rho) == pytest.approx(2.0 / 3.0 * rho * abs(total))


@pytest.mark.parametrize("order", [2, 4, 5, 7])
@pytest.mark.parametrize("scale", [1e-3, 1.0, 1e3])
def test_how_stiff_a_face_is_does_not_weigh_its_lobes(order: int, scale: float) -> None:
    """Only where it carries counts: cosines and sines of the places, each over its own sum of squares."""
    c, s = lobe_weights(order, PLACES, scale * WEIGHTS)
    cosine = sum(w * math.cos(order * x) * math.cos(x) for w, x in zip(WEIGHTS, PLACES, strict=True))
    sine = sum(w * math.sin(order * x) * math.sin(x) for w, x in zip(WEIGHTS, PLACES, strict=True))
    assert c == pytest.approx(
        cosine / sum(w * math.cos(x) ** 2 for w, x in zip(WEIGHTS, PLACES, strict=True))
    )
    assert s == pytest.approx(sine / sum(w * math.sin(x) ** 2 for w, x in zip(WEIGHTS, PLACES, strict=True)))


@pytest.mark.parametrize(("order", "sign"), [(2, -1.0), (4, 1.0), (5, -1.0), (7, 1.0)])
def test_lobes_beside_multiples_of_three(order: int, sign: float) -> None:
    """One more than a multiple of three adds what is tangential, one less takes it off."""
    assert lobe_shift(order, 0.6, 0.5, 2.0) == pytest.approx(abs(0.6 * 0.5 + sign * 0.4 * 2.0))
    assert lobe_shift(order, 1.0, -0.5, 2.0) == pytest.approx(0.5)
