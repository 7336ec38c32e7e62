"""Metal in metal: there where a path touches, as deep as the touch says, and nowhere else."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.assessment.results import Assessment
from sim.views.overlap import HALF, overlap


def test_it_is_as_deep_as_the_touch(assessment: Callable[[str], Assessment]) -> None:
    path = assessment("cast_hub_ring_blocks").boring
    found, touch = overlap(path), path.clearance.first_touch
    assert found is not None
    assert touch is not None
    assert found.is_volume
    low, high = found.bounds
    ring = next(body.image for body in path.bodies if body.name == touch.body).bounds
    assert ring[0] - 0.01 <= low[0] < high[0] <= ring[2] + 0.01
    assert ring[1] - 0.01 <= low[2] < high[2] <= ring[3] + 0.01
    assert high[2] - low[2] >= touch.overlap[1] - 0.05
    assert high[0] - low[0] == pytest.approx(touch.depth, abs=0.05)
    assert (low[1], high[1]) == (-HALF, HALF)


def test_there_is_none_on_a_path_that_is_clear(assessment: Callable[[str], Assessment]) -> None:
    assert overlap(assessment("cast_hub_on_plug").boring) is None
