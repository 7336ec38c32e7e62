"""Metal left around a pocket: by hand, and against bores that are really turned out of the jaw's solid."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sim.errors import ScenarioError
from sim.parts import build, inner_end_radius
from sim.rebore import LEAST_LAND, PocketStock, pocket_stock, rebores
from sim.scenario import Scenario

Varied = Callable[..., Scenario]
HUB, BONNET, HOUSING = "cast_hub_on_ring", "valve_bonnet_two_steps", "housing_gripped_inside"


def left(scenario: Scenario) -> dict[str, PocketStock]:
    return {s.pocket: s for s in pocket_stock(build(scenario))}


def test_hub_is_stopped_by_its_counterbore(varied: Varied) -> None:
    """Counterbore of 20 mm on radius 45 - 3 + 31 = 73 mm, groove at 59.5 mm, wall of 3 mm."""
    found = left(varied(HUB))["rim"]
    assert found.radial == pytest.approx(73.0 - 10.0 - 3.0 - 59.5)
    assert "counterbore" in found.radial_end
    # Back face at 27 mm; the screws' heads stand outside of the pocket, so the floor of 5 mm ends it.
    assert found.deeper == pytest.approx(27.0 - 5.0)


def test_without_counterbores_in_the_way_the_jaws_end(varied: Varied) -> None:
    """One screw at 12 mm opens into the pocket, radius 42 + 12 = 54 mm, 59.5 - 54 = 5.5 mm < 10 mm: it stands beside.

    With a smaller counterbore it would not. So take the housing, gripped inside: u = 89.5 - 62 - 10 - 3.
    """
    found = left(varied(HOUSING))["bore step"]
    assert found.radial == pytest.approx(89.5 - (37.0 - 6.0 + 3.0 + 28.0) - 10.0 - 3.0)


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
    heads = 44.0 - (60.0 - 45.0 + 12.0)  # back face to the top of an M12 head (ISO 4762)
    assert found.deeper == pytest.approx(min(wall_of_the_other, heads))
    build(varied(BONNET, changes))
    changes = {"pockets.0.depth": f"{16.0 + found.deeper + 0.01:.3f} mm"}
    with pytest.raises((ScenarioError, ValueError)):
        build(varied(BONNET, changes))


def test_removed_metal_is_really_there(varied: Varied) -> None:
    """The re-bore takes its full volume out of the jaw: the ring sector's, since nothing of it is missing yet."""
    before = build(varied(HUB))
    after = build(varied(HUB, {"pockets.0.diameter": "119 mm"}))
    inner = inner_end_radius(before.scenario, before.scenario.boring.travel)
    assert inner < 59.0
    taken = before.bored.volume - after.bored.volume
    # Chord of 50 mm on a radius of 59 mm: an arc of 2 asin(25 / 59) rad, 0.5 mm thick, 23 mm deep.
    import math

    sector = 2.0 * math.asin(25.0 / 59.25) * 0.5 * (59.5**2 - 59.0**2) * 23.0
    assert taken == pytest.approx(sector, rel=0.03)


def test_count_of_re_bores() -> None:
    assert [rebores(r, 0.5) for r in (0.0, 0.49, 0.5, 1.4, 1.5)] == [0, 0, 1, 2, 3]
