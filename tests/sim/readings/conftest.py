"""Invented gauge readings of a known chuck."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from sim.readings import Gauged, Readings, gauged
from sim.setup import parts
from sim.setup.loading import load
from sim.setup.parts import Parts


@pytest.fixture(scope="session")
def hub(scenario_file: Callable[[str], Path]) -> Parts:
    """Parts of the hub's scenario, whose chuck the readings are of."""
    return parts.build(load(scenario_file("cast_hub_on_ring")))


def plan() -> Readings:
    """Return what was set for each reading: at rest at three heights, turning at one; forces still to come."""
    rest = [(p, 0.0, h) for h in (25.0, 55.0, 85.0) for p in (0.8, 1.4, 2.0, 2.6)]
    turning = [(p, n, 55.0) for p in (2.0, 2.6) for n in (600.0, 900.0, 1200.0)]
    rows = np.array(rest + turning)
    return Readings(rows[:, 0], rows[:, 1], rows[:, 2], np.zeros(len(rows)), np.arange(2, len(rows) + 2))


@pytest.fixture(scope="session")
def taken() -> Callable[..., Gauged]:
    """Read a gauge: `taken(parts, scale=..., friction=..., loss=..., scatter=N, seed=...)`, perhaps fewer rows."""

    def take(
        built: Parts,
        *,
        scale: float = 0.93,
        friction: float = 0.12,
        loss: float = 0.62,
        scatter: float = 150.0,
        seed: int = 0,
        rows: slice | None = None,
    ) -> Gauged:
        setup = gauged(built, plan())
        force = scale * setup.unit_force(friction) + loss * setup.centrifugal
        force = force + np.random.default_rng(seed).normal(0.0, scatter, force.size)
        chosen = slice(None) if rows is None else rows
        r = setup.readings
        kept = Readings(r.pressure[chosen], r.speed[chosen], r.height[chosen], force[chosen], r.line[chosen])
        return gauged(built, kept)

    return take
