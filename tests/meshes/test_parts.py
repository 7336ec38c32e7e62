"""Parts whose volume has a short closed form: fixtures, fasteners, body, master jaw, workpiece, tools."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate

from meshes import (
    boring_bar,
    boring_ring,
    chuck_body,
    insert,
    jaw_screw,
    master_jaw,
    outer_ring,
    plug,
    t_nut,
    tool_holder,
    workpiece,
)
from meshes.boolean import intersection
from meshes.boring_bar import BoringBar
from meshes.boring_ring import BoringRing
from meshes.chuck_body import ChuckBody
from meshes.jaw_screw import JawScrew
from meshes.master_jaw import MasterJaw
from meshes.outer_ring import OuterRing
from meshes.placement import placed, rotation_z
from meshes.plug import Plug
from meshes.revolve import revolve
from meshes.t_nut import TNut
from meshes.tool_holder import ToolHolder
from meshes.workpiece import Workpiece

BODY = ChuckBody(diameter=254.0, bore=75.0, height=90.0, slot_width=50.0, slot_depth=40.0)
MASTER = MasterJaw(100.0, 48.0, 60.0, 1.5, 18.0, 28.0, 10.0, 12.0)
NUT = TNut(length=25.0, neck_width=17.0, neck_height=9.0, width=27.0, height=11.0, thread_diameter=12.0)
RING = BoringRing(200.0, 130.0, 12.0, 19.0, 8.0, 160.0)


def strip(radius: float, half: float) -> float:
    """Area of the half strip |y| < half, x > 0 inside a circle: two circle pieces."""
    return half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)


def test_chuck_body(assert_solid) -> None:
    solid = chuck_body.mesh(BODY)
    disc = math.pi * (127.0**2 - 37.5**2) * 90.0
    bevel = math.pi * 3.0**2 * (127.0 - 1.0)  # triangle of leg 3, its centroid 1 mm inside the rim
    slots, _ = integrate.quad(
        lambda z: 3.0 * (strip(min(127.0, 124.0 - (z + 2.0)), 25.0) - strip(37.5, 25.0)),
        -42.0,
        -2.0,
        points=[-5.0],
    )
    assert_solid(solid, disc - bevel - slots, rel=1e-5)
    assert solid.bounds[:, 2].tolist() == [-92.0, -2.0]


def test_chuck_body_is_congruent_under_120_deg() -> None:
    solid = chuck_body.mesh(BODY, sections=240)
    for index in (1, 2):
        common = intersection([solid, placed(solid, rotation_z(index * 2.0 * math.pi / 3.0))])
        assert common.volume == pytest.approx(solid.volume, rel=1e-9)


def test_master_jaw_without_teeth(assert_solid) -> None:
    solid = master_jaw.mesh(MASTER)
    assert_solid(solid, 100.0 * (48.0 * 60.0 - 18.0 * 10.0 - 28.0 * 12.0), rel=1e-12)
    assert solid.bounds.tolist() == [[0, -24, -60], [100, 24, 0]]


def test_master_jaw_with_teeth(assert_solid) -> None:
    toothed = replace(MASTER, serration_teeth=True)
    depth = 1.5 / (2.0 * math.tan(math.radians(30.0)))
    grooves = 66 * 0.5 * 1.5 * depth * (48.0 - 18.0)  # 66 whole teeth in 100 mm, none over the slot
    assert master_jaw.tooth_count(toothed) == 66
    assert_solid(
        master_jaw.mesh(toothed), 100.0 * (48.0 * 60.0 - 18.0 * 10.0 - 28.0 * 12.0) - grooves, rel=1e-9
    )


def test_t_nut(assert_solid) -> None:
    solid = t_nut.mesh(NUT)
    assert_solid(solid, 25.0 * (17.0 * 9.0 + 27.0 * 11.0) - math.pi * 36.0 * 20.0, rel=1e-12)
    assert solid.bounds.tolist() == [[-12.5, -13.5, -20], [12.5, 13.5, 0]]


@pytest.mark.parametrize(("thread", "dk", "k", "s", "t"), [(8, 13, 8, 6, 4), (12, 18, 12, 10, 6)])
def test_jaw_screw(thread: float, dk: float, k: float, s: float, t: float, assert_solid) -> None:
    # Head sizes of ISO 4762 as in public copies of its table.
    solid = jaw_screw.mesh(JawScrew(float(thread), 30.0))
    head = 0.25 * math.pi * dk**2 * k
    socket = 0.5 * math.sqrt(3.0) * s**2 * t
    assert_solid(solid, head + 0.25 * math.pi * thread**2 * 30.0 - socket, rel=1e-12)
    assert solid.bounds[:, 2].tolist() == [-30.0, float(k)]


def test_heads_follow_the_rule_of_the_standard() -> None:
    # ISO 4762: k = d, and t min is about d / 2, for every size.
    for thread, size in jaw_screw.HEADS.items():
        assert size.height == thread
        assert size.socket_depth == pytest.approx(0.5 * thread)
        assert size.socket_width / math.cos(math.pi / 6.0) < size.diameter


def test_boring_ring(assert_solid) -> None:
    solid = boring_ring.mesh(RING)
    pins = 3.0 * 0.25 * math.pi * 19.0**2 * 8.0
    assert_solid(solid, 0.25 * math.pi * (200.0**2 - 130.0**2) * 12.0 + pins, rel=1e-9)
    assert solid.bounds[:, 2].tolist() == [-8.0, 12.0]
    low = solid.vertices[solid.vertices[:, 2] < -7.0]
    angles = np.degrees(np.arctan2(low[:, 1], low[:, 0])) % 120.0
    assert np.minimum(angles, 120.0 - angles).max() == pytest.approx(
        math.degrees(math.asin(9.5 / 80.0)), abs=0.1
    )


def test_plug(assert_solid) -> None:
    plain = Plug(80.0, 15.0)
    assert_solid(plug.mesh(plain), math.pi * 40.0**2 * 15.0, rel=1e-12)
    chamfers = 2.0 * math.pi * 2.0**2 * (40.0 - 2.0 / 3.0)  # Pappus on the two triangles
    full = Plug(80.0, 15.0, bore_diameter=20.0, chamfer=2.0)
    assert_solid(plug.mesh(full), math.pi * (40.0**2 - 10.0**2) * 15.0 - chamfers, rel=1e-12)


def test_outer_ring(assert_solid) -> None:
    solid = outer_ring.mesh(OuterRing(250.0, 200.0, 15.0))
    assert_solid(solid, 0.25 * math.pi * (250.0**2 - 200.0**2) * 15.0, rel=1e-12)


def test_workpiece_volume_two_ways(assert_solid) -> None:
    cup = Workpiece(((0.0, 0.0), (59.0, 0.0), (59.0, 40.0), (45.0, 40.0), (45.0, 12.0), (0.0, 12.0)))
    closed_form = math.pi * (59.0**2 * 40.0 - 45.0**2 * 28.0)
    assert workpiece.volume(cup) == pytest.approx(closed_form, rel=1e-12)
    assert_solid(workpiece.mesh(cup), closed_form, rel=1e-12)
    assert workpiece.section_polygon(cup).area == pytest.approx(59.0 * 40.0 - 45.0 * 28.0)


def test_workpiece_that_crosses_itself() -> None:
    with pytest.raises(ValueError, match=r"workpiece: an outline must not cross .*Self-intersection"):
        Workpiece(((10.0, 0.0), (20.0, 10.0), (20.0, 0.0), (10.0, 10.0)))


@pytest.mark.parametrize("designation", ["CCMT 09T304", "DCMT 11T304", "VBMT 160404", "RCMT 0803M0"])
def test_boring_bar(designation: str, assert_solid) -> None:
    bar, tip = BoringBar(25.0, 90.0, 17.0), insert.parse(designation)
    approach = math.radians(93.0)
    solid = boring_bar.mesh(bar, tip, approach)
    start = boring_bar.head_length(bar, tip, approach)
    # The shank is a plain cylinder; the part before it is the rest, at least the insert.
    window = revolve([(0.0, start + 2.0), (40.0, start + 2.0), (40.0, 95.0), (0.0, 95.0)], 16)
    shank = intersection([solid, window])
    assert_solid(shank, 0.25 * math.pi * 25.0**2 * (90.0 - start - 2.0), rel=1e-9)
    assert solid.is_watertight
    assert solid.is_winding_consistent
    body = 0.25 * math.pi * 25.0**2 * (90.0 - start)
    assert insert.mesh(tip, approach).volume * 0.99 < solid.volume - body < 0.5 * math.pi * 12.5**2 * start
    # Only the insert reaches the planes through the tip; everything else stays behind them.
    assert solid.bounds[1, 0] == pytest.approx(0.0, abs=1e-9)
    assert solid.bounds[0, 2] == pytest.approx(0.0, abs=1e-9)
    assert solid.bounds[1, 2] == pytest.approx(90.0)
    assert solid.body_count == 1
    low = solid.vertices[solid.vertices[:, 1] > tip.thickness + 1e-9]
    assert low[:, 0].max() < -boring_bar.SEAT_SETBACK + 1e-9
    assert low[:, 2].min() > boring_bar.SEAT_SETBACK - 1e-9


def test_boring_bar_whose_head_is_longer_than_its_reach() -> None:
    with pytest.raises(ValueError, match="head length must be less than the reach"):
        boring_bar.mesh(BoringBar(25.0, 12.0, 17.0), insert.parse("CCMT 09T304"), math.radians(95.0))


def test_tool_holder(assert_solid) -> None:
    outline = ((-1.0, 1.0), (-1.0, 60.0), (-25.0, 60.0), (-25.0, 20.0), (-10.0, 1.0))
    area = 0.5 * abs(
        sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, [*outline[1:], outline[0]], strict=True))
    )
    solid = tool_holder.mesh(ToolHolder(outline, 20.0))
    assert_solid(solid, area * 20.0, rel=1e-12)
    assert solid.bounds.tolist() == [[-25, 0, 1], [-1, 20, 60]]


@pytest.mark.parametrize(
    ("build", "word"),
    [
        (lambda: replace(BODY, bore=250.0), "chuck body: bore must be less"),
        (lambda: replace(BODY, slot_depth=90.0), "chuck body: slot depth"),
        (lambda: replace(BODY, face_drop=-1.0), "face drop must be 0 mm or more"),
        (lambda: replace(MASTER, t_slot_width=48.0), "master jaw: T-slot width"),
        (lambda: replace(MASTER, t_slot_height=50.0), "master jaw: T-slot depth"),
        (lambda: replace(MASTER, serration_pitch=20.0), "serration tooth depth"),
        (lambda: replace(NUT, thread_diameter=17.0), "T-nut: thread diameter"),
        (lambda: replace(NUT, neck_width=27.0), "T-nut: neck width"),
        (lambda: JawScrew(11.0, 30.0), "jaw screw: thread must be one of M6"),
        (lambda: JawScrew(12.0, 0.0), "jaw screw: length"),
        (lambda: replace(RING, pin_circle_diameter=190.0), "pin circle diameter must be 149 to 181 mm"),
        (lambda: replace(RING, inner_diameter=200.0), "boring ring: inner diameter"),
        (lambda: replace(RING, pin_count=0), "pin count must be 1 or more"),
        (lambda: Plug(80.0, 15.0, 80.0), "plug: bore diameter"),
        (lambda: Plug(80.0, 15.0, 0.0, 7.5), "plug: chamfer"),
        (lambda: OuterRing(200.0, 200.0, 15.0), "outer ring: inner diameter"),
        (lambda: BoringBar(25.0, 90.0, 12.5), "half the diameter must be less than the functional offset"),
        (lambda: ToolHolder(((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)), 5.0), "must not cross"),
        (lambda: ToolHolder(((0.0, 0.0), (1.0, 1.0)), 5.0), "three or more points"),
    ],
)
def test_impossible_dimensions(build, word: str) -> None:
    with pytest.raises(ValueError, match=word):
        build()
