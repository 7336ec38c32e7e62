"""The plot of a fit: every reading is on it once a panel, and its line is the fit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sim.readings import Fitted, fitted, gauged, read_readings
from sim.setup import parts
from sim.setup.loading import load
from sim.views.fit_plot import fit_figure


@pytest.fixture(scope="module")
def found(root: Path) -> Fitted:
    built = parts.build(load(root / "scenarios" / "cast_hub_on_ring.toml"))
    return fitted(gauged(built, read_readings(root / "scenarios" / "readings" / "cast_hub_gauge.csv", 3.0)))


def test_readings_and_fit_are_drawn(found: Fitted) -> None:
    rest, speed, left = fit_figure(found).axes
    marked = [
        sum(len(line.get_xdata()) for line in axes.lines if line.get_marker() not in ("None", None, ""))  # type: ignore[arg-type]
        for axes in (rest, speed, left)
    ]
    assert marked == [12, 18, 18]
    residuals = np.concatenate(
        [np.asarray(line.get_ydata()) for line in left.lines if line.get_marker() != "None"]
    )
    assert np.sort(residuals) == pytest.approx(np.sort(found.residual) / 1000.0)
    assert "kN" in rest.get_ylabel()
    assert "bar" in rest.get_xlabel()
