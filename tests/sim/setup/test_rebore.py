"""Metal left around a pocket: by hand, and against bores that are really turned out of the jaw's solid."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.mechanics.stroke import wall_distance
from sim.scenario import Scenario
from sim.setup.held import held_zone
from sim.setup.jaw_place import jaw_place
from sim.setup.parts import build
from sim.setup.rebore import (
    FACE_GRID,
    FRESH,
    LAND_STEP,
    LEAST_LAND,
    PocketStock,
    UsedJaw,
    pocket_stock,
    rebores,
    used_jaw,
)

Varied = Callable[..., Scenario]
HUB, BONNET, HOUSING = "cast_hub_on_ring", "valve_bonnet_two_steps", "housing_gripped_inside"


def left(scenario: Scenario) -> dict[str, PocketStock]:
    return {s.pocket: s for s in pocket_stock(build(scenario))}


def test_hub_is_stopped_by_its_counterbore(varied: Varied) -> None:
    """Counterbore of 22 mm on radius 45 - 3 + 32 = 74 mm, groove at 59.5 mm, wall of 3 mm."""
    found = left(varied(HUB))["rim"]
    assert found.radial == pytest.approx(74.0 - 11.0 - 3.0 - 59.5)
    assert "counterbore" in found.radial_end
    # Back face at 27 mm; the screws' heads stand outside of the pocket, so the floor of 5 mm ends it.
    assert found.deeper == pytest.approx(27.0 - 5.0)


def test_without_counterbores_in_the_way_the_jaws_end(varied: Varied) -> None:
    """One screw at 12 mm opens into the pocket, radius 42 + 12 = 54 mm, 59.5 - 54 = 5.5 mm < 10 mm: it stands beside.

    With a smaller counterbore it would not. So take the housing, gripped inside: u = 89.5 - 62 - 11 - 3.
    """
    found = left(varied(HOUSING))["bore step"]
    assert found.radial == pytest.approx(89.5 - (37.0 - 6.0 + 3.0 + 28.0) - 11.0 - 3.0)


def test_two_steps_end_at_their_land(varied: Varied) -> None:
    """Flange step 122 mm over the spigot step of 100 mm: land 11 - 1 mm of chamfer, 3 mm kept."""
    changes = {
        "pockets.0.diameter": "122 mm",
        "soft_jaw.screws.positions": ["45 mm", "74 mm"],
        "operations.0.workpiece.outline": [
            ["22 mm", "0 mm"], ["61 mm", "0 mm"], ["61 mm", "16 mm"], ["53 mm", "16 mm"], ["53 mm", "36 mm"],
            ["22 mm", "36 mm"],
        ],
        "operations.0.workpiece.gripped_diameter_low": "121.2 mm",
        "operations.0.workpiece.gripped_diameter_high": "122.4 mm",
    }  # fmt: skip
    found = left(varied(BONNET, changes))
    assert found["spigot step"].radial == pytest.approx(11.0 - 1.0 - LEAST_LAND)
    assert "flange step" in found["spigot step"].radial_end
    assert "counterbore" in found["flange step"].radial_end


@pytest.mark.parametrize("name", [HUB, BONNET])
def test_the_last_re_bore_is_possible_and_one_more_is_not(varied: Varied, name: str) -> None:
    """Turn the pocket larger by what is left: wall and land are then just kept, by the verdicts' own limits."""
    stock = left(varied(name))
    for number, pocket in enumerate(varied(name).pockets):
        wider = pocket.diameter + 2.0 * stock[pocket.name].radial
        after = left(varied(name, {f"pockets.{number}.diameter": f"{wider:.6f} mm"}))
        assert after[pocket.name].radial == pytest.approx(0.0, abs=1e-5)


def test_deeper_is_refused_where_it_says(varied: Varied) -> None:
    """The bonnet's flange step lies over the inner screws: its back face may go down to the heads, no farther."""
    found = left(varied(BONNET))["flange step"]
    changes: dict[str, Any] = {"pockets.0.depth": f"{16.0 + found.deeper - 0.01:.3f} mm"}
    wall_of_the_other = 34.0 - 16.0 - 1.0 - 2.0  # less the spigot step's own chamfer and groove
    heads = 44.0 - (60.0 - 40.0 + 12.0)  # back face to the top of an M12 head (ISO 4762)
    assert found.deeper == pytest.approx(min(wall_of_the_other, heads))
    build(varied(BONNET, changes))
    changes = {"pockets.0.depth": f"{16.0 + found.deeper + 0.01:.3f} mm"}
    with pytest.raises((ScenarioError, ValueError)):
        build(varied(BONNET, changes))


def test_removed_metal_is_really_there(varied: Varied) -> None:
    """The re-bore takes its full volume out of the jaw: the ring sector's, since nothing of it is missing yet."""
    before = build(varied(HUB))
    after = build(varied(HUB, {"pockets.0.diameter": "119 mm"}))
    inner = jaw_place(before.scenario).bored
    assert inner < 59.0
    taken = before.bored.volume - after.bored.volume
    # Chord of 50 mm on a radius of 59 mm: an arc of 2 asin(25 / 59) rad, 0.5 mm thick, 23 mm deep.
    sector = 2.0 * math.asin(25.0 / 59.25) * 0.5 * (59.5**2 - 59.0**2) * 23.0
    assert taken == pytest.approx(sector, rel=0.03)


def test_count_of_re_bores() -> None:
    assert [rebores(r, 0.5) for r in (0.0, 0.49, 0.5, 1.4, 1.5)] == [0, 0, 1, 2, 3]


# ---------------------------------------------------------------- jaws that were bored before


def used(varied: Varied, index: int = 0, **earlier: Any) -> Scenario:
    """The hub (pocket 118 mm, 23 mm deep, inner end at 42 mm) in jaws bored before, moved by an index."""
    stated = {"travel": "3 mm", "pockets": [{"diameter": "118 mm", "depth": "12 mm"}], **earlier}
    return varied(HUB, {"soft_jaw.bored_before": [stated], "soft_jaw.serration_index": index})


def face(scenario: Scenario) -> UsedJaw:
    return used_jaw(scenario, held_zone(scenario, 0), 118.0)


def test_a_shallower_pocket_of_the_same_size_leaves_its_old_wall(varied: Varied) -> None:
    """Gripped from z = 29 to 49 mm; the old pocket of 12 mm, its groove the deeper, has taken z = 38 mm and more."""
    found = face(used(varied))
    assert found.fresh == pytest.approx((38.0 - 29.0) / 20.0, abs=0.5 / FACE_GRID[1])


def test_a_serration_inward_makes_the_whole_face_fresh(varied: Varied) -> None:
    """The old wall's middle then stands at 59 - 1.5 mm and its edges, by the circle, at 57.6 mm: all under 58.9 mm."""
    assert max(wall_distance(a, -1.5, 59.0) for a in (0.0, math.asin(24.0 / 59.0))) < 59.0 - FRESH
    assert face(used(varied, -1)).fresh == 1.0


@pytest.mark.parametrize(("old", "fresh"), [(116.0, 1.0), (117.7, 1.0), (117.9, 0.45), (119.0, 0.45)])
def test_a_concentric_bore_must_leave_a_cut(varied: Varied, old: float, fresh: float) -> None:
    """FRESH of 0.1 mm in radius: 117.8 mm is the widest that is cut anew everywhere."""
    found = face(used(varied, pockets=[{"diameter": f"{old} mm", "depth": "12 mm", "groove_width": "0 mm",
                                        "groove_depth": "0 mm", "chamfer": "0 mm"}]))  # fmt: skip
    assert found.fresh == pytest.approx(fresh, abs=0.5 / FACE_GRID[1])


def test_back_face_after_a_deeper_bore(varied: Varied) -> None:
    """An old pocket of 100 mm, 30 mm deep, leaves 59 - 50 mm of back face at 23 mm depth."""
    found = face(used(varied, pockets=[{"diameter": "100 mm", "depth": "30 mm"}]))
    assert found.back_face == pytest.approx(9.0, abs=2 * LAND_STEP)
    assert found.fresh == 1.0


def test_the_missing_metal_is_missing_in_the_solid(varied: Varied) -> None:
    """What boring takes now is less by the old bore, all of which lies within the new one."""
    old = {"diameter": "110 mm", "depth": "20 mm"}
    new = build(varied(HUB))
    again = build(used(varied, pockets=[old]))
    was = build(varied(HUB, {"pockets.0.diameter": old["diameter"], "pockets.0.depth": old["depth"],
                             "operations.0.workpiece.gripped_diameter_low": "109.9 mm",
                             "operations.0.workpiece.gripped_diameter_high": "110.05 mm"}))  # fmt: skip
    removed_first = was.blank.volume - was.bored.volume
    assert again.blank.volume == pytest.approx(new.blank.volume - removed_first, rel=1e-9)
    assert again.bored.volume == pytest.approx(new.bored.volume, rel=1e-9)
    assert again.blank.volume - again.bored.volume == pytest.approx(
        new.blank.volume - new.bored.volume - removed_first, rel=1e-6
    )


def test_inside_steps_are_used_jaws_too(varied: Varied) -> None:
    """Step of 184 mm turned before, 10 mm deep: turning it to 180 mm takes 2 mm in radius all over."""
    earlier = {"direction": "inside", "travel": "3 mm", "pockets": [{"diameter": "184 mm", "depth": "10 mm"}]}
    scenario = varied(HOUSING, {"soft_jaw.bored_before": [earlier]})
    assert used_jaw(scenario, held_zone(scenario, 0), 180.0).fresh == 1.0
    earlier["pockets"] = [{"diameter": "176 mm", "depth": "30 mm"}]
    scenario = varied(HOUSING, {"soft_jaw.bored_before": [earlier]})
    found = used_jaw(scenario, held_zone(scenario, 0), 180.0)
    assert found.fresh == 0.0
    assert found.back_face == 0.0
