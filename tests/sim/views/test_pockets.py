"""The section with the part in its pocket: one scale for all, the re-bore line where the metal ends."""

from __future__ import annotations

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.setup.rebore import pocket_stock
from sim.views.colours import NEED, PATH
from sim.views.pockets import pocket_figure, window


def test_window_holds_every_layout(two_steps: Assessment, gripped_inside: Assessment) -> None:
    shown = window((two_steps, gripped_inside))
    for one in (two_steps, gripped_inside):
        alone = window((one,))
        assert shown.high >= alone.high
        assert shown.radius >= alone.radius


@pytest.mark.parametrize("operation", [0, 1])
def test_gripped_line_and_re_bore_lines(two_steps: Assessment, operation: int) -> None:
    figure = pocket_figure(two_steps, operation, window((two_steps,)))
    axes = figure.axes[0]
    zone = two_steps.operations[operation].zone
    (held,) = (x for x in axes.lines if x.get_color() == PATH)
    assert np.sort(held.get_xdata()) == pytest.approx((zone.low, zone.high))
    lines = [x for x in axes.lines if x.get_color() == NEED]
    moved = two_steps.operations[operation].grip_travel - two_steps.scenario.boring.travel
    for line, pocket, stock in zip(
        lines, two_steps.scenario.pockets, pocket_stock(two_steps.parts), strict=True
    ):
        assert line.get_ydata()[0] == pytest.approx(0.5 * pocket.diameter + stock.radial - moved)


def test_gripped_inside_the_metal_lies_inward(gripped_inside: Assessment) -> None:
    figure = pocket_figure(gripped_inside, 0, window((gripped_inside,)))
    (line,) = (x for x in figure.axes[0].lines if x.get_color() == NEED)
    assert line.get_ydata()[0] < 0.5 * gripped_inside.scenario.pockets[0].diameter
