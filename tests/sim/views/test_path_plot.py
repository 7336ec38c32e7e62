"""Clearance along the path: drawn figures are those of the check."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.lines import Line2D

from sim.assessment.results import Assessment
from sim.clearance.limits import distance_along
from sim.views.path_plot import HOLDS, SHOWN, clearance_by_distance


def data(line: Line2D) -> tuple[np.ndarray, np.ndarray]:
    return np.asarray(line.get_xdata(), dtype=float), np.asarray(line.get_ydata(), dtype=float)


def test_curve_is_the_clearance_over_the_way_of_the_tip(touching: Assessment) -> None:
    path = touching.machining[0]
    assert path is not None
    figure = clearance_by_distance(path, 1.5)
    assert figure is not None
    upper, lower = figure.axes
    x, y = data(upper.lines[0])
    assert y == pytest.approx(np.repeat(np.minimum(path.clearance.clearance, SHOWN), 2))
    assert x[1::2] == pytest.approx(distance_along(path.moves))
    crosses = next(line for line in upper.lines if line.get_marker() == "x")
    assert len(data(crosses)[0]) == len({touch.move for touch in path.clearance.touches})
    _, factors = data(lower.lines[0])
    cuts = np.isfinite(path.grip.factor)
    assert factors[::2][cuts] == pytest.approx(np.minimum(path.grip.factor[cuts], HOLDS))
    assert np.isnan(factors[::2][~cuts]).all()
    words = " ".join(text.get_text() for text in upper.texts + lower.texts)
    assert "N235" in words
    assert f"{path.grip.factor.min():.2f} at up to" in words


def test_boring_has_no_grip_panel(blocked: Assessment) -> None:
    figure = clearance_by_distance(blocked.boring, 1.5)
    assert figure is not None
    assert len(figure.axes) == 1
