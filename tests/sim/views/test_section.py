from __future__ import annotations

import pytest
import shapely
from matplotlib.patches import Patch

from sim.assessment.moment import image_at, moment
from sim.assessment.results import Assessment
from sim.views.figure import as_png, as_svg
from sim.views.section import section_figure


def test_mark_of_a_touch_lies_in_the_body_that_is_touched(blocked: Assessment) -> None:
    standing = moment(blocked.boring)
    touch = blocked.boring.clearance.first_touch
    assert standing is not None
    assert touch is not None
    body = next(b for b in blocked.boring.bodies if b.name == touch.body)
    assert shapely.Point(standing.mark).distance(body.image) < 0.01
    assert touch.body in standing.words
    assert f"move {touch.move + 1}" in standing.words


def test_least_clearance_is_drawn_as_long_as_it_was_found(two_steps: Assessment) -> None:
    """The view looks the place up by itself; its length must be the figure of the clearance check."""
    standing = moment(two_steps.boring)
    assert standing is not None
    assert standing.ends is not None
    length = shapely.LineString(standing.ends).length
    assert length == pytest.approx(two_steps.boring.clearance.least_clearance, abs=0.05)


def test_image_of_the_insert_contains_the_tip(two_steps: Assessment) -> None:
    boring = two_steps.boring
    tip = (60.0, 40.0)
    cutting = [k for k, p in enumerate(boring.tool.parts) if p.kind == "insert"]
    gap = min(image_at(boring.tool, k, tip).distance(shapely.Point(tip)) for k in cutting)
    assert gap <= 1.5 * boring.tool.nose_radius  # the programmed tip lies before the nose


def test_bodies_that_meet_are_hatched_otherwise_and_screws_are_whole(blocked: Assessment) -> None:
    """ISO 128-3: hatching tells parts apart that lie on each other; screws are drawn whole where they are cut along."""
    figure = section_figure(blocked)
    marks = {
        words.get_text(): patch.get_hatch()
        for words, patch in zip(figure.legends[0].get_texts(), figure.legends[0].legend_handles, strict=True)
        if isinstance(patch, Patch)
    }
    for one, other in (
        ("chuck body", "master jaws"),
        ("master jaws", "T-nuts"),
        ("master jaws", "soft jaws as bored"),
        ("soft jaws as bored", "boring ring"),
    ):
        assert marks[one]
        assert marks[one] != marks[other]
    assert not marks["jaw screws"]
    drawn = {patch.get_hatch() for patch in figure.axes[0].patches if patch.get_hatch()}
    assert drawn == {pattern for pattern in marks.values() if pattern}


def test_section_has_equal_scales_and_a_legend(blocked: Assessment) -> None:
    figure = section_figure(blocked)
    (axes,) = figure.axes
    assert axes.get_aspect() == 1.0
    words = [text.get_text() for text in figure.legends[0].get_texts()]
    assert {"boring ring", "soft jaws as bored", "feed", "rapid", "insert"} <= set(words)
    assert as_png(figure, 50.0).startswith(b"\x89PNG")
    svg = as_svg(figure, "section")
    assert "boring ring" in svg
    assert "<metadata" not in svg
