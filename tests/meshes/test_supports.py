"""Centre and steady rest: volumes by cone and cylinder, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from meshes import centre, steady_rest
from meshes.centre import Centre
from meshes.steady_rest import SteadyRest

LIVE = Centre(math.radians(60.0), 28.0, 58.0, 70.0, 90.0, 100.0)
STEADY = SteadyRest(64.0, 30.0, 12.0, 260.0, 30.0)


def test_volume_of_a_centre() -> None:
    cone = math.pi * 14.0**2 * (14.0 / math.tan(math.radians(30.0))) / 3.0
    wanted = cone + math.pi * 29.0**2 * 70.0 + math.pi * 45.0**2 * 100.0
    solid = centre.mesh(LIVE)
    assert solid.is_watertight
    assert solid.volume == pytest.approx(wanted, rel=1e-9)
    assert solid.bounds[0][2] == 0.0


def test_a_centre_whose_body_is_as_wide_as_its_cone_has_no_step() -> None:
    outline = centre.section_outline(Centre(math.radians(60.0), 58.0, 58.0, 70.0, 58.0, 100.0))
    assert np.unique(outline[:, 0]) == pytest.approx([0.0, 29.0])
    assert len(outline) == 5


def test_volume_of_a_steady_rest() -> None:
    """Rollers touch the frame from inside: facets that are true in volume cross it by less than 0.1 %."""
    rollers = 3.0 * math.pi * 15.0**2 * 12.0
    frame = math.pi * (130.0**2 - 62.0**2) * 30.0
    solid = steady_rest.mesh(STEADY)
    assert solid.is_watertight
    assert solid.volume == pytest.approx(rollers + frame, rel=1e-3)


def test_rollers_bear_on_the_part() -> None:
    rollers, frame = steady_rest.section_outlines(STEADY)
    assert rollers[:, 0].min() == 32.0
    assert np.ptp(rollers[:, 1]) == 12.0
    assert (frame[:, 0].min(), frame[:, 0].max()) == (47.0, 130.0)


def test_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="no wider than its body"):
        Centre(math.radians(60.0), 60.0, 58.0, 70.0, 90.0, 100.0)
    with pytest.raises(ValueError, match="half a turn"):
        Centre(3.2, 20.0, 58.0, 70.0, 90.0, 100.0)
    with pytest.raises(ValueError, match="over 124 mm"):
        SteadyRest(64.0, 30.0, 12.0, 120.0, 30.0)
