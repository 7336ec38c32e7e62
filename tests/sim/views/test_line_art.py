"""Vector pictures: only edges that are seen, where they are seen."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
import trimesh

from meshes.revolve import revolve
from sim.assessment.results import CAUTIONS
from sim.views.camera import fitted, projected
from sim.views.layer import Layer
from sim.views.line_art import as_svg, distances, outlines, visible_edges
from sim.views.render import depth, render

SIZE = (400, 300)


def _box() -> tuple[Layer, object]:
    mesh = trimesh.creation.box((20.0, 30.0, 40.0))
    return Layer(mesh), fitted(mesh.vertices, (0.5, -0.6, 0.7), (1.0, 0.0, 0.0), SIZE, 0.8)


@pytest.mark.usefixtures("rendering")
def test_nine_of_twelve_edges_of_a_box_are_seen() -> None:
    """A box seen over a corner hides three edges; the seen ones run from corner to corner."""
    layer, camera = _box()
    away = depth([layer], camera, SIZE)  # type: ignore[arg-type]
    found = visible_edges(away, [layer], camera)  # type: ignore[arg-type]
    corners = projected(camera, layer.mesh.vertices, SIZE)  # type: ignore[arg-type]
    seen = {
        tuple(sorted(int(np.hypot(*(corners - end).T).argmin()) for end in run))
        for run in found
        if np.hypot(*(run[1] - run[0])) > 12.0
    }
    assert len(seen) == 9


@pytest.mark.usefixtures("rendering")
def test_depth_is_the_distance_along_the_line_of_sight() -> None:
    layer, camera = _box()
    away = depth([layer], camera, SIZE)  # type: ignore[arg-type]
    ends = distances(camera, np.asarray(layer.mesh.vertices))  # type: ignore[arg-type]
    assert np.isfinite(away).mean() > 0.1
    assert away[np.isfinite(away)].min() == pytest.approx(ends.min(), rel=0.01)
    assert away[np.isfinite(away)].max() < ends.max()


def test_a_round_body_has_two_outlines() -> None:
    """Seen from far aside, the wall of a cylinder turns away along two lines, a diameter apart."""
    mesh = revolve([(0.0, 0.0), (10.0, 0.0), (10.0, 30.0), (0.0, 30.0)], 128)
    camera = fitted(mesh.vertices, (0.0, -1.0, 0.0), (1.0, 0.0, 0.0), SIZE)
    ends = outlines(mesh, camera)
    along = ends[np.ptp(ends[:, :, 2], axis=1) > 20.0]
    assert np.ptp(along[:, :, 0]) == pytest.approx(20.0, rel=0.03)
    assert len(along) == 2


@pytest.mark.usefixtures("rendering")
def test_the_file_is_svg_with_words_and_cautions() -> None:
    layer, camera = _box()
    picture = render([layer], camera, SIZE, transparent=True)  # type: ignore[arg-type]
    away = depth([layer], camera, SIZE)  # type: ignore[arg-type]
    root = ElementTree.fromstring(as_svg(picture, away, [layer], camera, "A <box> & more"))  # type: ignore[arg-type]  # noqa: S314
    names = [child.tag.rpartition("}")[2] for child in root]
    assert names == ["title", "desc", "image", "path"]
    assert root[0].text == "A <box> & more"
    assert all(caution in (root[1].text or "") for caution in CAUTIONS)


@pytest.mark.usefixtures("rendering")
def test_transparent_pictures_cover_the_solid_and_nothing_else() -> None:
    layer, camera = _box()
    picture = render([layer], camera, SIZE, transparent=True)  # type: ignore[arg-type]
    assert picture.shape == (SIZE[1], SIZE[0], 4)
    inside = np.isfinite(depth([layer], camera, SIZE))  # type: ignore[arg-type]
    assert (picture[..., 3] > 127).mean() == pytest.approx(inside.mean(), rel=0.02)
    assert picture[0, 0, 3] == 0
    # The rim takes its colour from the solid, not from a ground that is not there.
    rim = (picture[..., 3] > 20) & (picture[..., 3] < 235)
    assert picture[rim][:, :3].mean() > 40
