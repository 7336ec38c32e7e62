"""No text of a plot covers another or leaves the plot, in every shipped scenario; one colour has one meaning."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.text import Text

from sim.assessment.results import Assessment
from sim.views.colours import NEED, PATH
from sim.views.figure import as_pixels, new_figure, plain_axes
from sim.views.moment import moment_section
from sim.views.path_plot import clearance_by_distance
from sim.views.plots import clearance_along_path, grip_against_speed, pressure_faces, travel_band
from sim.views.section import section_figure
from sim.views.shape import over_turn, roundness_polar

TOUCH = 1.5  # pixels that boxes of two texts may share: letters do not fill their boxes


def plots(found: Assessment) -> Iterator[tuple[str, Figure]]:
    """Every plot of the review and of a notebook."""
    factor = found.scenario.limits.holding_factor
    made: list[tuple[str, Figure | None]] = [
        ("travel", travel_band(found)),
        ("clearance", clearance_along_path(found)),
        ("section", section_figure(found)),
    ]
    for stage, path in found.paths:
        made.append((f"path, {stage}", clearance_by_distance(path, factor)))
        made.append((f"moment, {stage}", moment_section(path)))
    for one in found.operations:
        made.append((f"grip, {one.operation.name}", grip_against_speed(one, found.scenario)))
        made.append((f"faces, {one.operation.name}", pressure_faces(one)))
        made.append((f"one turn, {one.operation.name}", over_turn(one, factor)))
        made.append((f"shape, {one.operation.name}", roundness_polar(one)))
    for name, figure in made:
        if figure is not None:
            yield name, figure


def undrawn(axes: Axes) -> set[int]:
    """Labels of ticks that lie outside of what the axes show: matplotlib has them and draws none of them."""
    found: set[int] = set()
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
            if not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                found |= {id(tick.label1), id(tick.label2)}
    return found


def settled(figure: Figure) -> Figure:
    """Draw a figure once, as it is drawn for a file: where all stands in it is settled then."""
    as_pixels(figure, figure.dpi)
    figure.set_layout_engine("none")
    return figure


def drawn_texts(figure: Figure) -> list[tuple[str, object]]:
    renderer = FigureCanvasAgg(figure).get_renderer()
    hidden = set().union(*(undrawn(axes) for axes in figure.axes))
    return [
        (text.get_text(), Text.get_window_extent(text, renderer))  # of the words, without an arrow
        for text in figure.findobj(Text)
        if isinstance(text, Text)
        and text.get_visible()
        and text.get_text().strip()
        and id(text) not in hidden
        and (text.axes is None or text.axes.axison)
    ]


def crossing(figure: Figure) -> list[tuple[str, str]]:
    """Return the pairs of texts that cover each other, and those that leave the figure."""
    texts = drawn_texts(figure)
    found = []
    for (one, a), (other, b) in itertools.combinations(texts, 2):
        wide = min(a.x1, b.x1) - max(a.x0, b.x0)  # type: ignore[attr-defined]
        high = min(a.y1, b.y1) - max(a.y0, b.y0)  # type: ignore[attr-defined]
        if wide > TOUCH and high > TOUCH:
            found.append((one, other))
    for words, box in texts:
        if (
            min(box.x0, box.y0) < -TOUCH  # type: ignore[attr-defined]
            or box.x1 > figure.bbox.width + TOUCH  # type: ignore[attr-defined]
            or box.y1 > figure.bbox.height + TOUCH  # type: ignore[attr-defined]
        ):
            found.append((words, "beyond the edge"))
    return found


def run_through(figure: Figure) -> list[str]:
    """Return the words of each legend through whose box a curve of some axes runs, or under which a point lies."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    found = []
    for legend in figure.findobj(Legend):
        assert isinstance(legend, Legend)
        box = legend.get_window_extent(renderer)
        words = ", ".join(text.get_text() for text in legend.get_texts())
        for line in (line for axes in figure.axes for line in axes.lines if line.get_visible()):
            points = line.get_transform().transform(np.column_stack([line.get_xdata(), line.get_ydata()]))
            points = points[np.isfinite(points).all(axis=1)]
            ends = np.stack([points[:-1], points[1:]], axis=1) if len(points) > 1 else points[:, None]
            steps = np.linspace(0.0, 1.0, 50)[:, None, None]
            between = ((1.0 - steps) * ends[:, 0] + steps * ends[:, -1]).reshape(-1, 2)
            assert line.axes is not None
            seen = line.axes.bbox.padded(TOUCH)  # what leaves the axes is not drawn
            x, y = between.T
            inside = (x > box.x0) & (x < box.x1) & (y > box.y0) & (y < box.y1)
            inside &= (x >= seen.x0) & (x <= seen.x1) & (y >= seen.y0) & (y <= seen.y1)
            if inside.any():
                found.append(f"{line.get_label()} runs through: {words}")
    return found


def names_run_through(figure: Figure) -> list[str]:
    """Return each curve of a grip plot that runs through a name: counted anew, along the lines and in pixels."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    (axes,) = figure.axes
    names = [text for text in axes.texts if text.get_color() in (NEED, PATH)]
    assert len(names) >= 2
    found = []
    for line, text in itertools.product(axes.lines, names):
        points = axes.transData.transform(np.column_stack([line.get_xdata(), line.get_ydata()]))
        steps = np.linspace(0.0, 1.0, 200)[:, None, None]
        between = ((1.0 - steps) * points[:-1] + steps * points[1:]).reshape(-1, 2)
        box = text.get_window_extent(renderer)
        within = (between > [box.x0, box.y0]).all(axis=1) & (between < [box.x1, box.y1]).all(axis=1)
        if within.any():
            found.append(f"{line.get_label()} runs through the name {text.get_text()}")
    return found


def test_words_cover_no_words_are_not_cut_and_no_curve_runs_through_them(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    """Each plot is drawn once for all three questions."""
    faults: dict[str, list[object]] = {}
    for name, figure in plots(assessment(scenario_name)):
        settled(figure)
        found = [*run_through(figure), *crossing(figure)]
        if name.startswith("grip, "):
            found += names_run_through(figure)
        if found:
            faults[name] = found
    assert not faults


@pytest.mark.parametrize(("place", "seen"), [("center", True), ("upper left", False)])
def test_a_curve_through_a_legend_is_seen(place: str, *, seen: bool) -> None:
    figure = new_figure(4.0, 3.0)
    axes = plain_axes(figure)
    axes.plot([0.0, 1.0], [0.0, 1.0], label="grip left")
    axes.legend(loc=place)
    assert bool(run_through(settled(figure))) == seen


@pytest.mark.parametrize(("x", "seen"), [(0.2, True), (0.6, False)])
def test_texts_that_cover_each_other_are_seen(x: float, *, seen: bool) -> None:
    figure = new_figure(4.0, 2.0)
    axes = plain_axes(figure)
    axes.text(0.2, 0.5, "grip left")
    axes.text(x, 0.52, "needed")
    assert bool(crossing(settled(figure))) == seen


def test_the_colour_of_a_limit_is_no_curve_of_what_is(assessment: Callable[[str], Assessment]) -> None:
    """Jaws, cuts and shapes share the colour of what is; that of limits and of what is needed draws nothing else."""
    found = assessment("shaft_on_a_centre")
    for name, figure in plots(found):
        for axes in figure.axes:
            limits = [
                line for line in axes.lines if to_hex(line.get_color()) == NEED and len(line.get_xdata()) > 2
            ]  # type: ignore[arg-type]
            words = {str(line.get_label()) for line in limits if not str(line.get_label()).startswith("_")}
            assert all(word.startswith(("needed", "required")) for word in words), name
