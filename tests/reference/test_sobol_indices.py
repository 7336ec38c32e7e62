"""Sobol indices of functions whose indices are known in closed form, through the code that ranks the inputs.

Ishigami & Homma, "An importance quantification technique in uncertainty analysis for computer models", Proc. ISUMA '90
(1990), 398-403: f = sin x1 + a sin(x2)^2 + b x3^4 sin x1, x uniform on -pi to pi. The indices for a = 7, b = 0.1 follow
from its variances D1 = b pi^4/5 + b^2 pi^8/50 + 1/2, D2 = a^2/8, D13 = b^2 pi^8 (1/18 - 1/50), which are printed as
0.3139, 0.4424, 0 first order and 0.5576, 0.4424, 0.2437 total (Saltelli et al., Global Sensitivity Analysis: The
Primer, Wiley 2008; checked by these formulas, and by integrals in test_derived_again.py).
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.uncertainty.distribution import normal, triangular, uniform
from sim.uncertainty.sensitivity import indices

A, B = 7.0, 0.1


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.sin(x[0]) + A * np.sin(x[1]) ** 2 + B * x[2] ** 4 * np.sin(x[0])


def closed_form() -> tuple[np.ndarray, np.ndarray]:
    d1 = B * np.pi**4 / 5.0 + B**2 * np.pi**8 / 50.0 + 0.5
    d2, d13 = A**2 / 8.0, B**2 * np.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    total = d1 + d2 + d13
    return np.array([d1, d2, 0.0]) / total, np.array([d1 + d13, d2, d13]) / total


def test_the_closed_form_is_as_printed() -> None:
    first, total = closed_form()
    assert first == pytest.approx([0.3139, 0.4424, 0.0], abs=5e-5)
    assert total == pytest.approx([0.5576, 0.4424, 0.2437], abs=5e-5)


def test_ishigami() -> None:
    found = indices(ishigami, [uniform(-np.pi, np.pi)] * 3, 2048, 7)
    first, total = closed_form()
    assert found.first[0] == pytest.approx(first, abs=0.015)
    assert found.total[0] == pytest.approx(total, abs=0.015)
    # The intervals are those of the bootstrap for independent rows: a Sobol sequence is nearer than they say.
    for at, ends in ((first, found.first_interval[0]), (total, found.total_interval[0])):
        assert (ends[:, 0] <= at).all()
        assert (at <= ends[:, 1]).all()


def test_the_variance_of_a_sum_is_shared_by_the_variances_of_its_terms() -> None:
    """f = sum c x of independent x: S_i = c_i^2 var_i / sum, total the same; an input that does not vary has none."""
    c = np.array([2.0, -1.0, 0.5, 3.0])
    spreads = [normal(1.0, 1.0), uniform(0.0, 6.0), triangular(0.0, 2.0, 6.0), normal(5.0, 0.0)]
    # Variances: a normal cut at 4 deviations 0.99893; (b-a)^2/12; (a^2+b^2+m^2-ab-am-bm)/18.
    variance = c**2 * np.array([0.99893, 3.0, (36.0 + 4.0 - 12.0) / 18.0, 0.0])
    found = indices(lambda x: c @ x, spreads, 2048, 3)
    assert found.first[0] == pytest.approx(variance / variance.sum(), abs=0.01)
    assert found.total[0] == pytest.approx(variance / variance.sum(), abs=0.01)
    assert [found.first[0, 3], found.total[0, 3]] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert found.total_interval[0, 3] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_what_does_not_vary_has_no_indices() -> None:
    found = indices(lambda x: np.stack([x[0], np.ones(x.shape[1])]), [uniform(0.0, 1.0)] * 2, 256, 1)
    assert found.first[0] == pytest.approx([1.0, 0.0], abs=0.02)
    assert not found.first[1].any()
    assert not found.total[1].any()
