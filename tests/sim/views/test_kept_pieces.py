"""Pieces of a page from the last run: those whose every bit is the same are taken over, any other is made anew."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
import pytest
import trimesh
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from PIL import Image

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, places_on_path, states
from sim.base.answers import pieces_in
from sim.base.kept import forget
from sim.clearance.standing import Standing
from sim.scenario import Scenario
from sim.views import embed, kept_pieces, render, silent
from sim.views.camera import Camera
from sim.views.embed import embedded_drawing, embedded_plot
from sim.views.figure import as_pixels, as_png, content_of, in_diameters, new_figure, plain_axes
from sim.views.kept_page import kept_review
from sim.views.layer import Layer, Picture
from sim.views.web import written

EYE = Camera((0.0, 0.0, 100.0), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), 30.0)
BOX = trimesh.creation.box((10.0, 20.0, 30.0))


@pytest.fixture
def run(tmp_path: Path) -> Callable[[], Any]:
    """Return what opens the pieces as a process does that has nothing but the folder."""
    return lambda: pieces_in(tmp_path, "test")


def plot(change: Callable[[Axes], object] = lambda _: None) -> Figure:
    figure = new_figure(5.0, 3.0)
    axes = plain_axes(figure, "a title", "across, mm", "up, mm")
    axes.plot([0.0, 1.0, 2.0], [1.0, 3.0, 2.0], label="a curve", color="#336699")
    in_diameters(axes)
    change(axes)
    return figure


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was drawn."""
    made: list[str] = []
    known = embed.as_svg

    def as_svg(figure: Figure, name: str) -> str:
        made.append(name)
        return known(figure, name)

    monkeypatch.setattr(embed, "as_svg", as_svg)
    return made


def test_a_plot_is_drawn_once_and_comes_back_to_the_byte(run: Callable[[], Any], drawn: list[str]) -> None:
    found = []
    for _ in range(3):
        with run():
            found.append(embedded_plot(plot(), "p", "words"))
    plain = embedded_plot(plot(), "p", "words")
    assert [(one.markup, one.readout) for one in found] == 3 * [(plain.markup, plain.readout)]
    assert drawn == ["p", "p"], "the first run, and the one that keeps nothing"
    assert "a curve" in plain.readout


def moved(axes: Axes) -> None:
    axes.lines[0].set_ydata([1.0, float(np.nextafter(3.0, 4.0)), 2.0])


@pytest.mark.parametrize(
    "change",
    [
        moved,
        lambda axes: axes.lines[0].set_color("#336698"),
        lambda axes: axes.lines[0].set_linewidth(1.7),
        lambda axes: axes.lines[0].set_label("a curv"),
        lambda axes: axes.set_xlim(0.0, 2.5),
        lambda axes: axes.set_title("another title", loc="left"),
        lambda axes: axes.set_yscale("log"),
        lambda axes: axes.axhline(2.0),
        lambda axes: axes.text(0.5, 2.0, "a word"),
        lambda axes: axes.yaxis.set_major_formatter("{x:g}"),
        lambda axes: axes.imshow(np.eye(3)),
        lambda axes: axes.figure.set_size_inches(5.0, 3.1),
    ],
)
def test_whatever_is_changed_in_a_plot_draws_it_anew(
    run: Callable[[], Any], drawn: list[str], change: Callable[[Axes], object]
) -> None:
    with run():
        embedded_plot(plot(), "p", "words")
    with run():
        found = embedded_plot(plot(change), "p", "words")
    assert drawn == ["p", "p"]
    assert found.markup == embedded_plot(plot(change), "p", "words").markup


def test_the_name_of_a_plot_and_the_librarys_settings_draw_it_anew(
    run: Callable[[], Any], drawn: list[str]
) -> None:
    with run():
        embedded_plot(plot(), "p", "words")
    with run():
        embedded_plot(plot(), "q", "words")
    with run():
        embedded_plot(plot(), "q", "other words")
    with run(), matplotlib.rc_context({"path.simplify_threshold": 0.5}):
        embedded_plot(plot(), "q", "words")
    assert drawn == ["p", "q", "q"], "its words are no part of the drawing"


def test_a_figure_that_cannot_be_told_is_drawn_each_time(run: Callable[[], Any], drawn: list[str]) -> None:
    def untold(axes: Axes) -> None:
        axes.yaxis.set_major_formatter(lambda value, _: f"{value:g}")

    for _ in range(2):
        with run():
            assert content_of(plot(untold)) is None
            embedded_plot(plot(untold), "p", "words")
    assert drawn == ["p", "p"]


def test_a_drawing_depends_on_its_pixels(run: Callable[[], Any], monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[float] = []
    known = embed.as_pixels

    def as_pixels(figure: Figure, dots: float) -> Picture:
        made.append(dots)
        return known(figure, dots)

    monkeypatch.setattr(embed, "as_pixels", as_pixels)
    markups = []
    for dots in (50.0, 50.0, 60.0):
        with run():
            markups.append(embedded_drawing(plot(), dots, "words").markup)
    assert made == [50.0, 60.0]
    assert markups[0] == markups[1] != markups[2]


@pytest.mark.parametrize("dots", [50.0, 72.0, 133.3])
@pytest.mark.parametrize("ground", [None, "#eef2f6"])
def test_pixels_of_a_drawing_are_those_of_its_file(dots: float, ground: str | None) -> None:
    figure = plot()
    figure.set_size_inches(5.13, 3.07)
    if ground is not None:
        figure.patch.set(facecolor=ground, alpha=1.0)
    file = np.asarray(Image.open(io.BytesIO(as_png(figure, dots))).convert("RGB"))
    np.testing.assert_array_equal(as_pixels(figure, dots), file)


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Pictures rendered: noise, so that none is like another."""
    made: list[int] = []

    def picture(*asked: Any) -> Picture:
        size = asked[2]
        made.append(len(made))
        noise = np.random.default_rng(len(made)).integers(0, 256, (size[1], size[0], 3))
        return np.asarray(noise, dtype=np.uint8)

    monkeypatch.setattr(render, "_rendered", picture)
    return made


def test_a_picture_is_rendered_once_and_comes_back_pixel_by_pixel(
    run: Callable[[], Any], rendered: list[int]
) -> None:
    shots = []
    for _ in range(3):
        with run():
            shots.append(render.render([Layer(BOX.copy())], EYE, (40, 30)))
    assert rendered == [0]
    assert np.array_equal(shots[0], shots[1])
    assert np.array_equal(shots[0], shots[2])
    assert shots[0].shape == (30, 40, 3)


def test_other_surfaces_colours_eyes_and_sizes_are_rendered_anew(
    run: Callable[[], Any], rendered: list[int]
) -> None:
    one = Layer(BOX)
    shifted = BOX.copy()
    shifted.vertices[0, 0] = np.nextafter(shifted.vertices[0, 0], 99.0)
    turned = BOX.copy()
    turned.faces = turned.faces[:, ::-1]
    painted = np.zeros((len(BOX.vertices), 3), dtype=np.uint8)
    asked: list[tuple[list[Layer], Camera, tuple[int, int], dict[str, bool]]] = [
        ([one], EYE, (40, 30), {}),
        ([replace(one, mesh=shifted)], EYE, (40, 30), {}),
        ([replace(one, mesh=turned)], EYE, (40, 30), {}),
        ([replace(one, colour="#c0c0c1")], EYE, (40, 30), {}),
        ([replace(one, opacity=0.5)], EYE, (40, 30), {}),
        ([replace(one, edges=False)], EYE, (40, 30), {}),
        ([replace(one, vertex_colours=painted)], EYE, (40, 30), {}),
        ([one, one], EYE, (40, 30), {}),
        ([one], replace(EYE, angle=31.0), (40, 30), {}),
        ([one], EYE, (40, 31), {}),
        ([one], EYE, (40, 30), {"transparent": True}),
    ]
    for _ in range(2):
        with run():
            for layers, camera, size, more in asked:
                render.render(layers, camera, size, **more)
    assert len(rendered) == len(asked)


def test_other_code_and_other_libraries_make_all_anew(
    run: Callable[[], Any], drawn: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with run():
        embedded_plot(plot(), "p", "words")
    for place in ("sim.base.answers.maker", "sim.views.kept_pieces.drawn_with"):
        with monkeypatch.context() as patch:
            patch.setattr(place, lambda: "other")
            with run():
                embedded_plot(plot(), "p", "words")
        with run():
            embedded_plot(plot(), "p", "words")
    assert len(drawn) == 5


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Kinds of the pieces that were made, not taken over."""
    kinds: list[str] = []
    known = kept_pieces.kept_piece

    def kept_piece(kind: str, *values: object, make: Callable[[], str]) -> str:
        def noted() -> str:
            kinds.append(kind)
            return make()

        return known(kind, *values, make=noted)

    for place in ("embed", "render", "web.written"):
        monkeypatch.setattr(f"sim.views.{place}.kept_piece", kept_piece)
    return kinds


def test_an_edited_setup_has_the_page_that_it_has_from_nothing(
    tmp_path: Path, quickly_judged: Callable[[str], Assessment], made: list[str]
) -> None:
    """What an edit leaves as it was is taken over, and not a byte of the page tells."""
    first = quickly_judged("cast_hub_on_ring")
    scenario = first.scenario.model_copy(update={"title": "another title"})
    edited = replace(first, scenario=scenario, parts=replace(first.parts, scenario=scenario))
    before = kept_review(tmp_path / "warm", Path("a.toml"), first, silent)
    once = len(made)
    warm = kept_review(tmp_path / "warm", Path("a.toml"), edited, silent)
    assert made[once:] == [], "nothing that is drawn or solved hangs on the title"
    forget()
    cold = kept_review(tmp_path / "cold", Path("a.toml"), edited, silent)
    assert warm == cold
    assert warm != before
    assert {"plot", "contact of a state"} <= set(made)
    assert "places on a path" in made


def test_places_on_a_path_are_looked_at_once_for_all_pressures(
    run: Callable[[], Any], varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another pressure and speed leave them as they were, to the bit; another tool, stock or place does not."""
    looked: list[str] = []

    def look(ready: States, stage: str, places: Sequence[float]) -> tuple[Standing, ...]:
        looked.append(stage)
        return places_on_path(ready, stage, places)

    monkeypatch.setattr(written, "places_on_path", look)
    places, found = (0.0, 11.0, 23.456), []
    for changes in (
        {}, {"operations.0.gripping.pressure": "17 bar", "operations.0.gripping.speed_high": "800 rpm"},
        {"boring.travel": "2.9 mm"},
    ):  # fmt: skip
        ready = states(assess(varied("cast_hub_on_ring", changes), contact_model="foundation"))
        with run():
            found.append(
                (written._kept_places(ready, "boring", places), places_on_path(ready, "boring", places))
            )
        forget()
    assert looked == ["boring", "boring"]
    assert all(kept == plain for kept, plain in found)
    assert math.isfinite(found[0][0][1].distance)
    with run():
        written._kept_places(ready, "boring", (0.0, 11.0, float(np.nextafter(23.456, 24.0))))
    assert len(looked) == 3
