"""A centre and a steady rest that the part does not reach, or that stand where they cannot, are refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup import pose
from sim.setup.parts import build
from sim.setup.surroundings import supports

SHAFT = "shaft_on_a_centre"
STEADY = {"height": "150 mm", "largest_force": "4 kN", "roller_diameter": "30 mm", "roller_width": "12 mm",
          "frame_diameter": "200 mm", "frame_width": "30 mm"}  # fmt: skip
CENTRE, REST = "operations.0.tailstock", "operations.0.steady_rest"
DRILL = {"name": "drill", "kind": "drilling", "diameter": "10 mm", "height": "300 mm", "feed_towards": "chuck",
         "depth_of_cut": "5 mm", "feed": "0.1 mm/rev", "cutting_speed": "60 m/min"}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({f"{CENTRE}.height": "310 mm"}, r"tailstock.height must lie on the part beyond the jaws, over 34 mm"),
        ({f"{CENTRE}.height": "30 mm"}, r"tailstock.height must lie on the part beyond the jaws"),
        ({f"{CENTRE}.hole_diameter": "12 mm"}, r"tailstock.hole_diameter must lie between .* found 12 mm"),
        ({f"{CENTRE}.force_low": "7 kN"}, r"force_low 7000 N must be at most force_high 6000 N"),
        ({f"{CENTRE}.cone_angle": "20 deg"}, r"cone_angle must lie between 40 deg and 120 deg, found 20 deg"),
        ({f"{CENTRE}.cone_diameter": "60 mm"}, r"rising order, found 16, 60 and 50 mm"),
        ({"operations.0.cuts": [DRILL]}, r"cuts\[0\].kind must not be drilling where the centre stands"),
        ({REST: {**STEADY, "height": "45 mm"}}, r"steady_rest.height must keep frame and rollers before the jaws"),
        ({REST: {**STEADY, "height": "299 mm"}}, r"steady_rest.height must keep frame and rollers"),
        ({REST: {**STEADY, "height": "290 mm"}}, r"steady_rest.height must lie between the jaws and the centre's tip"),
        ({REST: {**STEADY, "frame_diameter": "120 mm"}}, r"frame must be over 124 mm"),
    ],
)  # fmt: skip
def test_what_cannot_stand_there_is_refused(
    varied: Callable[..., Scenario], changes: dict[str, Any], words: str
) -> None:
    with pytest.raises((ScenarioError, ValueError), match=words):
        build(varied(SHAFT, changes))


def test_rollers_need_a_cylinder(varied: Callable[..., Scenario]) -> None:
    outline = [["0 mm", "0 mm"], ["40 mm", "0 mm"], ["40 mm", "40 mm"], ["32 mm", "150 mm"], ["32 mm", "300 mm"],
               ["8 mm", "300 mm"], ["0 mm", "286.2 mm"]]  # fmt: skip
    changes = {"operations.0.workpiece.outline": outline, REST: {**STEADY, "height": "120 mm"}}
    with pytest.raises(ScenarioError, match="must lie where the part is a cylinder under the rollers"):
        varied(SHAFT, changes)


def test_bodies_and_images_stand_where_they_bear(varied: Callable[..., Scenario]) -> None:
    """Seat 16 mm over the serrations; the tip 16/2/tan 30 deg = 13.86 mm within the face at 300 mm."""
    parts = build(varied(SHAFT, {REST: STEADY}))
    centre, steady = pose.supports(parts, 0)
    assert (centre.kind, steady.kind) == ("centre", "steady rest")
    assert centre.mesh.bounds[0][2] == pytest.approx(16.0 + 300.0 - 13.856, abs=1e-3)
    assert steady.mesh.bounds[:, 2] == pytest.approx([16.0 + 135.0, 16.0 + 165.0])
    cone, rollers = supports(parts, 0)
    assert cone.image.bounds[1] == pytest.approx(centre.mesh.bounds[0][2])
    assert rollers.image.bounds[0] == pytest.approx(32.0)
    assert cone.image.bounds[3] > centre.mesh.bounds[1][2]  # of the quill more is kept clear of than is drawn
