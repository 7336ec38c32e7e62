"""A judged setup with two operations, and one whose ring is in the way; rendering tried once."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.base.errors import NotAvailableError
from sim.setup.loading import load

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="session")
def two_steps() -> Assessment:
    return assess(load(SCENARIOS / "valve_bonnet_two_steps.toml"))


@pytest.fixture(scope="session")
def blocked() -> Assessment:
    return assess(load(SCENARIOS / "cast_hub_ring_blocks.toml"))


@pytest.fixture(scope="session")
def touching() -> Assessment:
    return assess(load(SCENARIOS / "cast_hub_program_touches.toml"), contact_model="foundation")


@pytest.fixture(scope="session")
def gripped_inside() -> Assessment:
    return assess(load(SCENARIOS / "housing_gripped_inside.toml"))


@pytest.fixture(scope="session")
def rendering() -> None:
    from sim.views.render import require_rendering

    try:
        require_rendering()
    except NotAvailableError as error:
        pytest.skip(str(error))
