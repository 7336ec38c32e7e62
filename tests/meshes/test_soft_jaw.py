from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from scipy import integrate

from meshes import soft_jaw
from meshes.mass import mass_properties
from meshes.placement import jaw_placement, placed
from meshes.pocket import Pocket, removed_inside, removed_outside
from meshes.revolve import facet_factor
from meshes.soft_jaw import SoftJawBlank


def holes(blank: SoftJawBlank) -> float:
    through = 0.25 * math.pi * blank.hole_diameter**2 * (blank.height - blank.counterbore_depth)
    return len(blank.screws) * (
        through + 0.25 * math.pi * blank.counterbore_diameter**2 * blank.counterbore_depth
    )


def disc_over_jaw(radius: float, width: float, inner_end_radius: float) -> float:
    """Area of a disc about the axis over a jaw with a flat inner end: two circle pieces less a rectangle."""
    half = min(0.5 * width, math.sqrt(radius**2 - inner_end_radius**2))
    piece = half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)
    return piece - 2.0 * half * inner_end_radius


def test_blank_with_a_flat_end(blank: SoftJawBlank, assert_solid) -> None:
    solid = soft_jaw.mesh(blank)
    assert_solid(solid, 110.0 * 50.0 * 50.0 - holes(blank), rel=1e-12)
    assert solid.bounds.tolist() == [[0, -25, 0], [110, 25, 50]]


def test_blank_with_flanks_at_60_deg(blank: SoftJawBlank, assert_solid) -> None:
    pointed = replace(blank, tip_width=20.0)
    flank = 15.0 / math.sqrt(3.0)
    assert soft_jaw.flank_length(pointed) == pytest.approx(flank)
    corners = 2.0 * 0.5 * 15.0 * flank
    assert_solid(soft_jaw.mesh(pointed), (110.0 * 50.0 - corners) * 50.0 - holes(pointed), rel=1e-12)


@pytest.mark.parametrize(("degrees", "tip"), [(30.0, 12.0), (60.0, 8.0), (119.0, 4.0)])
def test_pointed_blank(blank: SoftJawBlank, assert_solid, degrees: float, tip: float) -> None:
    """A rectangle less a right triangle at each corner of its inner end; its centroid a third of its leg from there."""
    pointed = replace(blank, tip_width=tip, tip_angle=math.radians(degrees), screws=(88.0,))
    across = 0.5 * (50.0 - tip)
    along = across / math.tan(math.radians(0.5 * degrees))
    assert soft_jaw.flank_length(pointed) == pytest.approx(along)
    corners = across * along * 50.0
    volume = 110.0 * 50.0 * 50.0 - corners - holes(pointed)
    assert_solid(soft_jaw.mesh(pointed), volume, rel=1e-12)
    found = mass_properties(soft_jaw.mesh(pointed), 2.8e-6)
    moment = 110.0 * 50.0 * 50.0 * 55.0 - corners * along / 3.0 - holes(pointed) * 88.0
    assert found.centroid[0] == pytest.approx(moment / volume, rel=1e-9)
    assert found.centroid[1] == pytest.approx(0.0, abs=1e-9)
    assert found.mass == pytest.approx(2.8e-6 * volume, rel=1e-9)


def test_bored_volume_of_a_pointed_blank(blank: SoftJawBlank, assert_solid) -> None:
    """The bore's disc over a wedge between the flat inner end and the flanks, by integration across the jaw."""
    pointed = replace(blank, tip_width=12.0, tip_angle=math.radians(50.0))
    solid = soft_jaw.bored(soft_jaw.mesh(pointed), removed_outside([Pocket(40.0, 12.0)], 50.0), 5.0)
    slope = math.tan(math.radians(25.0))

    def depth(y: float) -> float:
        return max(0.0, math.sqrt(20.0**2 - y**2) - 5.0 - max(0.0, y - 6.0) / slope)

    area, _ = integrate.quad(depth, 0.0, 20.0, points=[6.0], limit=200)
    across = 19.0
    whole = (110.0 * 50.0 - across * across / slope) * 50.0 - holes(pointed)
    assert_solid(solid, whole - 2.0 * area * 12.0, rel=1e-5)


def test_three_pointed_jaws_meet_without_overlap(blank: SoftJawBlank) -> None:
    # With a tip as wide as 2 r tan 60 deg the flanks of neighbours lie in one plane.
    pointed = replace(blank, tip_width=2.0 * 5.0 * math.sqrt(3.0))
    plans = [
        placed(soft_jaw.mesh(pointed), jaw_placement(index, 5.0 + 1e-6)).vertices[:, :2] for index in range(3)
    ]
    normal = np.array([math.cos(math.radians(-30.0)), math.sin(math.radians(-30.0))])
    assert (plans[0] @ normal).min() == pytest.approx(0.0, abs=2e-6)
    assert (plans[1] @ normal).max() == pytest.approx(0.0, abs=2e-6)


@pytest.mark.parametrize("sections", [256, soft_jaw.BORE_SECTIONS])
def test_bored_volume_outside(blank: SoftJawBlank, assert_solid, sections: int) -> None:
    wide, deep = Pocket(100.0, 12.0, 3.0, 0.5, 1.0), Pocket(90.0, 25.0, 2.0, 0.4, 0.5)
    outline = removed_outside([wide, deep], blank.height, 84.0)
    blank_mesh = soft_jaw.mesh(blank)
    solid = soft_jaw.bored(blank_mesh, outline, 36.0, sections)

    def radius(z: float) -> float:  # the pockets' drawing, read off by hand
        if z < 25.0:
            return 42.0
        if z < 38.0:
            run_out = 0.4 * math.sqrt(3.0)
            groove = 45.4 if z < 27.0 - run_out else 45.0 + (27.0 - z) / math.sqrt(3.0)
            return max(45.0, 45.0 + (z - 37.5), groove if z < 27.0 else 0.0)
        run_out = 0.5 * math.sqrt(3.0)
        groove = 50.5 if z < 41.0 - run_out else 50.0 + (41.0 - z) / math.sqrt(3.0)
        return max(50.0, 50.0 + (z - 49.0), groove if z < 41.0 else 0.0)

    breaks = [25.0, 27.0 - 0.4 * math.sqrt(3.0), 27.0, 37.5, 38.0, 41.0 - 0.5 * math.sqrt(3.0), 41.0, 49.0]
    removed, _ = integrate.quad(lambda z: disc_over_jaw(radius(z), 50.0, 36.0), 0.0, 50.0, points=breaks)
    assert blank_mesh.volume - solid.volume == pytest.approx(removed, rel=2e-4)
    assert_solid(solid, 110.0 * 50.0 * 50.0 - holes(blank) - removed, rel=1e-5)


def test_turned_volume_inside(blank: SoftJawBlank, assert_solid) -> None:
    outer = math.hypot(36.0 + 110.0, 25.0) + 1.0
    outline = removed_inside([Pocket(88.0, 12.0)], blank.height, outer)
    solid = soft_jaw.bored(soft_jaw.mesh(blank), outline, 36.0)
    # Below the seat everything stays; above it only the disc of radius 44, no screw within it.
    stays = 110.0 * 50.0 * 38.0 + disc_over_jaw(44.0, 50.0, 36.0) * 12.0
    below = 2.0 * 0.25 * math.pi * (13.0**2 * 20.0 + 20.0**2 * 18.0)
    assert_solid(solid, stays - below, rel=1e-5)


def test_bored_wall_is_the_circle_about_the_spindle_axis(blank: SoftJawBlank) -> None:
    solid = soft_jaw.bored(soft_jaw.mesh(blank), removed_outside([Pocket(100.0, 12.0)], 50.0), 41.3)
    vertices = solid.vertices[(solid.vertices[:, 2] > 45.0) & (solid.vertices[:, 0] < 15.0)]
    radius = np.hypot(vertices[:, 0] + 41.3, vertices[:, 1])
    factor = facet_factor(2.0 * math.pi / soft_jaw.BORE_SECTIONS)
    assert radius.max() == pytest.approx(50.0 * factor, abs=1e-9)
    assert radius.min() > 50.0 - 2e-4
    assert len(vertices) > 100


def test_bore_that_reaches_over_the_axis_takes_the_whole_turn(blank: SoftJawBlank, assert_solid) -> None:
    solid = soft_jaw.bored(soft_jaw.mesh(blank), removed_outside([Pocket(80.0, 12.0)], 50.0), -5.0, 512)
    half = disc_over_jaw(40.0, 50.0, 0.0)
    removed = (half + 5.0 * 50.0) * 12.0
    assert_solid(solid, 110.0 * 50.0 * 50.0 - holes(blank) - removed, rel=1e-5)


def test_blank_mesh_is_not_changed(blank: SoftJawBlank) -> None:
    blank_mesh = soft_jaw.mesh(blank)
    vertices, faces = np.array(blank_mesh.vertices), np.array(blank_mesh.faces)
    outline = removed_outside([Pocket(100.0, 12.0)], 50.0)
    before = outline.copy()
    soft_jaw.bored(blank_mesh, outline, 40.0)
    np.testing.assert_array_equal(blank_mesh.vertices, vertices)
    np.testing.assert_array_equal(blank_mesh.faces, faces)
    np.testing.assert_array_equal(outline, before)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"tip_width": 60.0}, "tip width must be at most the width"),
        ({"tip_angle": math.radians(121.0)}, "tip angle must lie between 20 deg and 120 deg, found 121 deg"),
        ({"tip_angle": math.radians(19.0)}, "tip angle must lie between 20 deg"),
        (
            {"tip_width": 10.0, "tip_angle": math.radians(20.0)},
            "length of the flanks must be less than the length",
        ),
        ({"tip_width": 10.0, "tip_angle": math.radians(40.0), "screws": (14.0,)}, "screw at 14 mm"),
        ({"length": -1.0}, "length must be greater than 0 mm"),
        ({"height": math.inf}, "height must be greater"),
        ({"screws": (105.0,)}, "screw at 105 mm"),
        ({"hole_diameter": 20.0}, "hole diameter must be less"),
        ({"counterbore_depth": 50.0}, "counterbore depth must be less"),
        ({"counterbore_diameter": 50.0}, "counterbore diameter must be less"),
    ],
)
def test_impossible_blanks(blank: SoftJawBlank, change: dict[str, object], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        replace(blank, **change)


# ---------------------------------------------------------------- sector jaws


def sector_jaw(blank: SoftJawBlank, degrees: float, tip: float = 24.0) -> SoftJawBlank:
    """The blank as a sector; its width over the corners of an isosceles triangle plus what is round, by hand."""
    half = math.radians(0.5 * degrees)
    radius = blank.length + 0.5 * tip / math.tan(half)
    return replace(
        blank,
        sector_angle=2.0 * half,
        tip_width=tip,
        width=2.0 * radius * math.sin(half),
        screws=(60.0, 90.0),
    )


def sector_area(blank: SoftJawBlank, degrees: float, tip: float = 24.0) -> float:
    """Of a disc's sector less the triangle that the flat inner end cuts off."""
    half = math.radians(0.5 * degrees)
    apex = 0.5 * tip / math.tan(half)
    return half * (blank.length + apex) ** 2 - 0.5 * tip * apex


@pytest.mark.parametrize("degrees", [40.0, 90.0, 119.0])
def test_sector_blank(blank: SoftJawBlank, assert_solid, degrees: float) -> None:
    sector = sector_jaw(blank, degrees)
    solid = soft_jaw.mesh(sector)
    assert_solid(solid, sector_area(blank, degrees) * 50.0 - holes(sector), rel=3e-5)
    (low, high), half = solid.bounds, 0.5 * sector.width
    assert low == pytest.approx([0.0, -half, 0.0], abs=1e-9)
    assert high == pytest.approx([110.0, half, 50.0], abs=1e-9)
    assert not soft_jaw.plan(sector).contains(shapely.Point(109.9, half - 0.5))


@pytest.mark.parametrize("degrees", [40.0, 119.0])
def test_sector_centre_of_mass(blank: SoftJawBlank, degrees: float) -> None:
    """Of the sector 2 R sin(a) / (3 a) from where its flanks meet, of the triangle two thirds of its height."""
    sector, tip = sector_jaw(blank, degrees), 24.0
    half = math.radians(0.5 * degrees)
    apex = 0.5 * tip / math.tan(half)
    radius = 110.0 + apex
    moment = half * radius**2 * (2.0 * radius * math.sin(half) / (3.0 * half) - apex)
    moment -= 0.5 * tip * apex * (2.0 * apex / 3.0 - apex)
    volume = sector_area(blank, degrees) * 50.0
    moment = 50.0 * moment - 0.5 * holes(sector) * (60.0 + 90.0)
    found = mass_properties(soft_jaw.mesh(sector), 7.85e-6)
    assert found.centroid[0] == pytest.approx(moment / (volume - holes(sector)), rel=1e-4)
    assert found.centroid[1] == pytest.approx(0.0, abs=1e-6)
    assert found.mass == pytest.approx(7.85e-6 * (volume - holes(sector)), rel=1e-4)


def test_three_sectors_of_119_deg_nearly_fill_the_circle(blank: SoftJawBlank) -> None:
    """Flanks that lead to the axis: three sectors are 357 deg of the disc less what their flat ends leave out."""
    sector = sector_jaw(blank, 119.0)
    apex = 12.0 / math.tan(math.radians(59.5))
    plans = []
    for index in range(3):
        turned = placed(soft_jaw.mesh(replace(sector, screws=())), jaw_placement(index, apex))
        plans.append(shapely.convex_hull(shapely.MultiPoint(turned.vertices[:, :2])))
    assert all(plans[i].intersection(plans[j]).area < 1e-6 for i, j in ((0, 1), (1, 2), (2, 0)))
    disc = math.pi * (110.0 + apex) ** 2
    assert sum(p.area for p in plans) == pytest.approx(disc * 357.0 / 360.0 - 3.0 * 12.0 * apex, rel=1e-4)


def test_bored_volume_of_a_sector(blank: SoftJawBlank, assert_solid) -> None:
    """Bored where its flanks lead to the axis: what goes is a sector of the bore's disc less the open triangle."""
    sector, half = sector_jaw(blank, 119.0), math.radians(59.5)
    apex = 12.0 / math.tan(half)
    solid = soft_jaw.bored(soft_jaw.mesh(sector), removed_outside([Pocket(80.0, 12.0)], 50.0), apex)
    removed = 12.0 * (half * 40.0**2 - 12.0 * apex)
    assert_solid(solid, sector_area(blank, 119.0) * 50.0 - holes(sector) - removed, rel=5e-5)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (
            {"sector_angle": math.radians(120.0)},
            "sector angle must be over 0 deg and at most 119 deg, found 120",
        ),
        ({"sector_angle": -1.0}, "sector angle must be over 0 deg"),
        ({"sector_angle": math.radians(90.0)}, r"width must be 172\.53 mm, .* found 50 mm"),
    ],
)
def test_impossible_sectors(blank: SoftJawBlank, change: dict[str, object], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        replace(blank, tip_width=24.0, **change)
