"""What plots answer to the pointer: places of axes in the picture, values of curves and maps."""

from __future__ import annotations

import json

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.views.figure import as_svg, new_figure, plain_axes
from sim.views.plots import grip_against_speed, pressure_faces, travel_band
from sim.views.readout import readout


def test_axes_lie_where_matplotlib_draws_them() -> None:
    """A point of the data, by matplotlib's own transform, and by the shares of the read-out."""
    figure = new_figure(6.0, 3.0)
    axes = plain_axes(figure, "title", "across", "up")
    axes.plot([0.0, 4.0], [1.0, 3.0], label="line")
    as_svg(figure, "test")
    (answer,) = json.loads(readout(figure))
    x, y = 2.5, 1.7
    seen = axes.transData.transform((x, y)) / figure.bbox.size
    across = answer["left"] + (answer["right"] - answer["left"]) * (x - answer["x"][0]) / np.ptp(answer["x"])
    down = answer["bottom"] - (answer["bottom"] - answer["top"]) * (y - answer["y"][0]) / np.ptp(answer["y"])
    assert (across, 1.0 - down) == pytest.approx(tuple(seen), abs=2e-4)
    assert answer["series"] == [{"name": "line", "xs": [0.0, 4.0], "ys": [1.0, 3.0]}]


def test_curves_without_a_name_and_lines_that_are_no_function_are_silent() -> None:
    figure = new_figure(4.0, 3.0)
    axes = plain_axes(figure)
    axes.plot([0.0, 1.0], [0.0, 1.0])
    axes.plot([1.0, 0.0], [0.0, 1.0], label="backwards")
    assert readout(figure) == ""


def test_gaps_in_a_curve_are_gaps() -> None:
    figure = new_figure(4.0, 3.0)
    plain_axes(figure).plot([0.0, 1.0, 2.0], [0.0, np.nan, 1.0], label="with a gap")
    assert json.loads(readout(figure))[0]["series"][0]["ys"] == [0.0, None, 1.0]


def test_the_grip_plot_answers_with_the_grip(two_steps: Assessment) -> None:
    figures = two_steps.operations[0]
    figure = grip_against_speed(figures, two_steps.scenario)
    as_svg(figure, "grip")
    (answer,) = json.loads(readout(figure))
    curve = next(s for s in answer["series"] if s["name"].startswith("grip left"))
    assert np.interp(600.0, curve["xs"], curve["ys"]) == pytest.approx(
        np.interp(600.0, figures.grip.curve.speeds, figures.grip.curve.grip) / 1000.0, rel=1e-3
    )


def test_the_faces_answer_with_pressures_in_their_unit(two_steps: Assessment) -> None:
    figure = pressure_faces(two_steps.operations[0])
    as_svg(figure, "faces")
    answers = json.loads(readout(figure))
    assert len(answers) == 3
    for answer in answers:
        values = np.array(answer["map"]["values"])
        assert answer["map"]["unit"] == "MPa"
        assert 0.0 <= values.min() < values.max()
    assert (
        max(np.max(a["map"]["values"]) for a in answers) <= two_steps.operations[0].clamping.band_peak * 1.001
    )


def test_a_plot_of_bars_has_no_readout(two_steps: Assessment) -> None:
    assert readout(travel_band(two_steps)) == ""
