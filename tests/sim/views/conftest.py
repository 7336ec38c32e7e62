"""A judged setup with two operations, and one whose ring is in the way; rendering tried once."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sim.assessment.results import Assessment
from sim.base.errors import NotAvailableError


@pytest.fixture(scope="session")
def two_steps(assessment: Callable[[str], Assessment]) -> Assessment:
    return assessment("valve_bonnet_two_steps")


@pytest.fixture(scope="session")
def blocked(assessment: Callable[[str], Assessment]) -> Assessment:
    return assessment("cast_hub_ring_blocks")


@pytest.fixture(scope="session")
def touching(quickly_judged: Callable[[str], Assessment]) -> Assessment:
    return quickly_judged("cast_hub_program_touches")


@pytest.fixture(scope="session")
def gripped_inside(assessment: Callable[[str], Assessment]) -> Assessment:
    return assessment("housing_gripped_inside")


@pytest.fixture(scope="session")
def rendering() -> None:
    from sim.views.render import require_rendering

    try:
        require_rendering()
    except NotAvailableError as error:
        pytest.skip(str(error))
