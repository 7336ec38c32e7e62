"""Named views: bodies where the pose has them, opened, pulled apart; cameras that see everything."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from meshes.mass import mass_properties
from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.base.errors import ScenarioError
from sim.scenario import Scenario, View
from sim.setup import pose
from sim.views.bodies import bodies, placement, shapes, slide_of
from sim.views.camera import axes, projected
from sim.views.staging import directions, staged

SIZE = (600, 400)


def _view(**given: Any) -> View:
    return View.model_validate({"name": "test", **given})


@pytest.mark.parametrize("travel", [0.0, 2.2])
def test_bodies_are_placed_as_by_the_pose(two_steps: Assessment, travel: float) -> None:
    solids = {s.name: s for s in pose.gripping_scene(two_steps.parts, 1, travel)}
    meshes = shapes(two_steps)
    for body in bodies(two_steps):
        if body.run is not None or (body.stages and "1" not in body.stages):
            continue
        at = placement(body, slide_of(two_steps.parts), travel)
        moved = np.asarray(meshes[body.shape].vertices) @ at[:3, :3].T + at[:3, 3]
        expected = np.asarray(solids[body.name].mesh.vertices)
        assert moved.min(axis=0) == pytest.approx(expected.min(axis=0), abs=1e-9)
        assert moved.max(axis=0) == pytest.approx(expected.max(axis=0), abs=1e-9)


def test_a_section_halves_what_is_symmetric(two_steps: Assessment) -> None:
    """The plane through the axis and jaw 1 halves part and body; the jaw itself keeps half of its volume."""
    whole = staged(two_steps, _view(), SIZE).layers
    cut = staged(two_steps, _view(section="along"), SIZE).layers

    def volume(layers: Any, colour: str) -> float:
        return sum(mass_properties(layer.mesh, 1.0).volume for layer in layers if layer.colour == colour)

    for colour in {layer.colour for layer in whole}:
        assert volume(cut, colour) == pytest.approx(0.5 * volume(whole, colour), rel=2e-3)


def test_hidden_and_seen_through(two_steps: Assessment) -> None:
    shown = staged(
        two_steps, _view(hide=("chuck body", "workpiece"), see_through=("soft jaws",)), SIZE
    ).layers
    every = staged(two_steps, _view(), SIZE).layers
    assert len(shown) == len(every) - 2
    assert sum(layer.opacity < 1.0 for layer in shown) == 6  # with their teeth


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"apart": 1.0, "stage": BORING},
        {"turn": "0 deg", "rise": "90 deg"},
        {"turn": "180 deg", "rise": "-30 deg"},
    ],
)
def test_the_camera_sees_everything(two_steps: Assessment, given: dict[str, Any]) -> None:
    scene = staged(two_steps, _view(**given), SIZE)
    for layer in scene.layers:
        if layer.colour == "#5b6f7d" and "stage" in given:
            continue  # the tool may reach out of the picture
        seen = projected(scene.camera, layer.mesh.vertices, SIZE)
        assert (seen > -1.0).all()
        assert (seen < np.array(SIZE) + 1.0).all()


def test_zoom_shows_half(two_steps: Assessment) -> None:
    """Twice the zoom, twice the size: of things as far from the eye as the focus."""
    cameras = [staged(two_steps, _view(zoom=zoom), SIZE).camera for zoom in (1.0, 2.0)]
    distances = [np.linalg.norm(np.subtract(c.eye, c.focus)) for c in cameras]
    assert distances[0] == pytest.approx(2.0 * distances[1])


@pytest.mark.parametrize(
    ("turn", "rise", "towards"),
    [("0 deg", "0 deg", (0, 0, 1)), ("90 deg", "0 deg", (0, -1, 0)), ("0 deg", "90 deg", (1, 0, 0))],
)
def test_angles_name_directions(turn: str, rise: str, towards: tuple[float, float, float]) -> None:
    found, up = directions(_view(turn=turn, rise=rise))
    assert found == pytest.approx(towards, abs=1e-12)
    frame = axes(found, up)
    assert np.linalg.det(frame) == pytest.approx(1.0)


def test_views_are_checked_like_the_rest_of_the_file(varied: Callable[..., Scenario]) -> None:
    one = {"name": "a", "stage": "third side"}
    with pytest.raises(
        ScenarioError, match=r"views\[0\].stage must be one of boring, first side, second side"
    ):
        varied("valve_bonnet_two_steps", {"views": [one]})
    with pytest.raises(ScenarioError, match="different names"):
        varied("valve_bonnet_two_steps", {"views": [{"name": "a"}, {"name": "a"}]})
    with pytest.raises(ScenarioError, match=r"views\[0\].hide\[0\]"):
        varied("valve_bonnet_two_steps", {"views": [{"name": "a", "hide": ["everything"]}]})
