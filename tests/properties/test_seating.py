"""A part that reaches further never sits better, and reaches as far into things as it was drawn to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.workpiece import Workpiece
from sim.assessment.meeting import while_gripped, while_put_in
from sim.assessment.operation import gripped
from sim.assessment.verdicts.seating import land_width
from sim.clearance import image
from sim.mechanics.cut_surface import CutPlace, off_surface, room, surfaces
from sim.scenario import Scenario
from sim.setup.parts import Parts, build
from sim.setup.pose import body, jaws

HUB = "cast_hub_on_ring"
SEAT, FACE = 27.0, -2.0  # mm: the land, and the chuck body's face
TRAVEL = 3.0


@pytest.fixture(scope="module")
def hub(varied: Callable[..., Scenario]) -> Parts:
    """The hub on master jaws that leave the face around the chuck's bore open."""
    return build(varied(HUB, {"master_jaw.inner_radius": "45 mm", "master_jaw.length": "80 mm"}))


def shaped(parts: Parts, *back: tuple[float, float]) -> tuple[Parts, Any]:
    """Return the hub with another back, and as much of its figures as says where it is gripped."""
    outline = (*back, (59.0, 26.0), (40.0, 26.0), (40.0, 58.0), (20.0, 58.0))
    operation = parts.scenario.operations[0]
    work = operation.workpiece.model_copy(update={"outline": outline})
    operation = operation.model_copy(update={"workpiece": work})
    scenario = parts.scenario.model_copy(update={"operations": (operation,)})
    parts = replace(parts, scenario=scenario, workpieces=(Workpiece(outline),))
    known = gripped(parts, 0)
    figures = type(
        "Figures", (), {"index": 0, "operation": operation, "zone": known.zone, "travel": known.travel}
    )
    return parts, figures


def spigot(parts: Parts, radius: float, length: float) -> tuple[Parts, Any]:
    return shaped(parts, (20.0, -length), (radius, -length), (radius, 0.0), (59.0, 0.0))


@settings(max_examples=12)
@given(radius=st.floats(38.0, 41.0), length=st.floats(1.0, 60.0), more=st.floats(0.1, 20.0))
def test_a_longer_spigot_never_has_more_room(hub: Parts, radius: float, length: float, more: float) -> None:
    gaps = []
    for reach in (length, length + more):
        parts, figures = spigot(hub, radius, reach)
        gaps.append(min(while_gripped(parts, figures, TRAVEL).gap, while_put_in(parts, figures).gap))
    assert gaps[1] <= gaps[0] + 1e-9


@settings(max_examples=12)
@given(radius=st.floats(38.0, 41.0), depth=st.floats(0.1, 60.0))
def test_it_reaches_into_the_body_as_far_as_it_is_drawn(hub: Parts, radius: float, depth: float) -> None:
    """From the bore, 37.5 mm, outward and from the face down: both extents are those of the drawing."""
    parts, figures = spigot(hub, radius, SEAT - FACE + depth)
    found = while_gripped(parts, figures, TRAVEL)
    assert found.body == "chuck body"
    assert (found.along, found.across) == pytest.approx((depth, radius - 37.5))
    assert found.gap == pytest.approx(-min(depth, radius - 37.5))


@settings(max_examples=10)
@given(radius=st.floats(22.0, 45.0), length=st.floats(0.5, 40.0), travel=st.sampled_from([2.5, 3.0, 3.5]))
def test_the_gap_is_that_of_the_solids(hub: Parts, radius: float, length: float, travel: float) -> None:
    """Against images of the meshes, below the land: where they overlap it fails, else it is their distance."""
    parts, figures = spigot(hub, radius, length)
    found = while_gripped(parts, figures, travel)
    below = shapely.box(20.0, SEAT - length, radius, SEAT - 1e-6)
    solids = [body(parts).mesh, *(s.mesh for s in jaws(parts, travel) if s.jaw == 0)]
    images = [
        shapely.intersection(image.of_mesh(m, 0.005), shapely.box(0.0, -500.0, 500.0, SEAT)) for m in solids
    ]
    metal = shapely.union_all(images)
    if shapely.intersection(below, metal).area > 0.05:
        assert found.gap < 0.0
    else:
        assert found.gap == pytest.approx(float(shapely.distance(below, metal)), abs=0.05)


@settings(max_examples=12)
@given(recess=st.floats(20.5, 58.0), more=st.floats(0.1, 20.0))
def test_a_wider_recess_never_leaves_more_back_face(hub: Parts, recess: float, more: float) -> None:
    widths = []
    for radius in (recess, min(recess + more, 58.9)):
        parts, figures = shaped(hub, (20.0, 2.0), (radius, 2.0), (radius, 0.0), (59.0, 0.0))
        widths.append(land_width(parts, figures, TRAVEL))
    assert widths[1] <= widths[0] + 1e-9


RING = shapely.box(20.0, 0.0, 50.0, 30.0)
BESIDE = shapely.box(50.0, -10.0, 90.0, 10.0)


@given(
    radius=st.floats(21.5, 49.0),
    z=st.floats(1.5, 28.0),
    kind=st.sampled_from(["turning", "boring", "facing"]),
    towards=st.sampled_from(["chuck", "tailstock", "axis", "outward"]),
)
def test_a_cut_in_metal_lies_as_far_off_as_the_nearest_surface_of_its_kind(
    radius: float, z: float, kind: Any, towards: Any
) -> None:
    """A ring of 40 and 100 mm by 30 mm whose outside is covered up to 10 mm, by hand: no depth of cut to speak of."""
    found = off_surface(CutPlace(kind, towards, 2.0 * radius, z), 1e-6, [surfaces(RING, BESIDE, -10.0)])
    outside = ((50.0 - radius) ** 2 + max(0.0, 10.0 - z) ** 2) ** 0.5
    off = {"turning": outside, "boring": radius - 20.0, "facing": 30.0 - z}[kind]
    if towards in ("axis", "outward"):
        off = min(off, 30.0 - z)
    assert found == pytest.approx(off, abs=0.5)


@given(
    radius=st.floats(21.0, 60.0), z=st.floats(0.0, 20.0), depth=st.floats(0.1, 5.0), more=st.floats(0.0, 5.0)
)
def test_a_lower_cut_never_stays_farther_off_the_jaws(
    radius: float, z: float, depth: float, more: float
) -> None:
    high, low = (
        room(CutPlace("turning", "chuck", 2.0 * radius, height), depth, BESIDE).gap
        for height in (z + more, z)
    )
    assert low <= high + 1e-9
