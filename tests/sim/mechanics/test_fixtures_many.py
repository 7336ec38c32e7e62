"""The load on a fixture at many pressures and speeds is each of them, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest

from sim.base.gripping import Direction
from sim.mechanics.fixtures import Bearing, Load, Strain, largest_share

COUNT = 300
STRAINS = (
    Strain("it bends", "MPa", 200.0, 3e-3, "", "", per_speed=1e-3),
    Strain("it is pressed", "MPa", 900.0, 4.0, "", "", rooted=True),
)
BEARING = Bearing(STRAINS[:1], STRAINS[1:], 1e-6)


@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_loads(direction: Direction) -> None:
    rng = np.random.default_rng(8)
    rest, speed = rng.uniform(1e3, 90e3, COUNT), rng.uniform(0.0, 4000.0, COUNT)
    many = Load(rest, np.full(COUNT, 150.0), direction)
    found = (
        many.pull(speed),
        many.at(speed),
        many.largest(speed),
        many.share_left(speed),
        many.guide_moment(speed, 60.0),
        BEARING.moved(many, speed),
        largest_share(STRAINS, many, speed),
    )
    for k in range(COUNT):
        one, at = Load(float(rest[k]), 150.0, direction), float(speed[k])
        assert [float(values[k]) for values in found] == [
            one.pull(at),
            one.at(at),
            one.largest(at),
            one.share_left(at),
            one.guide_moment(at, 60.0),
            BEARING.moved(one, at),
            largest_share(STRAINS, one, at),
        ]
    assert (found[3] < 0.0).any() == (direction == "outside")  # jaws that have come off are told so


@pytest.mark.parametrize("strain", STRAINS)
def test_the_largest_load_is_just_borne(strain: Strain) -> None:
    for speed in (0.0, 1500.0):
        assert strain.share(strain.largest_load(speed), speed) == pytest.approx(1.0, rel=1e-12)
