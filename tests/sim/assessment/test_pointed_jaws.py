"""Pointed and narrow jaws in a setup: what may be stated, seats, faces, bodies, neighbours; by hand and by outlines."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely

from meshes.soft_jaw import plan
from sim.assessment.across import pushed_across
from sim.assessment.bodies import contact_setup
from sim.assessment.jaws import seat_width
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.metal import carrying_width
from sim.assessment.verdicts.neighbours import clear_verdict
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.setup.dimensions import blank_dimensions
from sim.setup.held import held_zone
from sim.setup.jaw_place import jaw_place
from sim.setup.neighbours import master_gap, soft_gap
from sim.setup.parts import build
from sim.setup.rebore import used_blank
from sim.setup.seat import seat

RING = "thin_ring_distorts"
Varied = Callable[..., Scenario]
TAN = math.tan(math.radians(30.0))
PIN: dict[
    str, Any
] = {  # a pin of 18 mm between points 8 mm wide, in the thin ring's chuck: stroke 6 mm, bored at 3 mm
    "soft_jaw.material": "steel C45",
    "soft_jaw.length": "100 mm",
    "soft_jaw.width": "40 mm",
    "soft_jaw.tip_width": "8 mm",
    "soft_jaw.tip_angle": "60 deg",
    "soft_jaw.mounting_radius": "9.5 mm",
    "soft_jaw.edge_chamfer": "0.3 mm",
    "soft_jaw.screws.positions": ["53 mm", "81 mm"],
    "soft_jaw.screws.torque": "180 N*m",
    "pockets.0.diameter": "18 mm",
    "boring.fixture.outer_diameter": "200 mm",
    "boring.fixture.inner_diameter": "95 mm",
    "boring.fixture.screw": 0,
    "boring.tool.insert": "CCMT 060204",
    "boring.tool.bar_diameter": "10 mm",
    "boring.tool.reach": "60 mm",
    "boring.tool.functional_offset": "7 mm",
    "boring.tool.approach_angle": "95 deg",
    "operations.0.workpiece.material": "steel C45",
    "operations.0.workpiece.outline": [
        ["0 mm", "0 mm"],
        ["8.7 mm", "0 mm"],
        ["9 mm", "0.3 mm"],
        ["9 mm", "45 mm"],
        ["0 mm", "45 mm"],
    ],
    "operations.0.workpiece.gripped_diameter_low": "17.97 mm",
    "operations.0.workpiece.gripped_diameter_high": "18.00 mm",
    "operations.0.gripping.pressure": "12 bar",
    "operations.0.gripping.speed_high": "600 rpm",
    "operations.0.gripping.pairing": "steel on steel, smooth jaw, turned part",
    "operations.0.cuts.0.kind": "turning",
    "operations.0.cuts.0.diameter": "17 mm",
    "operations.0.cuts.0.height": "40 mm",
    "operations.0.cuts.0.depth_of_cut": "0.3 mm",
    "operations.0.cuts.0.cutting_speed": "25 m/min",
}
PLAIN = {key: value for key, value in PIN.items() if "tip" not in key}
NARROW = {"soft_jaw.width": "28 mm", "soft_jaw.screws.counterbore_diameter": "22 mm"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"soft_jaw.tip_angle": "121 deg"}, "tip_angle must lie between 20 deg and 120 deg, .*found 121 deg"),
        ({"soft_jaw.tip_angle": "15 deg"}, "tip_angle must lie between 20 deg and 120 deg, .*found 15 deg"),
        ({"soft_jaw.tip_width": None}, "tip_width must be stated for a pointed jaw"),
        ({"soft_jaw.sector_angle": "60 deg"}, "tip_angle must be left out for a sector jaw"),
        (
            {"soft_jaw.model": {"file": "jaw.stl", "unit": "mm"}},
            "model must be left out for a jaw with a tip",
        ),
        # Full width 16 / tan 30 deg behind the inner end, half a hole of 15.5 mm more.
        (
            {"soft_jaw.screws.positions": ["35 mm", "81 mm"]},
            r"screws\.positions must lie 35\.5 mm or more .* that a pointed jaw is at its full width, 40 mm,",
        ),
        (
            {"soft_jaw.width": "60 mm", "soft_jaw.screws.positions": ["39 mm", "81 mm"]},
            r"must lie 39\.8 mm or more .* that a pointed jaw is as wide as its master jaw, 45 mm,",
        ),
        (
            {"soft_jaw.mounting_radius": "8 mm"},
            "must leave the closed jaws' inner ends, 8 mm wide, at a radius",
        ),
        (
            {"soft_jaw.serrations_off": [-3, 0, 0]},
            r"serrations_off must keep .* found -3, \+0, \+0, with which",
        ),
        (
            {"master_jaw.inner_radius": "18 mm"},
            r"master_jaw\.inner_radius must keep .* at least 19\.0 mm, found 18",
        ),
    ],
)
def test_what_is_no_pointed_jaw_is_refused(varied: Varied, changes: dict[str, Any], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        varied(RING, PIN | changes)


def test_jaws_as_wide_as_usual_do_not_reach_a_pin(varied: Varied) -> None:
    """40 mm wide inner ends meet at a radius of 20 / sqrt 3 mm: no blank of them closes on 9 mm."""
    with pytest.raises(ScenarioError, match=r"inner ends, 40 mm wide, at a radius of 11\.\d mm or more"):
        varied(RING, PLAIN)


def test_a_slimmer_point_pushes_the_screws_out(varied: Varied) -> None:
    assert varied(RING, PIN).soft_jaw.tip_angle == pytest.approx(math.radians(60.0))
    with pytest.raises(ScenarioError, match=r"counterbore inside the blank|screws\.positions must lie"):
        varied(RING, PIN | {"soft_jaw.tip_angle": "30 deg"})


def test_a_seat_begins_where_the_point_is_as_wide_as_it_gets(varied: Varied) -> None:
    """Of 40 mm under 45 mm of master jaw; of 60 mm from where it is 45 mm wide. A joint stands with the point, too."""
    found = seat(varied(RING, PIN))
    assert found.inner == pytest.approx(16.0 / TAN)
    assert [way.inner for way in found.ways] == pytest.approx([16.0 / TAN, 16.5])  # master jaw: 26 - 9.5 mm
    wide = seat(varied(RING, PIN | {"soft_jaw.width": "60 mm"}))
    assert wide.inner == pytest.approx(18.5 / TAN)


def test_a_narrow_jaw_sits_on_what_it_has(varied: Varied) -> None:
    """28 mm wide on 45 mm of master jaw with a T-slot of 18 mm: 10 mm of serrations bear."""
    scenario = varied(RING, NARROW)
    assert (seat(scenario).inner, len(seat(scenario).ways)) == (0.0, 1)
    assert seat_width(scenario) == 10.0
    with pytest.raises(
        ScenarioError, match="slot_neck_width must leave serrations beside the T-slot: under 17 mm"
    ):
        varied(RING, NARROW | {"soft_jaw.width": "17 mm"})
    with pytest.raises(ScenarioError, match="counterbore diameter must be less than the width"):
        build(varied(RING, NARROW | {"soft_jaw.width": "21 mm"}))


def test_contact_is_that_of_the_point_on_its_master_jaw(varied: Varied) -> None:
    """While boring the inner end stands at 6.5 mm, the master jaw at 23 mm; the face ends 0.3 mm off a flank."""
    parts = build(varied(RING, PIN))
    setup = contact_setup(parts, 0, held_zone(parts.scenario, 0), "elastic")
    point, on = setup.jaw.point, setup.jaw.seat
    assert point is not None
    assert (point.inner_mm, point.tip_half_mm, point.half_width_mm) == pytest.approx((6.5, 4.0, 20.0))
    assert on is not None
    assert (on.half_width_mm, on.low_mm, on.high_mm) == pytest.approx((22.5, 23.0, 123.0))
    turns = np.linspace(0.0, 1.5, 200_001)
    x, y = 9.0 * np.cos(turns), 9.0 * np.sin(turns)
    end = turns[(x >= 6.5) & (y <= 4.0 + (x - 6.5) * TAN)].max()
    assert setup.grip.half_angle_rad == pytest.approx(end - 0.3 / 9.0, rel=2e-3)
    assert setup.jaw.ledge_radius_mm == pytest.approx(6.5)


def test_only_the_face_of_a_point_carries(varied: Varied) -> None:
    parts = build(varied(RING, PIN))
    chord = 2.0 * parts.place.face_half_chord(9.0)
    assert chord < 40.0 - 22.0
    assert carrying_width(parts, parts.scenario.pockets[0]) == pytest.approx(chord)


def test_places_on_the_blank_are_those_of_its_plan(varied: Varied) -> None:
    scenario = varied(RING, PIN)
    place = jaw_place(scenario)
    outline = shapely.transform(
        plan(blank_dimensions(scenario)), lambda xy: xy + np.array([place.bored, 0.0])
    )
    rng = np.random.default_rng(5)
    x, y = rng.uniform(0.0, 120.0, 500), rng.uniform(-30.0, 30.0, 500)
    clear = shapely.distance(outline.exterior, shapely.points(x, y)) > 1e-6
    covered = used_blank(scenario, place).covers(x, y)
    assert (covered == shapely.contains_xy(outline, x, y))[clear].all()


def to_edges(points: np.ndarray, corners: np.ndarray) -> float:
    """Least distance of points from the edges of a closed outline."""
    start, along = corners, np.roll(corners, -1, axis=0) - corners
    share = np.einsum("pcx,cx->pc", points[:, None] - start, along) / (along**2).sum(axis=1)
    nearest = start + np.clip(share, 0.0, 1.0)[..., None] * along
    return float(np.hypot(*np.moveaxis(points[:, None] - nearest, -1, 0)).min())


def least_between(bodies: list[list[tuple[float, float]]]) -> float:
    """Least distance of three outlines that do not meet, each in its own jaw's frame: a corner of one to an edge."""
    turned = []
    for number, corners in enumerate(bodies):
        t = math.radians(120.0 * number)
        turned.append(np.array(corners) @ np.array([[math.cos(t), math.sin(t)], [-math.sin(t), math.cos(t)]]))
    return min(to_edges(turned[i], turned[j]) for i in range(3) for j in range(3) if i != j)


@pytest.mark.parametrize("tip", [4.0, 8.0])
def test_gap_of_jaws_alike(varied: Varied, tip: float) -> None:
    """Corner (r, w / 2) of an inner end to the line at 60 deg, twice: flanks under 60 deg lead away from there."""
    scenario = varied(RING, PIN | {"soft_jaw.tip_width": f"{tip} mm"})
    by_hand = 2.0 * (3.5 * math.sin(math.radians(60.0)) - 0.5 * tip * 0.5)
    assert soft_gap(scenario, jaw_place(scenario)) == pytest.approx(by_hand)
    masters = 2.0 * (20.0 * math.sin(math.radians(60.0)) - 22.5 * 0.5)  # inner ends at 26 - 6 mm
    assert master_gap(scenario, jaw_place(scenario)) == pytest.approx(masters)


@pytest.mark.parametrize(("off", "nearer"), [((1, 1, 1), False), ((-1, 0, 0), True), ((-1, -1, 1), True)])
def test_gap_of_jaws_that_stand_off(varied: Varied, off: tuple[int, int, int], nearer: bool) -> None:
    """Each by its own serrations of 1.5 mm; jaws that stand farther in than the others meet first."""
    scenario = varied(RING, PIN | {"soft_jaw.serrations_off": list(off), "soft_jaw.tip_width": "4 mm"})
    place = jaw_place(scenario)
    bodies = []
    for count in off:
        r = 3.5 + 1.5 * count
        wide = r + 18.0 / TAN
        half = [(r, 2.0), (wide, 20.0), (r + 100.0, 20.0)]
        bodies.append([*half, *((x, -y) for x, y in reversed(half))])
    found = soft_gap(scenario, place)
    assert found == pytest.approx(least_between(bodies), abs=1e-6)
    alike = soft_gap(varied(RING, PIN | {"soft_jaw.tip_width": "4 mm"}), place)
    assert (found < alike) == nearer


@pytest.mark.parametrize(
    ("changes", "gap", "status"),
    [
        ({}, 2.06, "pass"),  # 2 (3.5 sin 60 deg - 4 / 2)
        ({"soft_jaw.mounting_radius": "8.9 mm"}, 1.02, "pass"),
        ({"soft_jaw.mounting_radius": "8.8 mm"}, 0.85, "fail"),
        ({"soft_jaw.tip_width": "11 mm"}, 0.56, "fail"),
        (
            {"master_jaw.inner_radius": "19.5 mm"},
            0.88,
            "fail",
        ),
    ],
)
def test_jaws_that_nearly_meet_fail(varied: Varied, changes: dict[str, Any], gap: float, status: str) -> None:
    """They would close on each other, and not on the part; of master jaws 2 (13.5 sin 60 deg - 22.5 / 2)."""
    found = clear_verdict(build(varied(RING, PIN | changes)))
    assert found.value == pytest.approx(gap, abs=0.01)
    assert found.status == status
    if status == "fail":
        assert ("of the master jaws" in found.advice) == ("master_jaw.inner_radius" in changes)


def test_sectors_and_blocks_of_today_are_clear(varied: Varied) -> None:
    """At 39 mm when closed: inner ends of 90 mm and of 50 mm, 2 (39 sin 60 deg - w / 4)."""
    for name, tip in (("thin_ring_in_sector_jaws", 90.0), (RING, 50.0)):
        scenario = varied(name)
        by_hand = 2.0 * (39.0 * math.sin(math.radians(60.0)) - 0.25 * tip)
        assert soft_gap(scenario, jaw_place(scenario)) == pytest.approx(by_hand, abs=1e-6)
        assert clear_verdict(build(scenario)).status == "pass"


SLIM: dict[str, Any] = {  # a short hold between points of 5 mm that widen slowly, gripped hard
    "soft_jaw.width": "24 mm",
    "soft_jaw.tip_width": "6 mm",
    "soft_jaw.tip_angle": "20 deg",
    "soft_jaw.screws.positions": ["62 mm", "88 mm"],
    "pockets.0.depth": "12 mm",
    "operations.0.workpiece.outline": [
        ["0 mm", "0 mm"],
        ["8.7 mm", "0 mm"],
        ["9 mm", "0.3 mm"],
        ["9 mm", "25 mm"],
        ["0 mm", "25 mm"],
    ],
    "operations.0.cuts.0.height": "20 mm",
    "operations.0.gripping.pressure": "16 bar",
}


def pushed(varied: Varied, changes: dict[str, Any]) -> dict[str, Verdict]:
    found = assess(varied(RING, changes), contact_model="foundation")
    return {v.key: v for v in found.verdicts}


def test_a_slim_tip_that_the_cut_bends_aside_fails(varied: Varied) -> None:
    """Wall, marking and the stress of the part pass."""
    assert pushed(varied, PIN)["jaw_pushed_across"].status == "pass"
    found = pushed(varied, PIN | SLIM)
    across = found["jaw_pushed_across"]
    assert across.status == "fail"
    assert "wider" in across.advice
    others = (
        "wall_behind_the_face",
        "marking",
        "stress_against_yield",
        "wall_to_the_counterbore",
    )
    assert {found[key].status for key in others} == {"pass"}


def test_what_friction_holds_across_a_jaw_is_told_and_wanted_half_as_much_again(varied: Varied) -> None:
    """The factor of 1.5 is common practice, no source."""
    found = assess(varied(RING, PIN), contact_model="foundation")
    (across,) = (v for v in found.verdicts if v.key == "jaw_pushed_across")
    grip = found.operations[0].grip
    assert across.limit == 1.5
    assert across.message.startswith(
        f"of {grip.friction * grip.largest_per_jaw / 1000.0:.1f} kN across a jaw"
    )
    assert grip.friction * grip.largest_per_jaw > 100.0


def test_the_stress_of_a_tip_is_that_of_its_worst_section(varied: Varied) -> None:
    """By hand: a face as wide as its chord, 9 mm high; F (6 mu s / w^2 + 1 / w) / h at each 0.01 mm along the taper."""
    scenario = varied(RING, PIN | SLIM)
    parts = build(scenario)
    chord = 2.0 * parts.place.face_half_chord(9.0)
    slope = math.tan(math.radians(10.0))
    start = math.sqrt(81.0 - 0.25 * chord**2) - 6.5
    along = np.arange(start, 9.0 / slope, 0.01)
    wide = 6.0 + 2.0 * slope * along
    worst = (6.0 * 0.13 * (along - start) / wide**2 + 1.0 / wide).max()
    assert worst > 1.02 / chord  # it is bent, and not only pressed
    zone = held_zone(scenario, 0)
    found = pushed_across(parts, zone, scenario.pockets[0], 8000.0, 0.0, 40e3, 0.13)
    assert found.stress == pytest.approx(8000.0 * worst / zone.length, rel=2e-3)


@pytest.mark.parametrize("direction", ["narrower", "taller grip", "looser", "harder"])
def test_worse_is_worse_for_a_jaw_pushed_across(varied: Varied, direction: str) -> None:
    """A narrower seat, a grip farther up, less preload and more grip each bear fewer times the push."""
    worse: dict[str, Any] = {
        "narrower": NARROW,
        "taller grip": {"pockets.0.depth": "18 mm"},
        "looser": {"soft_jaw.screws.torque": "8 N*m"},
        "harder": {"operations.0.gripping.pressure": "6 bar"},
    }[direction]
    before, after = (pushed(varied, changes)["jaw_pushed_across"] for changes in ({}, worse))
    assert before.status == "pass"
    assert after.value < before.value
    if direction == "looser":
        assert after.status == "fail"
        assert "larger screws" in after.advice


def test_of_unlike_jaws_the_heaviest_pulls_its_seat_open(varied: Varied) -> None:
    """One jaw 3 kg heavier than two: none of them bears more than where all three are as heavy."""

    def factor(*more: str) -> float:
        changes = {"soft_jaw.mass_differences": list(more), "operations.0.gripping.speed_high": "1500 rpm"}
        return pushed(varied, changes)["jaw_pushed_across"].value

    alike, heavy = factor("0 kg", "0 kg", "0 kg"), factor("3 kg", "3 kg", "3 kg")
    assert heavy < 0.98 * alike
    assert factor("0 kg", "3 kg", "0 kg") == pytest.approx(heavy, rel=1e-9)
