"""The page of layouts side by side: well formed, offline, cautions first, one camera for a row."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim.assessment.results import CAUTIONS, Assessment
from sim.layouts.comparison import Comparison, Row, compare
from sim.layouts.layout import Layout
from sim.setup import pose
from sim.views import comparison, render
from sim.views.camera import projected
from sim.views.cutaway import towards_tailstock


@pytest.fixture(scope="module")
def found(two_steps: Assessment, blocked: Assessment) -> Comparison:
    return compare([Layout("two <steps>", (two_steps,)), Layout("single & blocked", (blocked,))])


@pytest.fixture
def page(found: Comparison, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setattr(render, "_trial", lambda: "no driver here")
    return comparison.comparison_page(found)


def test_page_is_offline_and_names_are_escaped(page: str) -> None:
    without_names = re.sub(r'xmlns(:\w+)?="[^"]*"', "", page)
    assert "http:" not in without_names
    assert "https:" not in without_names
    assert "<script" not in page
    assert "<steps>" not in page
    assert "two &lt;steps&gt;" in page
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for element in ("table", "figure", "section", "div", "ul", "li", "td", "tr"):
        assert page.count(f"<{element}>") + page.count(f"<{element} ") == page.count(f"</{element}>"), element


def test_cautions_and_decision_stand_before_the_pictures(page: str, found: Comparison) -> None:
    text = html.unescape(page)
    first = text.index("From the same place")
    for line in (*CAUTIONS, *found.decision.reasons):
        assert -1 < text.index(line) < first
    for verdict in (v for v in found.layouts[1].verdicts if v.status == "fail"):
        assert verdict.message in text[:first]


def test_what_was_asked_passes_and_is_called_so(
    quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A layout of which nothing warns is not called one that does, though a question that matters is open."""
    monkeypatch.setattr(render, "_trial", lambda: "no driver here")
    layouts = [Layout(name, (quickly_judged(f"cast_hub_on_{name}"),)) for name in ("ring", "plug")]
    assert all(v.status == "pass" for one in layouts for v in one.verdicts)
    marks = re.findall(
        r'class="mark (\w+)"><[^>]*>[^<]*</span> ([^<]*)<', comparison.comparison_page(compare(layouts))
    )
    assert marks[:2] == [("warn", "passes what was asked")] * 2


def test_without_a_driver_the_drawings_remain(page: str) -> None:
    assert "The 3D pictures are left out" in page
    assert "<img" not in page
    assert page.count("<svg") == 3  # two operations, of which the second layout has one
    assert "This layout has no such set-up." in page


def test_one_camera_sees_both(found: Comparison) -> None:
    """The camera of a row is fitted to all bodies of all its pictures."""
    scenes = [pose.boring_scene(layout.sets[0].parts) for layout in found.layouts]
    camera = towards_tailstock((s.mesh for scene in scenes for s in scene), comparison.SIZE)
    seen = projected(camera, np.vstack([s.mesh.vertices for scene in scenes for s in scene]), comparison.SIZE)
    assert (seen.min(axis=0) >= 0.0).all()
    assert (seen.max(axis=0) <= comparison.SIZE).all()


def test_pictures_are_there_where_they_can_be_drawn(found: Comparison, rendering: None) -> None:
    assert rendering is None  # skipped where this computer cannot render
    page = comparison.comparison_page(replace(found, layouts=found.layouts))
    # two operations of the first layout, one of the second, one boring set-up each
    assert page.count("<img") == 5


@pytest.mark.parametrize(
    ("better", "values", "best"),
    [
        ("more", (1.0, 2.0, 2.004), "2.00"),
        ("less", (1.0, 2.0, None), "1.00"),
        ("less", (2.001, 2.0), None),
        ("", (1.0, 2.0), None),
        ("more", ("ring", "plug"), None),
    ],
)
def test_the_better_figure_is_marked_as_shown(
    better: str, values: tuple[float | str | None, ...], best: str | None
) -> None:
    assert comparison._best(Row("g", "w", "mm", values, better)) == best  # type: ignore[arg-type]
