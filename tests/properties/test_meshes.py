"""What must hold for every solid, whatever its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import insert, soft_jaw
from meshes.mass import mass_properties
from meshes.placement import jaw_placement, placed, rotation_z, translation
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.revolve import facet_factor, revolve, volume_by_pappus
from meshes.soft_jaw import SoftJawBlank

few = settings(max_examples=40, deadline=None, derandomize=True)
HEIGHT = 45.0
SECTIONS = 512


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def blanks(draw: st.DrawFn) -> SoftJawBlank:
    width = draw(lengths(30.0, 60.0))
    return SoftJawBlank(
        length=draw(lengths(90.0, 120.0)),
        width=width,
        height=HEIGHT,
        tip_width=draw(st.one_of(st.just(width), lengths(5.0, 25.0))),
        screws=(draw(lengths(50.0, 55.0)), draw(lengths(70.0, 75.0))),
        hole_diameter=13.0,
        counterbore_diameter=20.0,
        counterbore_depth=draw(lengths(5.0, 40.0)),
    )


@st.composite
def pockets(draw: st.DrawFn) -> tuple[Pocket, Pocket]:
    """A wider shallow pocket and a narrower deep one."""
    grooves = st.one_of(st.just((0.0, 0.0)), st.tuples(lengths(0.5, 3.0), lengths(0.1, 1.0)))
    chamfers = st.one_of(st.just(0.0), lengths(0.2, 1.5))
    diameter, depth = draw(lengths(90.0, 140.0)), draw(lengths(6.0, 15.0))
    wide = Pocket(diameter, depth, *draw(grooves), draw(chamfers))
    deep = Pocket(
        diameter - draw(lengths(8.0, 25.0)), depth + draw(lengths(6.0, 15.0)), *draw(grooves), draw(chamfers)
    )
    return wide, deep


@st.composite
def star_outlines(draw: st.DrawFn) -> np.ndarray:
    """Closed (r, z) outlines of 3 to 12 points round (30, 0), clear of the axis or touching it."""
    count = draw(st.integers(3, 12))
    reach = np.array(draw(st.lists(lengths(3.0, 29.0), min_size=count, max_size=count)))
    turn = 2.0 * math.pi * np.arange(count) / count + draw(lengths(0.0, 1.0))
    points = np.column_stack([30.0 + reach * np.cos(turn), reach * np.sin(turn)])
    if draw(st.booleans()):
        points[:, 0] -= points[:, 0].min()
    return points


@few
@given(star_outlines(), st.integers(8, 200))
def test_revolved_outline_is_closed_and_has_pappus_volume(outline: np.ndarray, sections: int) -> None:
    before = outline.copy()
    solid = revolve(outline, sections)
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert solid.volume == pytest.approx(volume_by_pappus(outline), rel=1e-9)
    np.testing.assert_array_equal(outline, before)


@few
@given(star_outlines(), lengths(-3.0, 3.0), lengths(0.1, 3.0))
def test_sector_of_an_outline_is_closed_and_has_its_share(
    outline: np.ndarray, start: float, turn: float
) -> None:
    solid = revolve(outline, 64, (start, start + turn))
    assert solid.is_watertight
    assert solid.volume == pytest.approx(volume_by_pappus(outline) * turn / (2.0 * math.pi), rel=1e-9)


@few
@given(blanks(), lengths(-3.0, 3.0), lengths(-200.0, 200.0), lengths(-200.0, 200.0))
def test_rigid_motion_keeps_volume_and_principal_inertia(
    blank: SoftJawBlank, angle: float, x: float, z: float
) -> None:
    solid = soft_jaw.mesh(blank)
    motion = rotation_z(angle) @ translation(x, 1.0, z)
    before, after = mass_properties(solid, 7.85e-6), mass_properties(placed(solid, motion), 7.85e-6)
    assert after.volume == pytest.approx(before.volume, rel=1e-9)
    np.testing.assert_allclose(after.centroid, motion[:3, :3] @ before.centroid + motion[:3, 3], atol=1e-6)
    np.testing.assert_allclose(
        np.linalg.eigvalsh(after.inertia), np.linalg.eigvalsh(before.inertia), rtol=1e-6
    )


@few
@given(blanks(), pockets(), lengths(25.0, 44.0))
def test_boring_removes_material_and_nothing_else(
    blank: SoftJawBlank, pair: tuple[Pocket, Pocket], inner_end_radius: float
) -> None:
    solid = soft_jaw.mesh(blank)
    vertices, faces = np.array(solid.vertices), np.array(solid.faces)
    one = soft_jaw.bored(solid, removed_outside(pair[:1], HEIGHT), inner_end_radius, SECTIONS)
    both = soft_jaw.bored(solid, removed_outside(pair, HEIGHT), inner_end_radius, SECTIONS)
    assert one.is_watertight
    assert both.is_watertight
    assert one.is_winding_consistent
    assert both.is_winding_consistent
    assert both.volume <= one.volume + 1e-6
    assert one.volume < solid.volume
    np.testing.assert_array_equal(solid.vertices, vertices)
    np.testing.assert_array_equal(solid.faces, faces)


@few
@given(blanks(), pockets(), lengths(25.0, 34.0), lengths(-4.0, 4.0), st.integers(0, 2))
def test_bore_keeps_its_radius_about_the_axis_it_was_bored_on(
    blank: SoftJawBlank, pair: tuple[Pocket, Pocket], inner_end_radius: float, offset: float, index: int
) -> None:
    plain = replace(pair[0], groove_width=0.0, groove_depth=0.0, chamfer=0.0)
    jaw = soft_jaw.bored(soft_jaw.mesh(blank), removed_outside([plain], HEIGHT), inner_end_radius, SECTIONS)
    seat = HEIGHT - plain.depth
    moved = placed(jaw, jaw_placement(index, inner_end_radius + offset))
    centre = (rotation_z(2.0 * math.pi / 3.0 * index) @ (offset, 0.0, 0.0, 1.0))[:2]
    # Vertices on the seat's outer corner belong to the bore; screw holes begin further out or deeper.
    rim = moved.vertices[np.isclose(moved.vertices[:, 2], seat, atol=1e-9)]
    radius = np.linalg.norm(rim[:, :2] - centre, axis=1)
    wall = 0.5 * plain.diameter
    on_wall = np.abs(radius - wall) < 2e-3
    assert on_wall.sum() > 20
    longest = wall * facet_factor(2.0 * math.pi / SECTIONS)
    assert radius[on_wall].max() == pytest.approx(longest, abs=1e-8)


@few
@given(pockets(), st.one_of(st.none(), lengths(10.0, 55.0)))
def test_pocket_outlines_are_closed_and_nest(pair: tuple[Pocket, Pocket], through: float | None) -> None:
    both = shapely.Polygon(removed_outside(pair, HEIGHT, through))
    assert both.is_valid
    assert both.exterior.is_ccw
    assert (
        removed_outside(pair[::-1], HEIGHT, through).tolist()
        == removed_outside(pair, HEIGHT, through).tolist()
    )
    assert both.buffer(1e-9).covers(shapely.Polygon(removed_outside(pair[:1], HEIGHT)))


@few
@given(pockets())
def test_inside_outlines_are_closed(pair: tuple[Pocket, Pocket]) -> None:
    wide, deep = pair
    steps = (replace(wide, diameter=deep.diameter), replace(deep, diameter=wide.diameter))
    polygon = shapely.Polygon(removed_inside(steps, HEIGHT, 160.0))
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    with pytest.raises(ValueError, match="does not nest"):
        removed_inside(pair, HEIGHT, 160.0)


@few
@given(blanks(), pockets(), lengths(25.0, 44.0))
def test_three_bored_jaws_are_congruent(
    blank: SoftJawBlank, pair: tuple[Pocket, Pocket], inner_end_radius: float
) -> None:
    jaw = soft_jaw.bored(soft_jaw.mesh(blank), removed_outside(pair, HEIGHT), inner_end_radius, 128)
    parts = [
        mass_properties(placed(jaw, jaw_placement(index, inner_end_radius)), 7.85e-6) for index in range(3)
    ]
    assert [p.volume for p in parts] == pytest.approx([parts[0].volume] * 3, rel=1e-9)
    # Together they balance: the common centroid lies on the spindle axis.
    assert np.mean([p.centroid for p in parts], axis=0)[:2] == pytest.approx([0.0, 0.0], abs=1e-7)


@few
@given(
    st.sampled_from(
        ["CCMT 09T304", "DCMT 11T308", "VBMT 160404", "WNMG 080408", "TCMT 16T304", "SNMG 120408"]
    ),
    lengths(50.0, 145.0),
    lengths(1.0, 30.0),
)
def test_insert_keeps_its_shape_at_every_approach_angle(code: str, approach: float, step: float) -> None:
    found = insert.parse(code)
    if insert.trailing_edge_angle(found, math.radians(approach)) < 0.0:
        with pytest.raises(ValueError, match="rub on the wall"):
            insert.outline(found, math.radians(approach))
        return
    polygon = shapely.Polygon(insert.outline(found, math.radians(approach), math.radians(step)))
    assert polygon.is_valid
    assert polygon.bounds[2] == pytest.approx(0.0, abs=1e-9)
    circle = polygon.centroid.buffer(0.5 * found.inscribed_circle * 0.999)
    assert polygon.buffer(found.nose_radius * 0.05).contains(circle)
    assert insert.parse(found.designation) == found
