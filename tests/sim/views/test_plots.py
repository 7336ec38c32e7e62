from __future__ import annotations

import itertools

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg

from sim.assessment.results import Assessment
from sim.views.figure import as_svg
from sim.views.plots import clearance_along_path, grip_against_speed, pressure_faces, travel_band


def _texts(figure: object) -> list[str]:
    from matplotlib.figure import Figure

    assert isinstance(figure, Figure)
    return [text.get_text() for axes in figure.axes for text in axes.texts]


def test_grip_plot_draws_the_curve_and_names_the_speeds(two_steps: Assessment) -> None:
    figures = two_steps.operations[0]
    figure = grip_against_speed(figures, two_steps.scenario)
    drawn = figure.axes[0].lines[0].get_xydata()
    assert np.allclose(drawn, np.column_stack([figures.grip.curve.speeds, figures.grip.curve.grip / 1000.0]))
    words = " ".join(_texts(figure))
    assert f"marked on the chuck, {figures.grip.permissible.marked:.0f}" in words
    assert f"permissible, VDI 3106, {figures.grip.permissible.by_cutting:.0f}" in words


def test_rows_of_words_over_the_grip_plot_do_not_overlap(two_steps: Assessment) -> None:

    figure = grip_against_speed(two_steps.operations[0], two_steps.scenario)
    FigureCanvasAgg(figure).draw()
    boxes = [text.get_window_extent() for text in figure.axes[0].texts]
    assert len(boxes) == 4 + 4  # speeds that bound it, and the names of the curves
    for number, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[number + 1 :])


def test_travel_plot_has_a_row_for_boring_and_each_operation(two_steps: Assessment) -> None:
    figure = travel_band(two_steps)
    assert len(figure.axes[0].get_yticks()) == 1 + len(two_steps.operations)
    for figures in two_steps.operations:
        assert f"{figures.travel.first:.2f} to {figures.travel.last:.2f}" in _texts(figure)


def test_clearance_plot_marks_every_touch(blocked: Assessment, two_steps: Assessment) -> None:
    figure = clearance_along_path(blocked)
    assert figure is not None
    (crosses,) = [line for line in figure.axes[0].lines if line.get_marker() == "x"]
    assert len(crosses.get_xdata()) == int((blocked.boring.clearance.clearance <= 0.0).sum())  # type: ignore[arg-type]
    free = clearance_along_path(two_steps)
    assert free is not None
    assert not [line for line in free.axes[0].lines if line.get_marker() == "x"]


def test_svg_follows_the_page_and_keeps_its_ids_apart(two_steps: Assessment) -> None:
    import re

    first = as_svg(pressure_faces(two_steps.operations[0]), "one")
    second = as_svg(pressure_faces(two_steps.operations[1]), "two")
    ids = [set(re.findall(r' id="([^"]+)"', svg)) for svg in (first, second)]
    assert not ids[0] & ids[1]
    for svg in (first, second):
        assert "var(--ink)" in svg
        assert "var(--sans)" in svg
        for used in re.findall(r"url\(#([^)]+)\)", svg):
            assert f'id="{used}"' in svg


def test_names_of_curves_lie_on_no_line(two_steps: Assessment) -> None:
    """As it is drawn: no point of any line is inside of the words beside a curve."""
    for figures in two_steps.operations:
        figure = grip_against_speed(figures, two_steps.scenario)
        FigureCanvasAgg(figure).draw()
        (axes,) = figure.axes
        named = [one for one in axes.texts if one.get_text().startswith(("grip left", "by the", "needed"))]
        assert len(named) == 4
        for line in axes.lines:
            points = line.get_transform().transform(np.asarray(line.get_xydata()))
            dense = np.vstack([np.linspace(a, b, 200) for a, b in itertools.pairwise(points)])
            for one in named:
                box = one.get_window_extent()
                inside = (dense[:, 0] > box.x0) & (dense[:, 0] < box.x1)
                inside &= (dense[:, 1] > box.y0 + 1.0) & (dense[:, 1] < box.y1 - 1.0)
                assert not inside.any(), one.get_text()
