"""Where the jaws stand along the stroke; a mounting radius is that of jaws as far out as they go."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.scenario import Scenario
from sim.setup.jaw_place import jaw_place

STATED = {
    "soft_jaw": {"mounting_radius": 45.0, "serration_index": 2},
    "chuck": {"serration_pitch": 1.5, "stroke": 6.0},
    "master_jaw": {"inner_radius": 26.0},
    "boring": {"travel": 2.0},
}  # mm


@pytest.mark.parametrize(
    ("name", "sign", "ends", "master", "bored"),
    [
        # Two serrations out the blank starts at 48 mm; travel closes the jaws on a part inside of them ...
        ("cast_hub_on_ring", 1.0, (48.0, 42.0), (26.0, 20.0), 46.0),
        # ... and opens them into a part around them, from where they are as far in as they go.
        ("housing_gripped_inside", -1.0, (42.0, 48.0), (20.0, 26.0), 44.0),
    ],
)
def test_ends_of_the_stroke(
    varied: Callable[..., Scenario],
    name: str,
    sign: float,
    ends: tuple[float, float],
    master: tuple[float, float],
    bored: float,
) -> None:
    scenario = varied(name)
    edited = {table: getattr(scenario, table).model_copy(update=update) for table, update in STATED.items()}
    place = jaw_place(scenario.model_copy(update=edited))
    assert place.sign == sign
    assert place.outside == (sign > 0.0)
    assert (place.inner(0.0), place.inner(6.0)) == pytest.approx(ends)
    assert (place.master_inner(0.0), place.master_inner(6.0)) == pytest.approx(master)
    assert (place.opened, place.closed) == pytest.approx((max(ends), min(ends)))
    assert place.bored == pytest.approx(bored)
    assert place.corner(place.bored) == pytest.approx(
        ((bored + scenario.soft_jaw.length) ** 2 + (0.5 * scenario.soft_jaw.width) ** 2) ** 0.5
    )
