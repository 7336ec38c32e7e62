"""Sector jaws in a setup: what may be stated, where faces, seats and land lie, by hand and against outlines."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.assessment.bodies import contact_setup
from sim.assessment.jaws import seated, top_jaw
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.scenario.changes import changed
from sim.scenario.scenario import checked, full_tables
from sim.setup.held import held_zone
from sim.setup.jaw_place import JawPlace, jaw_place
from sim.setup.land import overlap
from sim.setup.parts import build
from sim.setup.rebore import used_blank
from sim.setup.seat import seat
from sim.setup.surroundings import plan_at

SECTORS, BLOCKS, HOUSING = "thin_ring_in_sector_jaws", "thin_ring_distorts", "housing_gripped_inside"
Varied = Callable[..., Scenario]
TAN = math.tan(math.radians(59.5))


def test_the_width_follows_from_the_sector(varied: Varied) -> None:
    """Length 81 mm and a tip of 90 mm: the flanks meet 45 / tan 59.5 deg before the inner end."""
    jaw = varied(SECTORS).soft_jaw
    assert jaw.width == pytest.approx(2.0 * (81.0 + 45.0 / TAN) * math.sin(math.radians(59.5)))
    assert varied(SECTORS, {"soft_jaw.width": f"{jaw.width:.1f} mm"}).soft_jaw.width == pytest.approx(
        jaw.width, abs=0.05
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"soft_jaw.sector_angle": "120 deg"},
            "sector_angle must lie between 15 deg and 119 deg.*found 120 deg",
        ),
        ({"soft_jaw.sector_angle": "-60 deg"}, "sector_angle must lie between.*found -60 deg"),
        ({"soft_jaw.sector_angle": "9 deg", "soft_jaw.tip_width": "50 mm"}, "must lie between.*found 9 deg"),
        ({"soft_jaw.width": "150 mm"}, r"width must be left out or be \d+\.\d+ mm.*found 150 mm"),
        ({"soft_jaw.tip_width": None}, "tip_width must be stated for a sector jaw"),
        ({"soft_jaw.tip_width": "140 mm"}, "must leave the closed jaws' inner ends, 140 mm wide"),
        (
            {"soft_jaw.tip_width": "110 mm"},
            r"diameter must be over 1\d\d\.\d mm for a face that ends on the flanks",
        ),
        (
            {"soft_jaw.sector_angle": "40 deg", "soft_jaw.tip_width": "12 mm"},
            r"screws\.positions must lie 5\d\.\d mm or more from the inner end, so that a sector jaw is as wide",
        ),
        ({"soft_jaw.model": {"file": "jaw.stl", "unit": "mm"}}, "model must be left out for a sector jaw"),
    ],
)
def test_what_is_no_sector_jaw_is_refused(varied: Varied, changes: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        varied(SECTORS, changes)


def test_a_block_must_state_its_width(root: Any) -> None:
    path = root / "scenarios" / f"{BLOCKS}.toml"
    tables = full_tables(path)
    del tables["soft_jaw"]["width"]
    with pytest.raises(ScenarioError, match=r"soft_jaw\.width is missing"):
        checked(tables, path)


@given(
    inner=st.floats(20.0, 60.0),
    beyond=st.floats(4.0, 60.0),
    degrees=st.floats(60.0, 119.0),
    tip=st.floats(16.0, 60.0),
)
def test_face_is_what_the_bore_leaves_of_the_sector(
    root: Any, inner: float, beyond: float, degrees: float, tip: float
) -> None:
    """Against the outline: the bored circle within the blank's plan, less a chamfer of 1 mm along it."""
    scenario = of_shape(root, inner, degrees, tip)
    place, radius = jaw_place(scenario), inner + beyond
    assume(radius > math.hypot(inner, 0.5 * tip) + 3.0 and radius < place.outer_end(inner) - 5.0)
    half = half_arc(scenario, place, radius)
    assert math.asin(place.face_half_chord(radius) / radius) == pytest.approx(half - 1.0 / radius, abs=2e-4)


@given(inner=st.floats(20.0, 60.0), degrees=st.floats(60.0, 119.0), tip=st.floats(16.0, 60.0))
def test_ends_of_the_sector(root: Any, inner: float, degrees: float, tip: float) -> None:
    """Farthest and nearest point of the round end, and the places that the blank covers, from its outline."""
    scenario = of_shape(root, inner, degrees, tip)
    place = jaw_place(scenario)
    plan = outline(scenario, place)
    points = shapely.get_coordinates(plan)
    ends = np.hypot(*points[:-3].T)  # all but the two corners of the inner end
    assert place.corner(inner) == pytest.approx(ends.max(), abs=1e-6)
    assert place.outer_end(inner) == pytest.approx(ends.min(), abs=1e-6)
    rng = np.random.default_rng(3)
    x, y = rng.uniform(0.0, 180.0, 300), rng.uniform(-120.0, 120.0, 300)
    clear = shapely.distance(plan.exterior, shapely.points(x, y)) > 0.02
    covered = used_blank(scenario, place).covers(x, y)
    assert (covered == shapely.contains_xy(plan, x, y))[clear].all()


def of_shape(root: Any, inner: float, degrees: float, tip: float) -> Scenario:
    stated = {
        "soft_jaw.mounting_radius": f"{inner + 3.0} mm",
        "soft_jaw.sector_angle": f"{degrees} deg",
        "soft_jaw.tip_width": f"{tip} mm",
    }
    path = root / "scenarios" / f"{SECTORS}.toml"
    return checked(changed(full_tables(path), stated), path)


def outline(scenario: Scenario, place: JawPlace) -> shapely.Polygon:
    """The blank at the boring travel: by hand a wedge of the flanks within the circle of the round end."""
    jaw = scenario.soft_jaw
    assert jaw.sector_angle is not None
    assert jaw.tip_width is not None
    half = 0.5 * jaw.sector_angle
    apex = place.bored - 0.5 * jaw.tip_width / math.tan(half)
    turns = np.linspace(-half, half, 4001)
    arc = np.array([apex, 0.0]) + (place.bored + jaw.length - apex) * np.column_stack(
        [np.cos(turns), np.sin(turns)]
    )
    tips = [(place.bored, 0.5 * jaw.tip_width), (place.bored, -0.5 * jaw.tip_width)]
    return shapely.Polygon([*arc, *tips])


def half_arc(scenario: Scenario, place: JawPlace, radius: float) -> float:
    circle = np.linspace(0.0, 0.5 * math.pi, 40_001)
    at = radius * np.column_stack([np.cos(circle), np.sin(circle)])
    return float(circle[shapely.intersects_xy(outline(scenario, place), at[:, 0], at[:, 1])].max())


def test_the_plan_of_the_solid_is_the_same(varied: Varied) -> None:
    scenario = varied(SECTORS)
    parts = build(scenario)
    found = plan_at(parts, parts.place.bored)
    assert shapely.symmetric_difference(found, outline(scenario, parts.place)).area < 1e-4 * found.area


def test_a_seat_begins_where_the_sector_is_as_wide_as_its_master_jaw(varied: Varied) -> None:
    """A tip of 20 mm under 119 deg is 45 mm wide 12.5 / tan 59.5 deg behind the inner end; one of 90 mm at once."""
    assert seat(varied(SECTORS)).inner == 0.0
    pointed = seat(varied(SECTORS, {"soft_jaw.tip_width": "20 mm"}))
    assert pointed.inner == pytest.approx(12.5 / TAN)
    assert pointed.length == pytest.approx(81.0 - 12.5 / TAN)
    assert [way.inner for way in pointed.ways] == pytest.approx([12.5 / TAN, 0.0])
    assert len(seat(varied(SECTORS)).ways) == 1


def test_a_joint_stands_with_and_without_the_narrow_tip(varied: Varied) -> None:
    """Each jaw at rest and at speed, on its seat with the tip that is narrower than the master jaw and without it."""
    parts = build(varied(SECTORS, {"soft_jaw.tip_width": "20 mm"}))
    top, least = top_jaw(parts), 20e3
    both = seated(parts, top, 34.5, 3700.0, 3700.0, (500.0,) * 3, least)
    assert len(both.joints) == 12
    assert both.gaping_factor == min(joint.gaping_factor for joint in both.joints)


def test_the_land_is_looked_at_over_the_middle_half_of_the_arc(varied: Varied) -> None:
    """Inner end flat on x = 42 mm: on a ray at the angle t the ring lies on it from there, or from its bore."""
    parts = build(varied(SECTORS))
    half = 0.5 * math.asin(parts.place.face_half_chord(63.0) / 63.0)
    angles = [(k / 6.0 - 1.0) * half for k in range(13)]
    by_hand = sum(63.0 - max(54.0, 42.0 / math.cos(t)) for t in angles) / 13
    assert overlap(parts, 0, 3.0).width == pytest.approx(by_hand, abs=1e-3)


def test_contact_is_that_of_the_sector_on_its_master_jaw(varied: Varied) -> None:
    """While boring the flanks' apex stands 42 - 45 / tan 59.5 deg from the axis, the master jaw from 23 to 123 mm."""
    parts = build(varied(SECTORS))
    setup = contact_setup(parts, 0, held_zone(parts.scenario, 0), "elastic")
    sector, on = setup.jaw.sector, setup.jaw.seat
    assert sector is not None
    assert sector.apex_mm == pytest.approx(42.0 - 45.0 / TAN)
    assert sector.half_angle_rad == pytest.approx(math.radians(59.5))
    assert sector.apex_mm + sector.round_mm == pytest.approx(42.0 + 81.0)
    assert on is not None
    assert (on.half_width_mm, on.low_mm, on.high_mm) == pytest.approx((22.5, 23.0, 123.0))
    at = sector.flank_angle(63.0)
    assert setup.grip.half_angle_rad == pytest.approx(at - 1.0 / 63.0, abs=1e-3)
    plain = contact_setup(build(varied(BLOCKS)), 0, held_zone(varied(BLOCKS), 0), "elastic")
    assert (plain.jaw.sector, plain.jaw.seat) == (None, None)


def test_a_wide_block_stands_free_beside_its_master_jaw(varied: Varied) -> None:
    wide = build(varied(BLOCKS, {"soft_jaw.width": "90 mm"}))
    on = contact_setup(wide, 0, held_zone(wide.scenario, 0), "elastic").jaw.seat
    assert on is not None
    assert on.half_width_mm == 22.5
