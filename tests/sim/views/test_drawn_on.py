"""What is drawn on solids lies on them, moves with them, and is cut with them."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.setup import pose
from sim.views.bodies import METAL_IN_METAL, TEETH
from sim.views.colours import OVERLAP
from sim.views.cutaway import opened
from sim.views.drawn_on import beyond, drawn_on, without
from sim.views.scene import boring_scene


@pytest.mark.parametrize("travel", [0.0, 2.4])
def test_lines_lie_on_the_body_of_their_name(two_steps: Assessment, travel: float) -> None:
    solids = {one.name: one.mesh for one in pose.gripping_scene(two_steps.parts, 0, travel)}
    on = drawn_on(two_steps, "0", travel)
    assert {"chuck body", "soft jaw 1", "soft jaw 3", "master jaw 2", "jaw screw 2.1"} <= set(on.lines)
    for name in set(on.lines) & {f"soft jaw {k}" for k in (1, 2, 3)}:
        low, high = solids[name].bounds
        points = on.lines[name].reshape(-1, 3)
        assert (points > low - 0.1).all()
        assert (points < high + 0.1).all()


def test_teeth_stand_in_the_grooves_of_the_master_jaws(two_steps: Assessment) -> None:
    """Tooth and groove share the same flanks: no volume in common, and together they fill the height of a tooth."""
    on = drawn_on(two_steps, "0", 1.7)
    teeth = [mesh for body, mesh in on.solids if body.kind == TEETH]
    assert len(teeth) == 3
    for number, mesh in enumerate(teeth, start=1):
        common = trimesh.boolean.intersection([mesh, on.instead[f"master jaw {number}"]], engine="manifold")
        assert abs(_volume(common)) < 1e-3 * _volume(mesh)


def _volume(mesh: trimesh.Trimesh) -> float:
    return float(np.linalg.det(mesh.triangles).sum() / 6.0) if len(mesh.faces) else 0.0


def test_teeth_go_with_the_soft_jaws_when_pulled_apart(two_steps: Assessment) -> None:
    together, apart = (drawn_on(two_steps, "0", 0.0, apart=share) for share in (0.0, 1.0))
    for number, name in enumerate(("soft jaw 1", "soft jaw 2", "soft jaw 3")):
        way = apart.lines[name].mean(axis=(0, 1)) - together.lines[name].mean(axis=(0, 1))
        before, after = (
            [mesh for body, mesh in one.solids if body.kind == TEETH][number] for one in (together, apart)
        )
        assert after.bounds - before.bounds == pytest.approx(np.tile(way, (2, 1)), abs=1e-9)
        assert np.linalg.norm(way) > 50.0


def test_metal_in_metal_is_drawn_where_the_tool_touches(blocked: Assessment, two_steps: Assessment) -> None:
    assert METAL_IN_METAL in {body.kind for body, _ in drawn_on(blocked, BORING, 3.0).solids}
    assert METAL_IN_METAL not in {body.kind for body, _ in drawn_on(blocked, "0", 3.0).solids}
    assert METAL_IN_METAL not in {body.kind for body, _ in drawn_on(two_steps, BORING, 3.0).solids}


def test_metal_in_metal_is_red_wherever_it_is_drawn(blocked: Assessment) -> None:
    """Where chuck and jaws are cut away, as two setups are compared, as well as in the picture of the boring."""
    on = drawn_on(blocked, BORING, blocked.scenario.boring.travel)
    for layers in (opened(pose.boring_scene(blocked.parts), on), boring_scene(blocked).layers):
        assert OVERLAP in {layer.colour for layer in layers}


def test_the_insert_of_the_standing_tool_has_its_screw(two_steps: Assessment) -> None:
    scene = boring_scene(two_steps)
    marked = [layer for layer in scene.layers if layer.lines is not None]
    tips = [
        layer
        for layer in marked
        if np.ptp(layer.mesh.vertices[:, 1]) < 12.0 and layer.mesh.bounds[0][2] > 0.0
    ]
    assert tips


def test_lines_inside_of_a_box_are_left_out() -> None:
    box = trimesh.creation.box(bounds=[[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]])
    lines = np.array([[[0.2, 0.2, 0.2], [0.4, 0.2, 0.2]], [[1.2, 0.2, 0.2], [1.4, 0.2, 0.2]]])
    assert beyond(lines, box) == pytest.approx(lines[1:])


def test_what_a_box_does_not_meet_stays_as_it_is() -> None:
    solid = trimesh.creation.box(bounds=[[2.0, 0.0, 0.0], [3.0, 1.0, 1.0]])
    lines = np.array([[[2.2, 0.2, 1.0], [2.4, 0.2, 1.0]], [[2.7, 0.2, 1.0], [2.9, 0.2, 1.0]]])
    beside, across = (trimesh.creation.box(bounds=[[x, -1.0, -1.0], [5.0, 2.0, 2.0]]) for x in (3.0, 2.5))
    assert without(solid, lines, beside) == (solid, lines)
    left, kept = without(solid, lines, across)
    assert _volume(left) == pytest.approx(0.5)
    assert kept == pytest.approx(lines[:1])
    assert without(solid, None, across)[1] is None
