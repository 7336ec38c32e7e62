"""The metal that is left of a jaw: by hand, against the faces of its solid, and never more by a further boring."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.boolean import difference
from sim.base.errors import ScenarioError
from sim.mechanics.stroke import wall_distance
from sim.scenario import Scenario
from sim.scenario.soft_jaw import JawModel
from sim.setup.held import held_zone
from sim.setup.jaw_place import jaw_place
from sim.setup.metal import (
    LEAST_SEAT,
    FixtureSeat,
    fixture_pressed,
    fixture_seat,
    land_left,
    least_floor,
    wall_behind,
    walls,
)
from sim.setup.parts import build
from sim.setup.rebore import FACE_GRID, used_jaw
from sim.setup.seat import seat

Varied = Callable[..., Scenario]
HUB, PLUG = "cast_hub_on_ring", "cast_hub_on_plug"
BONNET, HOUSING = "valve_bonnet_two_steps", "housing_gripped_inside"
PLAIN = {"groove_width": "0 mm", "groove_depth": "0 mm", "chamfer": "0 mm"}


def earlier(diameter: float, depth: float, index: int = 0, **more: Any) -> dict[str, Any]:
    """One earlier boring at a travel of 3 mm, without groove and chamfer."""
    pocket = {"diameter": f"{diameter:.6f} mm", "depth": f"{depth:.6f} mm", **PLAIN}
    return {"travel": "3 mm", "serration_index": index, "pockets": [pocket], **more}


def used(varied: Varied, name: str, *borings: dict[str, Any], **changes: Any) -> Scenario:
    return varied(name, {"soft_jaw.bored_before": list(borings), **changes})


def seat_of(scenario: Scenario) -> FixtureSeat:
    found = fixture_seat(scenario)
    assert found is not None
    return found


# ---------------------------------------------------------------- over the serrations


def lowest_upward_face(solid: Any) -> float:
    """z of the lowest face of a solid that looks up."""
    up = np.asarray(solid.face_normals)[:, 2] > 0.999
    return float(np.asarray(solid.triangles)[up][:, :, 2].min())


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        (HUB, {}),
        (HUB, {"pockets.0.depth": "48.4 mm"}),
        (PLUG, {}),
        (PLUG, {"boring.fixture.height": "2.1 mm"}),
        (BONNET, {}),
        (HOUSING, {}),
        (HOUSING, {"boring.fixture.height": "4 mm"}),
        (HUB, {"soft_jaw.bored_before": [earlier(100.0, 46.0)]}),
        # another axis, two serrations farther in: the old floor is as thin
        (HUB, {"soft_jaw.bored_before": [earlier(96.0, 47.5, -1)]}),
    ],
)
def test_the_floor_is_the_lowest_face_of_the_solid(
    varied: Varied, name: str, changes: dict[str, Any]
) -> None:
    made = build(varied(name, changes))
    assert least_floor(made)[0] == pytest.approx(lowest_upward_face(made.bored), abs=1e-6)


def test_what_goes_through_has_no_floor(varied: Varied) -> None:
    """An old pocket that leaves 2 mm; a through bore that takes that all away leaves the counterbores' 22 mm."""
    thin = used(varied, HUB, earlier(100.0, 48.0))
    gone = used(varied, HUB, earlier(100.0, 48.0), **{"boring.through_diameter": "101 mm"})
    assert least_floor(build(thin))[0] == pytest.approx(2.0)
    assert least_floor(build(gone))[0] == pytest.approx(22.0)


def test_an_old_bore_that_met_no_metal_leaves_no_floor(varied: Varied) -> None:
    """Inner ends at 42 mm: nothing was there to be bored to 82 mm."""
    assert least_floor(build(used(varied, HUB, earlier(82.0, 49.0))))[0] == pytest.approx(22.0)


def test_a_floor_names_what_leaves_it(varied: Varied) -> None:
    assert least_floor(build(varied(HUB, {"pockets.0.depth": "48.4 mm"})))[1] == "'rim'"
    assert least_floor(build(varied(PLUG)))[1] == "the plug's seat"
    assert least_floor(build(varied(HOUSING)))[1] == "the outer ring's seat"
    assert "earlier boring of 100 mm" in least_floor(build(used(varied, HUB, earlier(100.0, 48.0))))[1]


def test_a_through_bore_takes_the_inner_end_of_the_foot(varied: Varied) -> None:
    """100 mm through jaws whose inner ends stand at 42 mm: 8 mm of foot are gone on the middle."""
    whole, cut = varied(HUB), varied(HUB, {"boring.through_diameter": "100 mm"})
    assert seat(whole).inner == 0.0
    assert (seat(cut).inner, seat(cut).length) == pytest.approx((8.0, 81.0 - 8.0))
    old = used(varied, HUB, {**earlier(102.0, 20.0), "through_diameter": "100 mm"})
    assert seat(old).inner == pytest.approx(8.0)
    assert seat(cut).free_inner == 0.0  # it does not stand past the master jaw


def test_a_modelled_jaw_has_its_floor_over_a_recess_of_its_base(varied: Varied) -> None:
    """A key-way 20 mm wide and 8 mm deep along the base, as a jaw from a file may have: 27 - 8 mm under the pocket.

    Under a pocket of 40 mm depth it leaves 10 - 8 mm.
    """
    model = JawModel(file="jaw.stl", unit="mm")
    for depth, floor in ((23.0, 22.0 - 8.0), (40.0, 2.0)):
        made = build(varied(HUB, {"pockets.0.depth": f"{depth} mm"}))
        keyway = trimesh.creation.box(bounds=[[-1.0, -10.0, -1.0], [82.0, 10.0, 8.0]])
        jaw = made.scenario.soft_jaw.model_copy(update={"model": model})
        stub: Any = SimpleNamespace(
            scenario=made.scenario.model_copy(update={"soft_jaw": jaw}),
            place=made.place,
            bored=difference(made.bored, [keyway]),
        )
        assert least_floor(stub)[0] == pytest.approx(floor, abs=1e-4)


# ---------------------------------------------------------------- around the screws


def test_walls_by_hand(varied: Varied) -> None:
    """Screw of the hub on 74 mm: counterbore 22 mm down to z = 22 mm, hole 15.5 mm; the back face lies at 27 mm."""
    found = {what: gap for gap, what, _ in sorted(walls(varied(PLUG)), reverse=True)}
    assert found["'rim'"] == pytest.approx(74.0 - 11.0 - 59.5)
    assert found["the plug's seat"] == pytest.approx(74.0 - 11.0 - 46.0)
    shallow = varied(PLUG, {"soft_jaw.screws.counterbore_depth": "20 mm"})
    low = {what: gap for gap, what, _ in sorted(walls(shallow), reverse=True)}
    assert low["the plug's seat"] == pytest.approx(
        74.0 - 7.75 - 46.0
    )  # under the counterbores stands the hole's wall


def test_a_deep_old_bore_beside_a_screw_leaves_its_wall(varied: Varied) -> None:
    """Old bore of 124 mm, 30 mm deep, under a counterbore that begins at 63 mm."""
    assert min(walls(used(varied, HUB, earlier(124.0, 30.0))))[0] == pytest.approx(63.0 - 62.0)


def test_the_wall_behind_the_face(varied: Varied) -> None:
    """Outer end at 42 + 81 mm; at its edges the jaw gripped inside is bored to sqrt(90^2 - 24^2) over 34 mm."""
    hub, housing = varied(HUB), varied(HOUSING)
    assert wall_behind(hub, held_zone(hub, 0), hub.pockets[0]) == pytest.approx(123.0 - 59.0 - 0.5)
    expected = math.sqrt(90.0**2 - 24.0**2) - 34.0 - 0.5
    assert wall_behind(housing, held_zone(housing, 0), housing.pockets[0]) == pytest.approx(expected)


def test_a_step_turned_behind_the_face_leaves_a_thin_wall(varied: Varied) -> None:
    """Bored before for gripping inside, 124 mm over 13 mm of height: 62 - 59 mm stand, less the groove at its foot."""
    scenario = used(varied, HUB, earlier(124.0, 13.0, direction="inside"))
    found = wall_behind(scenario, held_zone(scenario, 0), scenario.pockets[0])
    assert found == pytest.approx(3.0 - 0.5, abs=0.26)


# ---------------------------------------------------------------- under fixture and part


def test_new_jaws_press_their_fixture_with_whole_surfaces(varied: Varied, scenario_name: str) -> None:
    assert seat_of(varied(scenario_name)) == FixtureSeat(1.0, 1.0, 1.0)


@pytest.mark.parametrize(
    ("diameter", "depth", "pressed"),
    [
        (100.0, 45.0, 0.0),  # wider than the plug of 92 mm and below it
        (92.2, 45.0, 0.0),
        (100.0, 34.0, 0.5),  # down to z = 16 mm: the plug reaches from 10 to 22 mm
        (100.0, 27.0, 1.0),  # down to z = 23 mm
        (92.0, 45.0, 1.0),  # an old seat of its size, deeper: its side still stands
        (90.0, 45.0, 1.0),
    ],
)
def test_the_side_of_a_plugs_seat(varied: Varied, diameter: float, depth: float, pressed: float) -> None:
    found = seat_of(used(varied, PLUG, earlier(diameter, depth)))
    assert found.pressed == pytest.approx(pressed, abs=0.5 / FACE_GRID[1])


def test_an_old_seat_of_the_same_size_is_none_that_is_cut_anew(varied: Varied) -> None:
    found = seat_of(used(varied, PLUG, earlier(92.0, 40.0)))
    assert (found.pressed, found.fresh, found.under) == (1.0, 0.0, 1.0)


def test_a_serration_inward_the_old_seat_is_cut_anew(varied: Varied) -> None:
    """Its wall then stands at 46 - 1.5 mm on the middle, less at the edges: within 45.9 mm everywhere."""
    assert max(wall_distance(a, -1.5, 46.0) for a in (0.0, math.asin(18.7 / 46.0))) < 46.0 - 0.1
    moved = {"soft_jaw.serration_index": -1}
    assert seat_of(used(varied, PLUG, earlier(92.0, 40.0), **moved)).fresh == 1.0


def test_the_ledge_under_a_plug(varied: Varied) -> None:
    """Bored to 90 mm below the plug, a ledge of 45 to 46 mm of the 42 to 46 mm on the middle is left: about a third.

    The inner end is flat: at the seat's edges the ledge ends, half its width from the middle is sqrt(46^2 - 42^2).
    """
    found = seat_of(used(varied, PLUG, earlier(90.0, 45.0)))
    angles = np.linspace(-1.0, 1.0, 2001) * math.acos(42.0 / 46.0)
    ends = 42.0 / np.cos(angles)
    share = np.mean(46.0**2 - np.maximum(ends, 45.0) ** 2) / np.mean(46.0**2 - ends**2)
    assert found.under == pytest.approx(share, abs=0.02)
    assert found.standing == found.under
    assert found.standing < LEAST_SEAT


def test_an_outer_ring_wider_than_the_jaws_is_refused(varied: Varied) -> None:
    """Outer ends at 123 mm: a ring of 256 mm stands off them, which is refused."""
    wide = {"boring.fixture.inner_diameter": "256 mm", "boring.fixture.outer_diameter": "290 mm"}
    with pytest.raises(ScenarioError, match="inner_diameter must lie between"):
        varied(HOUSING, wide)


def test_a_ring_lies_on_what_earlier_borings_left(varied: Varied) -> None:
    """Ring from 63 to 95 mm on jaws bored to 160 mm before, 5 mm deep: under it the faces stand from 80 mm on."""
    found = seat_of(used(varied, HUB, earlier(160.0, 5.0)))
    assert found.under == pytest.approx((95.0 - 80.0) / (95.0 - 63.0), abs=0.03)
    # Bored to 172 mm the wall is gone that its pin on 74 mm presses, at 74 + 11.5 mm, over 5 of the 9 mm.
    assert seat_of(used(varied, HUB, earlier(172.0, 5.0))).pressed == pytest.approx(4.0 / 9.0, abs=0.05)


def test_no_fixture_has_no_seat(varied: Varied) -> None:
    assert fixture_seat(varied(HUB, {"boring.fixture": {"kind": "none"}})) is None
    assert fixture_pressed(varied(HUB, {"boring.fixture": {"kind": "none"}}))


@pytest.mark.parametrize(
    ("diameter", "depth", "left"),
    [
        (140.0, 15.0, 24.0),  # above the land's height of 44 mm
        (140.0, 17.0, 5.0),  # 70 to 75 mm
        (110.0, 17.0, 20.0),
        (100.0, 30.0, 24.0),
    ],
)
def test_land_between_pockets(varied: Varied, diameter: float, depth: float, left: float) -> None:
    """Land of the bonnet: 51 to 75 mm at z = 44 mm."""
    scenario = used(varied, BONNET, earlier(diameter, depth))
    assert land_left(scenario, 51.0, 75.0, 44.0) == pytest.approx(left, abs=0.06)


def test_a_land_in_two_pieces_counts_as_the_wider_one(varied: Varied) -> None:
    """A bore off the axis by 4 serrations crosses the land: neither piece alone is what both are together."""
    scenario = used(varied, BONNET, earlier(128.0, 17.0, -4, pockets=[
        {"diameter": "128 mm", "depth": "17 mm", **PLAIN}]))  # fmt: skip
    # At index -4 the axis lay 6 mm farther out in the jaw: on the middle the old side stands at 64 + 6 mm.
    assert land_left(scenario, 51.0, 75.0, 44.0) == pytest.approx(75.0 - 70.0, abs=0.06)


def test_a_pre_bore_takes_land_and_metal(varied: Varied) -> None:
    """114 mm open through the jaws leave 2 mm of back face; that metal is missing in the bored solid, too."""
    scenario = varied(HUB, {"boring.passes.pre_bore_diameter": "114 mm"})
    assert land_left(scenario, 42.0, 59.0, 27.0) == pytest.approx(2.0, abs=0.06)
    solid = build(scenario).bored
    inner = jaw_place(scenario).inner(3.0)
    low = np.asarray(solid.vertices)[np.asarray(solid.vertices)[:, 2] < 26.0]
    assert np.hypot(low[:, 0] + inner, low[:, 1]).min() == pytest.approx(57.0, abs=1e-3)
    assert build(varied(HUB, {"boring.passes.pre_bore_diameter": "80 mm"})).bored.volume == pytest.approx(
        build(varied(HUB)).bored.volume
    )


# ---------------------------------------------------------------- laws


def left_of(scenario: Scenario) -> dict[str, float]:
    """All measures of the metal that is left; more is better."""
    zone, pocket = held_zone(scenario, 0), scenario.pockets[0]
    face, under = used_jaw(scenario, zone, pocket.diameter), seat_of(scenario)
    stub: Any = SimpleNamespace(scenario=scenario, place=jaw_place(scenario))
    return {
        "floor": least_floor(stub)[0],
        "wall": min(walls(scenario))[0],
        "behind": wall_behind(scenario, zone, pocket),
        "pressed": under.pressed,
        "fresh seat": under.fresh,
        "under": under.under,
        "land": land_left(scenario, 46.0, 0.5 * pocket.diameter, zone.seat),
        "fresh": face.fresh,
        "back face": face.back_face,
        "foot": -seat(scenario).inner,
    }


borings = st.builds(
    earlier,
    st.floats(84.0, 150.0),
    st.floats(1.0, 49.5),
    st.integers(-3, 3),
    direction=st.sampled_from(["outside", "inside"]),
)


@settings(max_examples=60)
@given(name=st.sampled_from([HUB, PLUG]), first=borings, second=borings)
def test_an_earlier_boring_never_leaves_more_metal(
    varied: Varied, name: str, first: dict[str, Any], second: dict[str, Any]
) -> None:
    """Refused is worse than anything."""
    before: dict[str, float] | None = None
    for history in ([], [first], [first, second]):
        try:
            now = left_of(used(varied, name, *history))
        except ScenarioError:
            now = {}
        if before is not None:
            assert before or not now
            assert all(now[key] <= before[key] + 1e-9 for key in now)
        before = now


@settings(max_examples=40)
@given(depths=st.tuples(st.floats(22.0, 49.9), st.floats(22.0, 49.9)))
def test_a_deeper_pocket_never_leaves_more_floor(varied: Varied, depths: tuple[float, float]) -> None:
    found = []
    for depth in sorted(depths):
        scenario = varied(HUB, {"pockets.0.depth": f"{depth:.6f} mm"})
        stub: Any = SimpleNamespace(scenario=scenario, place=jaw_place(scenario))
        found.append(least_floor(stub)[0])
    assert found[1] <= found[0]
    assert found[1] == pytest.approx(min(22.0, 50.0 - max(depths)), abs=1e-5)
