"""The readings in scenarios/readings are invented: made here, from a chuck that is known and a seed."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.readings import Gauged, findings, fitted, gauged, read_readings, stiffness, written
from sim.setup.parts import Parts

SEED = 20261  # of scenarios/readings/cast_hub_gauge.csv
EFFICIENCY, FRICTION, LOSS, SCATTER = 0.93, 0.19, 0.62, 150.0  # 1, 1, 1, N


def as_csv(setup: Gauged) -> str:
    """Return readings as a setter would write them down, to 0.01 kN."""
    rows = ["pressure (bar), speed (rpm), height (mm), force per jaw (kN)"]
    r = setup.readings
    rows += [
        f"{10.0 * p:g}, {n:g}, {h:g}, {f / 1000.0:.2f}"
        for p, n, h, f in zip(r.pressure, r.speed, r.height, r.force, strict=True)
    ]
    return "\n".join(rows) + "\n"


def test_the_sample_is_what_the_seed_gives(root: Path, hub: Parts, taken: Callable[..., Gauged]) -> None:
    made = taken(hub, scale=EFFICIENCY, friction=FRICTION, loss=LOSS, scatter=SCATTER, seed=SEED)
    file = root / "scenarios" / "readings" / "cast_hub_gauge.csv"
    assert file.read_text(encoding="utf-8") == as_csv(made)


def test_the_sample_points_to_missing_grease(root: Path, hub: Parts) -> None:
    """The chuck that was invented has little of it, and the fit says so."""
    found = fitted(gauged(hub, read_readings(root / "scenarios" / "readings" / "cast_hub_gauge.csv", 3.0)))
    assert found.friction.low <= FRICTION <= found.friction.high
    assert found.scale.low <= EFFICIENCY <= found.scale.high
    assert found.loss.low <= LOSS <= found.loss.high
    again = tomllib.loads(written(found, hub.scenario.chuck, (), stiffness(found, 500e3), ""))["chuck"]
    kept = tomllib.loads((root / "scenarios" / "readings" / "cast_hub_fit.toml").read_text(encoding="utf-8"))[
        "chuck"
    ]
    for name, value in again.items():
        assert kept.pop(name) == (value if isinstance(value, str) else pytest.approx(value, abs=2e-4))
    assert kept == {}
    assert found.scatter == pytest.approx(SCATTER, rel=0.5)
    assert {f.kind for f in findings(found) if f.serious} == {"chuck's data", "grease"}
