"""The map of pressure and speed: borders have names that do not cover each other, points are where they are."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.legend import Legend

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdicts.rule import MET
from sim.layouts.boring_window import boring_window
from sim.layouts.grip_height import GripHeight, grip_height
from sim.layouts.window import Window
from sim.views.window import BAR, window_figure


@pytest.fixture(scope="module", params=["cast_hub_on_ring", "housing_gripped_inside", "thin_ring_distorts"])
def shown(
    request: pytest.FixtureRequest,
    quickly_judged: Callable[[str], Assessment],
    quick_window: Callable[[str, int], Window],
) -> tuple[Window, GripHeight]:
    return quick_window(request.param, 0), grip_height(quickly_judged(request.param), 0)


@pytest.fixture(scope="module")
def figure(shown: tuple[Window, GripHeight]) -> Figure:
    """Both plots, which the tests look at and leave as they are."""
    return window_figure(*shown)


def test_names_stand_apart_and_inside(figure: Figure) -> None:
    canvas = FigureCanvasAgg(figure)
    figure.draw(canvas.get_renderer())
    axes = figure.axes[0]
    boxes = [(t.get_text(), t.get_window_extent()) for t in axes.texts if t.get_text()]
    frame = axes.get_window_extent()
    for (one, box), (other, there) in itertools.combinations(boxes, 2):
        assert not box.overlaps(there), (one, other)
    for name, box in boxes:
        assert frame.x0 - 2 <= box.x0, name
        assert box.x1 <= frame.x1 + 2, name


def test_what_ends_the_window_is_named(shown: tuple[Window, GripHeight], figure: Figure) -> None:
    found, _ = shown
    names = {t.get_text() for t in figure.axes[0].texts}
    best = found.recommended or found.stated
    for side in (best.low, best.high, best.fast):
        if side is not None and side.name != "the pressure limit":
            assert any(name.startswith(side.name) for name in names), (side.name, names)


def test_points_are_where_the_window_has_them(shown: tuple[Window, GripHeight], figure: Figure) -> None:
    found, _ = shown
    axes = figure.axes[0]
    marks = {(float(x.get_xdata()[0]), float(x.get_ydata()[0])) for x in axes.lines if x.get_marker() in "oD"}
    assert (found.stated.speed, BAR * found.stated.pressure) in marks
    if found.recommended is not None:
        assert (found.recommended.speed, BAR * found.recommended.pressure) in marks
    words = " ".join(t.get_text() for legend in axes.get_children() if hasattr(legend, "get_texts")
                     for t in legend.get_texts())  # fmt: skip
    assert ("fails" in words) == (found.stated.margin < MET)


def test_heights_plot_holds_the_stated_point(shown: tuple[Window, GripHeight], figure: Figure) -> None:
    _, height = shown
    axes = figure.axes[1]
    low, high = axes.get_xlim()
    assert low <= height.height <= high
    assert axes.get_ylim()[1] > BAR * height.limit
    assert np.isfinite(axes.get_xlim()).all()


def test_cautions_stand_on_the_plot(figure: Figure) -> None:
    words = " ".join(t.get_text() for t in figure.texts).replace("\n", " ")
    for caution in CAUTIONS:
        assert caution in words


def test_a_closed_window_says_what_closes_it(shown: tuple[Window, GripHeight], figure: Figure) -> None:
    found, _ = shown
    words = " ".join(
        t.get_text() for legend in figure.axes[0].get_children()
        if isinstance(legend, Legend) for t in legend.get_texts()
    )  # fmt: skip
    assert ("no window: " in words) == (found.recommended is None)
    assert "no window: " not in words or "roundness after release met nowhere" in words


def test_boring_has_a_map_of_its_own(quickly_judged: Callable[[str], Assessment]) -> None:
    """Names stand off the marks, the ring's limits are named, the speeds beyond are left out."""
    found = boring_window(quickly_judged("cast_hub_on_ring"))
    assert found is not None
    figure = window_figure(found, None)
    canvas = FigureCanvasAgg(figure)
    figure.draw(canvas.get_renderer())
    (axes,) = figure.axes
    names = {t.get_text() for t in axes.texts}
    assert {"ring's pressure limit", "ring's speed limit", "load on the fixture", "steady pressure"} <= names
    assert axes.get_xlim()[1] < 0.6 * found.speeds[-1]
    for point in (found.stated, found.recommended):
        assert point is not None
        x, y = axes.transData.transform((point.speed, BAR * point.pressure))
        assert not any(t.get_window_extent().contains(x, y) for t in axes.texts)
