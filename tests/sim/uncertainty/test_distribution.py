"""Distributions against moments and quantiles of the closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.uncertainty.distribution import CUT, Distribution, lognormal, normal, triangular, uniform

SHARES = (np.arange(20_000) + 0.5) / 20_000


def test_moments() -> None:
    assert normal(3.0, 0.5).ppf(SHARES).mean() == pytest.approx(3.0)
    assert normal(3.0, 0.5).ppf(SHARES).std() == pytest.approx(0.5, rel=1e-3)  # cut at 4 deviations
    assert uniform(1.0, 4.0).ppf(SHARES).std() == pytest.approx(3.0 / np.sqrt(12.0), rel=1e-4)
    assert triangular(0.0, 1.0, 5.0).ppf(SHARES).mean() == pytest.approx(2.0, rel=1e-4)
    logs = np.log(lognormal(2.0, 1.3).ppf(SHARES))
    assert np.exp(logs.mean()) == pytest.approx(2.0)
    assert np.exp(logs.std()) == pytest.approx(1.3, rel=1e-3)


@given(st.floats(0.0, 1.0))
def test_nothing_lies_beyond_the_ends(share: float) -> None:
    for one in (normal(2.0, 0.3), uniform(1.0, 1.5), triangular(1.0, 1.0, 2.0), lognormal(1.0, 1.2)):
        value = float(one.ppf(share))
        assert one.low - 1e-9 <= value <= one.high + 1e-9


def test_no_spread_is_one_value() -> None:
    for one in (normal(2.0, 0.0), uniform(2.0, 2.0), triangular(2.0, 2.0, 2.0), lognormal(2.0, 1.0)):
        assert one.is_fixed
        assert (one.ppf([0.0, 0.3, 1.0]) == 2.0).all()
    assert normal(0.0, 1.0).high == CUT


def test_ends_must_rise() -> None:
    with pytest.raises(ValueError, match="must rise"):
        Distribution("uniform", 2.0, 1.0, 3.0)
