"""Plots of the clamped part: what is drawn are the assessment's numbers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.views.plots import grip_by_stiffness
from sim.views.shape import over_turn, roundness_polar

THIN = "thin_ring_distorts"


def test_released_is_the_mirror_image_of_clamped(assessment: Callable[[str], Assessment]) -> None:
    figure = roundness_polar(assessment(THIN).operations[0])
    assert figure is not None
    lines = {line.get_label(): np.asarray(line.get_ydata()) for line in figure.axes[0].lines}
    released = next(v for k, v in lines.items() if k.startswith("outside after release"))
    clamped = lines["outside while clamped"]
    assert 0.5 * (released + clamped) == pytest.approx(np.full(clamped.size, 4.0))
    # Squeezed at jaw 1, so it stands out there after release; three lobes.
    assert released[0] > 4.0
    waves = np.abs(np.fft.rfft(released[:-1] - 4.0))
    assert int(np.argmax(waves)) == 3


def test_shapes_say_their_roundness_and_of_which_size_it_is(assessment: Callable[[str], Assessment]) -> None:
    figures = assessment(THIN).operations[0]
    figure = roundness_polar(figures)
    assert figure is not None
    assert figures.clamping.shape is not None
    rings, told = figure.legends[0].get_title().get_text().splitlines()
    bore, outside = figures.clamping.shape.roundness_um[:2]
    assert rings == f"outer ring: outside {outside:.1f} µm; inner ring: bore {bore:.1f} µm"
    assert told == f"part of middle size; bore of the worst size: {figures.roundness:.1f} µm"


def test_a_turn_is_closed(assessment: Callable[[str], Assessment]) -> None:
    figures = assessment(THIN).operations[0]
    upper, lower = over_turn(figures, 1.5).axes
    turn = figures.clamping.revolution
    assert turn is not None
    for jaw, line in enumerate(upper.lines):
        drawn = np.asarray(line.get_ydata())
        assert drawn[0] == drawn[-1]
        assert drawn[:-1] == pytest.approx(turn.grip_n[:, jaw] / 1000.0)
    least = np.asarray(lower.lines[0].get_ydata()).min()
    assert least == pytest.approx(min(figures.holdings[0].factor, 20.0))


def test_columns_have_no_shape(quickly_judged: Callable[[str], Assessment]) -> None:
    figures = quickly_judged(THIN).operations[0]
    assert roundness_polar(figures) is None


@pytest.mark.parametrize("name", ["cast_hub_on_ring", "housing_gripped_inside"])
def test_grip_by_stiffness_lies_on_the_favourable_side(
    name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Stiff jaws give up only a share of the centrifugal force: more is left outside, something is gained inside."""
    figures = assessment(name).operations[0]
    stiff = grip_by_stiffness(figures)
    assert stiff is not None
    assert stiff[0] == pytest.approx(figures.grip.rest_total)
    judged = figures.grip.curve.grip
    assert np.all(stiff[1:] >= judged[1:])
    assert np.all(stiff[1:][judged[1:] > 0.0] > judged[1:][judged[1:] > 0.0])
