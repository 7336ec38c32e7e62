"""What stands around the part in closed form, beside the images of the solids, which share no code with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import shapely

from sim.assessment.images import JAWS, hardware_bodies, jaws_image
from sim.scenario import Scenario
from sim.setup.parts import build
from sim.setup.surroundings import around, screw_images

HUB, PLUG, BONNET, HOUSING = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "valve_bonnet_two_steps",
    "housing_gripped_inside",
)
SECTORS = "thin_ring_in_sector_jaws"
ROUNDING = 0.01  # mm: images of solids hold to 5 micrometres, facets of their bores to less


@pytest.mark.parametrize("travel", [0.0, 2.5, 3.7])
@pytest.mark.parametrize(
    ("name", "changes"),
    [
        (HUB, {}),
        (HUB, {"boring.through_diameter": "100 mm"}),
        (HUB, {"soft_jaw.tip_width": "30 mm"}),
        (HUB, {"soft_jaw.tip_width": "30 mm", "soft_jaw.tip_angle": "90 deg"}),
        (PLUG, {}),
        (BONNET, {}),
        (HOUSING, {}),
        (SECTORS, {}),
        (SECTORS, {"soft_jaw.mounting_radius": "48 mm", "soft_jaw.tip_width": "50 mm"}),
    ],
    ids=[
        "pocket",
        "through-bore",
        "narrow tip",
        "pointed",
        "plug's seat",
        "two steps",
        "gripped inside",
        "sectors",
        "sectors farther out",
    ],
)
def test_soft_jaws_are_where_the_solids_are(
    varied: Callable[..., Scenario], name: str, changes: dict[str, Any], travel: float
) -> None:
    """At a travel other than that of boring the bores stand off the axis, and their edges are nearest to it."""
    parts = build(varied(name, changes))
    mine = {body.name: body.image for body in around(parts, travel)}[JAWS]
    solid = jaws_image(parts, travel, "bored")
    assert shapely.hausdorff_distance(mine, solid) < ROUNDING
    assert shapely.symmetric_difference(mine, solid).area < ROUNDING * mine.length


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_nothing_of_the_solids_is_left_out(varied: Callable[..., Scenario], name: str) -> None:
    parts = build(varied(name))
    mine = shapely.union_all([body.image for body in around(parts, 2.0)])
    for body in hardware_bodies(parts, 2.0):
        assert shapely.difference(body.image, shapely.buffer(mine, 0.05)).area < 1e-6, body.name


def test_a_jaw_that_stands_off_is_asked_too(varied: Callable[..., Scenario]) -> None:
    """A serration outward is 1.5 mm: the image then reaches as far out as that jaw."""
    one, off = (
        {b.name: b.image for b in around(build(varied(HUB, changes)), 3.0)}[JAWS]
        for changes in ({}, {"soft_jaw.serrations_off": [0, 1, 0]})
    )
    assert off.bounds[0] == pytest.approx(one.bounds[0])
    assert off.bounds[2] == pytest.approx(one.bounds[2] + 1.5, abs=0.05)


@pytest.mark.parametrize(
    "washer", [{}, {"soft_jaw.screws.washer_diameter": "22 mm"}], ids=["bare", "on a washer"]
)
def test_screws_are_where_the_solids_are(varied: Callable[..., Scenario], washer: dict[str, Any]) -> None:
    """A washer lifts the heads, and with them what a screw is nearest to."""
    parts = build(varied(HUB, washer))
    mine = shapely.union_all(list(screw_images(parts, 3.0)))
    solid = shapely.union_all([b.image for b in hardware_bodies(parts, 3.0) if "screw" in b.name])
    assert mine.bounds[1] == pytest.approx(solid.bounds[1], abs=ROUNDING)
    assert mine.bounds[3] == pytest.approx(solid.bounds[3], abs=ROUNDING)
