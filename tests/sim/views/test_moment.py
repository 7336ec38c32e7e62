"""The moment that matters: the stock of then, the tool where it touches, in section and in 3D."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import shapely

from sim.assessment.moment import image_at, moment
from sim.assessment.results import Assessment
from sim.views.figure import as_png
from sim.views.moment import moment_picture, moment_section, moment_solids


def test_stock_is_turned_as_far_as_it_is_by_then(touching: Assessment) -> None:
    """N235 comes last: by then the collar is at its finished 80 mm and the front face at 58 mm over the back face."""
    path = touching.machining[0]
    assert path is not None
    found = moment(path)
    assert found is not None
    front = 27.0 + 58.0
    assert found.stock.bounds[3] == pytest.approx(front, abs=1e-3)
    collar = shapely.intersection(found.stock, shapely.box(0.0, front - 20.0, 200.0, front - 10.0))
    assert collar.bounds[2] == pytest.approx(40.0, abs=1e-3)
    assert found.words.startswith("insert contact: insert on soft jaws")
    assert "N235, line 27" in found.words


def test_solids_at_that_moment(touching: Assessment) -> None:
    """The turned part reaches as high as its section, and the tool's cutter stands at the tip."""
    path = touching.machining[0]
    assert path is not None
    found = moment(path)
    assert found is not None
    solids = {solid.name: solid for solid in moment_solids(touching, path, found)}
    assert np.asarray(solids["workpiece"].mesh.vertices)[:, 2].max() == pytest.approx(85.0, abs=1e-3)
    cutter = np.asarray(solids["cutter"].mesh.vertices)
    assert cutter[:, 0].min() == pytest.approx(found.tip[0], abs=2e-3)
    assert cutter[:, 2].min() == pytest.approx(found.tip[1], abs=2e-3)
    assert {"carrier", "chuck body", "soft jaw 1"} <= set(solids)


def test_jaws_are_bored_as_far_as_they_are_by_then(blocked: Assessment) -> None:
    """The bar meets the ring in a late rough pass: less is turned away than in the end, more than nothing."""
    path = blocked.boring
    found = moment(path)
    assert found is not None
    assert path.wanted.area < found.stock.area < path.stock.area
    jaw = next(s for s in moment_solids(blocked, path, found) if s.name == "soft jaw 1")
    assert jaw.mesh.is_watertight
    assert blocked.parts.bored.volume < jaw.mesh.volume < blocked.parts.stock.volume


@pytest.mark.parametrize("name", ["cast_hub_on_ring", "cast_hub_by_program"])
def test_without_a_touch_it_is_where_the_tool_comes_nearest(
    name: str, quickly_judged: Callable[[str], Assessment]
) -> None:
    """The two ends stand as far apart as the report says, one on the body, one on the tool where it then is."""
    path = quickly_judged(name).boring
    assert path.clearance.first_touch is None
    least, number = path.clearance.least_clearance, path.clearance.least_move
    found = moment(path)
    assert found is not None
    assert found.ends is not None
    on_tool, on_body = (shapely.Point(end) for end in found.ends)
    assert found.move == number
    assert on_tool.distance(on_body) == pytest.approx(least, abs=0.02)
    assert found.mark == pytest.approx(np.mean(found.ends, axis=0))
    named = [body.image for body in path.bodies if body.name == path.clearance.body[number]]
    assert (named[0] if named else path.stock).distance(on_body) < 1e-6
    pieces = [
        image_at(found.tool, k, found.tip)
        for k, piece in enumerate(found.tool.parts)
        if piece.name == path.clearance.part[number]
    ]
    assert min(piece.distance(on_tool) for piece in pieces) < 1e-6
    assert f"least clearance {least:.2f} mm" in found.words
    assert ("off the line" in found.words) == bool(path.clearance.astray[number])


def test_section_shows_the_place(touching: Assessment) -> None:
    path = touching.machining[0]
    assert path is not None
    figure = moment_section(path)
    assert figure is not None
    (axes,) = figure.axes
    (low, high), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    assert low < 50.0 < high
    assert bottom < 60.0 < top
    assert as_png(figure, 40.0).startswith(b"\x89PNG")


@pytest.mark.usefixtures("rendering")
def test_picture_in_3d(touching: Assessment) -> None:
    path = touching.machining[0]
    assert path is not None
    picture = moment_picture(touching, path, (400, 300))
    assert picture is not None
    assert picture.shape == (300, 400, 3)
    assert picture.std() > 10.0
