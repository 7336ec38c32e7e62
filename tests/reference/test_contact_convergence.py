"""Rates at which the contact settles as strips, elements and harmonics get more (studies of convergence.py)."""

from itertools import pairwise

import convergence
import numpy as np
import pytest


def rate(counts, errors):
    return -np.polyfit(np.log(counts), np.log(errors), 1)[0]


def test_rates_against_persson():
    """Constant pressure on a strip, and a pressure that ends like a root.

    First order is expected of the pressure in the root mean square, second order of its value in the middle, where
    it is smooth.
    """
    counts = (10, 20, 40)
    study = convergence.persson(counts)
    assert rate(counts, study["pressure, root mean square"]) == pytest.approx(1.0, abs=0.25)
    assert rate(counts, study["pressure in the middle"]) == pytest.approx(2.0, abs=0.4)
    assert rate(counts, study["half-angle"]) > 0.8


def test_more_strips_come_nearer_to_the_finest():
    """First order is expected of the pressure, which is constant on a strip; approach and lobe are means of it."""
    counts = (12, 24, 48)
    study = convergence.with_cells([*((strips, 2) for strips in counts), (96, 2)])
    for errors in study.values():
        assert errors[0] > errors[1] > errors[2]
    assert rate(counts, study[convergence.BANDS_OF_3_DEG]) > 0.9
    assert study[convergence.BANDS_OF_3_DEG][-1] < 0.01
    assert max(study[convergence.APPROACH][-1], study[convergence.LOBE][-1]) < 0.001


def test_more_bands_come_nearer_to_the_finest():
    study = convergence.with_cells([(24, bands) for bands in (2, 6, 12)])
    for errors in study.values():
        assert errors[1] < errors[0]
    assert study[convergence.BANDS_OF_3_DEG][1] < 0.01


def test_more_elements_of_the_jaw_come_nearer_to_the_finest():
    study = convergence.with_jaw_elements((6, 3, 2, 1), 36, 2)
    for errors in study.values():
        assert errors[0] > errors[1] > errors[2]


def test_more_harmonics_come_nearer_to_all():
    """The motion of a point load's neighbourhood grows with the logarithm of the harmonics: each octave adds less."""
    study = convergence.with_harmonics((48, 96, 192, 384, 768), 36, 2)
    for errors in study.values():
        assert all(coarse > fine for coarse, fine in pairwise(errors))
        assert errors[-1] < 0.01
