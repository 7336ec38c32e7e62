"""Cuts lie where metal is to be cut and where no jaw is: every kind and direction, in setups that hold by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import shapely

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.cuts import least_room
from sim.mechanics.cut_surface import CutPlace
from sim.scenario import Scenario
from sim.setup.surroundings import Around

HUB, BONNET, HOUSING, THIN = (
    "cast_hub_on_ring",
    "valve_bonnet_two_steps",
    "housing_gripped_inside",
    "thin_ring_distorts",
)
ON, CLEAR = "cuts on the part", "cuts clear of the jaws"
OUTLINE = "operations.0.workpiece.outline"
SOLID = [[f"{r} mm", f"{z} mm"] for r, z in ((0, 0), (59, 0), (59, 26), (40, 26), (40, 58), (0, 58))]


def cut(**changes: Any) -> dict[str, Any]:
    """Return the first cut of a scenario with some fields replaced, and no other cut after it."""
    base = {"name": "asked", "kind": "turning", "diameter": "80 mm", "height": "50 mm", "feed_towards": "chuck",
            "depth_of_cut": "2 mm", "feed": "0.2 mm/rev", "cutting_speed": "120 m/min"}  # fmt: skip
    return {"operations.0.cuts": [{**base, **changes}]}


def milled(**changes: Any) -> dict[str, Any]:
    forces = {"tangential": "500 N", "feed": "300 N", "passive": "200 N"}
    return cut(**{"rotating_tool": True, "forces": forces, **changes})


@pytest.fixture(scope="module")
def judged(varied: Callable[..., Scenario]) -> Callable[..., Assessment]:
    return lambda name, changes=None: assess(varied(name, changes), contact_model="foundation", advised=False)


def one(found: Assessment, name: str) -> Verdict:
    (verdict,) = (
        v for v in found.verdicts if v.name == name and v.stage == found.operations[0].operation.name
    )
    return verdict


def test_every_shipped_cut_lies_on_its_part(
    scenario_name: str, assessment: Callable[[str], Assessment]
) -> None:
    found = assessment(scenario_name)
    stages = {o.operation.name for o in found.operations}
    assert {(v.stage, v.status) for v in found.verdicts if v.name in (ON, CLEAR)} == {
        (s, "pass") for s in stages
    }


# Distances by hand: hub of 118 mm by 26 mm with a collar of 80 mm to 58 mm and a bore of 40 mm; ring of 126 and 108 mm.
@pytest.mark.parametrize(
    ("name", "changes", "off"),
    [
        # the rim's face lies at 26 mm: the plane of 3 mm and 2 mm of depth end 21 mm below it
        (HUB, cut(kind="facing", diameter="116 mm", height="3 mm", feed_towards="axis"), 21.0),
        (HUB, cut(kind="facing", diameter="116 mm", height="3 mm", feed_towards="chuck"), 21.0),
        # under the rim's face, and over it
        (HUB, cut(kind="facing", diameter="100 mm", height="21 mm", feed_towards="axis"), 3.0),
        (HUB, cut(kind="facing", diameter="100 mm", height="28 mm", feed_towards="axis"), 2.0),
        # turning from 2 mm: its ring ends at 3 mm, the collar at 40 mm
        (HUB, cut(diameter="2 mm"), 37.0),
        (HUB, {**cut(diameter="2 mm"), OUTLINE: SOLID}, 37.0),
        (HUB, cut(diameter="70 mm"), 3.0),
        (HUB, cut(diameter="70 mm", feed_towards="tailstock"), 3.0),
        (HUB, cut(diameter="70 mm", feed_towards="axis"), 3.0),
        # in the air around the collar
        (HUB, cut(diameter="100 mm"), 10.0),
        # boring at 2 mm in the air of the bore, and in the metal beside it
        (HUB, cut(kind="boring", diameter="2 mm"), 19.0),
        (HUB, cut(kind="boring", diameter="60 mm"), 8.0),
        (HUB, cut(kind="boring", diameter="60 mm", feed_towards="tailstock"), 8.0),
        # a drill of 30 mm in a bore of 40 mm
        (HUB, cut(kind="drilling", diameter="30 mm"), 5.0),
        # a mill off every surface: collar 40 mm, bore 20 mm, rim's face 24 mm lower
        (HUB, milled(kind="facing", diameter="60 mm", feed_towards="axis"), 6.0),
        # gripped outside, the surface in the pocket is the jaws': no tool turns there
        (THIN, cut(diameter="124 mm", height="10 mm", feed_towards="axis"), 9.0),
    ],
)  # fmt: skip
def test_a_cut_in_metal_or_in_air_fails(
    judged: Callable[..., Assessment], name: str, changes: dict[str, Any], off: float
) -> None:
    found = one(judged(name, changes), ON)
    assert found.status == "fail"
    assert found.value >= off - 0.7
    assert found.value <= off + 12.0


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        # as it is after the cut, and before it
        (HUB, cut(diameter="80 mm")),
        (HUB, cut(diameter="76 mm")),
        (HUB, cut(diameter="76 mm", feed_towards="tailstock")),
        (HUB, cut(kind="boring", diameter="40 mm")),
        (HUB, cut(kind="boring", diameter="44 mm")),
        (HUB, cut(kind="facing", diameter="70 mm", height="58 mm", feed_towards="axis")),
        (HUB, cut(kind="facing", diameter="60 mm", height="56 mm", feed_towards="outward")),
        # facing down to the middle of a solid part ends at a small diameter
        (HUB, {**cut(kind="facing", diameter="2 mm", height="57 mm", feed_towards="axis"), OUTLINE: SOLID}),
        # a drill makes its own hole, before and after; a larger one opens a bore
        (HUB, {**cut(kind="drilling", diameter="12 mm", height="30 mm"), OUTLINE: SOLID}),
        (HUB, cut(kind="drilling", diameter="40 mm")),
        (HUB, cut(kind="drilling", diameter="44 mm")),
        (HUB, milled(kind="turning", diameter="80 mm")),
        (
            HUB,
            milled(kind="drilling", diameter="6 mm", off_axis="30 mm", forces=None, cutting_speed="60 m/min"),
        ),
        (THIN, cut(kind="boring", diameter="108 mm", height="20 mm", depth_of_cut="0.3 mm")),
        (HOUSING, cut(diameter="236 mm", height="25 mm")),
        # gripped inside above the jaws, which reach 22 mm into the bore
        (HOUSING, cut(kind="boring", diameter="180 mm", height="30 mm")),
    ],
)
def test_a_cut_that_a_setter_would_make_passes(
    judged: Callable[..., Assessment], name: str, changes: dict[str, Any]
) -> None:
    changes["operations.0.cuts"][0] = {
        k: v for k, v in changes["operations.0.cuts"][0].items() if v is not None
    }
    found = judged(name, changes)
    assert [one(found, n).status for n in (ON, CLEAR)] == ["pass", "pass"]


@pytest.mark.parametrize(
    ("name", "changes", "body"),
    [
        # gripped inside, at 10 mm the jaws fill the bore up to 22 mm
        (HOUSING, cut(kind="boring", diameter="180 mm", height="10 mm"), "soft jaws"),
        (HOUSING, cut(kind="boring", diameter="180 mm", height="10 mm", feed_towards="tailstock"), "soft jaws"),
        # gripped outside, a bore of 100 mm that goes 1 mm below the back face is in the jaws' land
        (THIN, cut(kind="boring", diameter="108 mm", height="-1 mm"), "soft jaws"),
        # a drill of 100 mm through to the back face; a bolt hole through a flange that overhangs the jaws
        (THIN, cut(kind="drilling", diameter="100 mm", height="0 mm"), "soft jaws"),
        (HUB, milled(kind="drilling", diameter="8 mm", off_axis="50 mm", height="-1 mm", forces=None,
                     cutting_speed="60 m/min"), "soft jaws"),
        # a drill that would come through the spindle, wider than the chuck's bore
        (HUB, cut(kind="drilling", diameter="80 mm", height="5 mm", feed_towards="tailstock"), "chuck body"),
    ],
)  # fmt: skip
def test_a_cut_where_a_jaw_stands_fails(
    judged: Callable[..., Assessment], name: str, changes: dict[str, Any], body: str
) -> None:
    changes["operations.0.cuts"][0] = {
        k: v for k, v in changes["operations.0.cuts"][0].items() if v is not None
    }
    found = one(judged(name, changes), CLEAR)
    assert found.status == "fail"
    assert found.value == 0.0
    assert body in found.message


def test_down_in_the_pocket_a_cut_needs_its_clearance(judged: Callable[..., Assessment]) -> None:
    """A disc 10 mm thick in a pocket 23 mm deep: facing at 116 mm runs 1 mm off the wall, at 110 mm 4 mm off."""
    disc = {OUTLINE: [["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "10 mm"], ["20 mm", "10 mm"]]}
    at = {"kind": "facing", "height": "10 mm", "feed_towards": "axis"}
    near, off = (one(judged(HUB, {**disc, **cut(**at, diameter=d)}), CLEAR) for d in ("116 mm", "110 mm"))
    assert (near.status, off.status) == ("fail", "pass")
    assert near.value == pytest.approx(1.0, abs=0.1)
    assert off.value == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize(("end", "status"), [("116 mm", "fail"), ("110 mm", "pass")])
def test_a_groove_counts_as_far_as_it_ends(judged: Callable[..., Assessment], end: str, status: str) -> None:
    """Outward from the bore at the height of the grip: a blade that leaves a wall of 1 mm is 1 mm off the jaw."""
    groove = cut(kind="grooving", diameter="40 mm", end_diameter=end, height="10 mm", feed_towards="outward",
                 depth_of_cut="3 mm", feed="0.1 mm/rev")  # fmt: skip
    found = judged(HUB, groove)
    assert one(found, ON).status == "pass"
    clear = one(found, CLEAR)
    assert clear.status == status
    assert clear.value == pytest.approx(59.0 - 0.5 * float(end.removesuffix(" mm")), abs=0.1)


def test_just_over_the_jaws_a_cut_warns(judged: Callable[..., Assessment]) -> None:
    """The rim turned 0.8 mm over the jaws' faces: less than the 1.5 mm that are wanted, from outside it gets there."""
    found = one(judged(HUB, cut(diameter="118 mm", height="23.8 mm")), CLEAR)
    assert found.status == "warn"
    assert found.value == pytest.approx(0.8, abs=1e-6)


def test_a_cut_that_only_warns_hides_none_that_fails(judged: Callable[..., Assessment]) -> None:
    """Down in the pocket 1 mm off the wall fails; a second cut 0.8 mm over the jaws is nearer and betters nothing."""
    corners = ((20, 0), (59, 0), (59, 10), (50, 10), (50, 20), (59, 20), (59, 34), (20, 34))
    waisted = {OUTLINE: [[f"{r} mm", f"{z} mm"] for r, z in corners]}
    changes = cut(kind="facing", height="10 mm", feed_towards="axis", diameter="116 mm")
    (over_the_jaws,) = cut(name="rim", diameter="118 mm", height="23.8 mm")["operations.0.cuts"]
    changes["operations.0.cuts"].append(over_the_jaws)
    found = one(judged(HUB, {**waisted, **changes}), CLEAR)
    assert found.status == "fail"
    assert found.value == pytest.approx(0.8, abs=1e-6)
    assert "'asked'" in found.message


@pytest.mark.parametrize(
    ("rest", "gap", "deep"),
    [
        # In front of the jaws nothing, or a ring on that radius, or one farther out.
        (None, 3.0, True),
        ((45.0, 60.0), 0.0, True),
        ((54.0, 60.0), 2.0, True),
    ],
)
def test_a_tool_comes_in_by_one_way(rest: tuple[float, float] | None, gap: float, deep: bool) -> None:
    """From in front past the jaws, from outside past a steady rest: that is no way past both."""
    place = CutPlace("turning", "chuck", 100.0, 10.0)
    jaws = Around("soft jaws", shapely.box(55.0, 0.0, 100.0, 20.0))
    bodies = (
        (jaws,) if rest is None else (jaws, Around("steady rest", shapely.box(rest[0], 60.0, rest[1], 70.0)))
    )
    found, name = least_room(place, 2.0, bodies)
    assert (found.gap, found.deep) == (pytest.approx(gap), deep)
    assert name == "soft jaws"


def test_a_recess_that_only_opens_to_the_chuck_is_reached_by_no_tool(
    judged: Callable[..., Assessment],
) -> None:
    """A solid disc hollow behind: its recess of 60 mm opens to the jaws alone."""
    corners = ((0, 10), (30, 10), (30, 0), (59, 0), (59, 26), (0, 26))
    hollow = [[f"{r} mm", f"{z} mm"] for r, z in corners]
    behind = cut(kind="boring", diameter="60 mm", height="5 mm")
    found = one(judged(HUB, {**behind, OUTLINE: hollow}), ON)
    assert found.status == "fail"
    assert "no surface of that kind is reached" in found.message
