"""Placed parts: three equal jaws, first touch by the solids' own distance, everything on its seat."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from gap import least_distance

from meshes.revolve import revolve
from sim.assessment.results import Assessment
from sim.scenario import Scenario
from sim.setup.grip_travel import band
from sim.setup.held import held_zone
from sim.setup.parts import build
from sim.setup.pose import boring_scene, fixture, gripping_scene, jaws, part

SECTIONS = 1024  # facets stand 0.2 micrometres out of round at radius 60 mm
NEAR = 0.005  # mm
THIRD = 2.0 * math.pi / 3.0


def test_jaws_are_congruent(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    """Turned by 120 deg about the spindle, jaw 1 with all that hangs on it is jaw 2, and jaw 2 is jaw 3."""
    c, s = math.cos(THIRD), math.sin(THIRD)
    turn = np.array([(c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)])
    placed = jaws(assessment(scenario_name).parts, 2.0)
    for jaw in (0, 1):
        here = [x for x in placed if x.jaw == jaw]
        there = [x for x in placed if x.jaw == jaw + 1]
        assert [x.kind for x in here] == [x.kind for x in there]
        for a, b in zip(here, there, strict=True):
            assert np.allclose(a.mesh.vertices @ turn.T, b.mesh.vertices, atol=1e-9)
            assert (a.mesh.faces == b.mesh.faces).all()


def test_jaws_balance(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    """Equal jaws have their common centroid on the spindle axis."""
    moved = np.zeros(3)
    for solid in jaws(assessment(scenario_name).parts, 1.0):
        moved += solid.mesh.volume * solid.mesh.center_mass
    assert abs(moved[:2]).max() < 1e-6 * abs(moved[2])


def gauge(radius: float, low: float, high: float, *, outside: bool) -> trimesh.Trimesh:
    """A plain cylinder (or, to be gripped inside, a tube) of exactly this radius between two heights."""
    inner, outer = (0.0, radius) if outside else (radius, radius + 15.0)
    return revolve([(inner, low), (outer, low), (outer, high), (inner, high)], SECTIONS)


@pytest.mark.parametrize("name", ["cast_hub_on_ring", "housing_gripped_inside"])
@pytest.mark.parametrize("limit", ["low", "high"])
@pytest.mark.parametrize("pocket", ["as stated", "touches on edges"])
def test_first_touch_by_distance(
    varied: Callable[..., Scenario],
    assessment: Callable[[str], Assessment],
    name: str,
    limit: str,
    pocket: str,
) -> None:
    """At the grip travel the solids meet; 0.05 mm before it they stand apart by that, less the slope of an edge."""
    if pocket == "as stated":
        built = assessment(name).parts
    else:
        nominal = assessment(name).scenario.pockets[0].diameter
        turned = nominal + (-0.4 if name == "cast_hub_on_ring" else 0.4)
        built = build(varied(name, {"pockets.0.diameter": f"{turned} mm"}))
    scenario = built.scenario
    zone, travel = held_zone(scenario, 0), getattr(band(scenario, built.place, 0), limit)
    outside = built.direction == "outside"
    # Well over the back face, so that the nearest place of the jaw is its bored wall.
    solid = gauge(travel.part_radius, zone.low + 8.0, zone.high - 1.0, outside=outside)

    def gap(at: float) -> float:
        tops = [s.mesh for s in jaws(built, at) if s.kind == "soft jaw"]
        found = [least_distance(top, solid, 5.0) for top in tops]
        assert max(found) - min(found) < NEAR  # all three jaws touch at once
        return min(found)

    steep = math.sqrt(1.0 - (0.5 * scenario.soft_jaw.width / travel.part_radius) ** 2)
    assert gap(travel.grip_travel) < NEAR
    assert 0.05 * steep - NEAR < gap(travel.grip_travel - 0.05) < 0.05 + NEAR
    # Loading clearance counts the face without its edge chamfers, which the solids keep sharp: they stand nearer.
    assert travel.loading_clearance - 0.1 < gap(0.0) < travel.loading_clearance + NEAR


def test_part_stands_on_its_seat(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    found = assessment(scenario_name)
    for figures in found.operations:
        placed = part(found.parts, figures.index)
        assert placed.mesh.bounds[0, 2] == pytest.approx(figures.zone.seat)
        assert placed.mesh.extents[2] == pytest.approx(figures.zone.part_length)


def test_fixture_stands_where_stated(assessment: Callable[[str], Assessment]) -> None:
    """The ring on the jaws' faces with its pins below, the plug in its seat, the outer ring round the jaws."""
    ring = fixture(assessment("cast_hub_on_ring").parts)[0].mesh.bounds
    assert ring[:, 2] == pytest.approx((50.0 - 9.0, 50.0 + 14.0))
    plug = fixture(assessment("cast_hub_on_plug").parts)[0].mesh.bounds
    assert plug[:, 2] == pytest.approx((10.0, 22.0))
    outer = fixture(assessment("housing_gripped_inside").parts)[0].mesh.bounds
    assert outer[:, 2] == pytest.approx((14.0, 30.0))


def test_fixture_is_clamped(assessment: Callable[[str], Assessment]) -> None:
    """At the boring travel the seat turned for a plug or an outer ring touches it all round."""
    for name in ("cast_hub_on_plug", "housing_gripped_inside", "valve_bonnet_two_steps"):
        scene = boring_scene(assessment(name).parts)
        held = next(s for s in scene if s.kind in ("plug", "outer ring"))
        for top in (s for s in scene if s.kind == "soft jaw"):
            assert least_distance(top.mesh, held.mesh, 5.0) < NEAR, name


def test_names_are_unique(scenario_name: str, assessment: Callable[[str], Assessment]) -> None:
    for scene in (
        boring_scene(assessment(scenario_name).parts),
        gripping_scene(assessment(scenario_name).parts, 0, 1.0),
    ):
        names = [s.name for s in scene]
        assert len(set(names)) == len(names)
