"""Verdicts on the boring set-up that pressures, speeds, travel reserves and sizes can change."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.assessment.verdicts.boring import BORING_SPEED, BORING_SWING, STAGE, STEADY_PRESSURE
from sim.assessment.verdicts.fixture import (
    BORING_RING_PRESSURE,
    BORING_RING_SPEED,
    FIXTURE_GIVES,
    FIXTURE_SEAT,
    FIXTURE_STRENGTH,
    GUIDEWAY_MOMENT_WHILE_BORING,
    LARGEST_GRIP_WHILE_BORING,
    LOAD_ON_THE_FIXTURE,
    MOST_GIVE,
    far_beyond,
)
from sim.assessment.verdicts.rule import Rule
from sim.mechanics.fixtures import largest_share
from sim.mechanics.spin import centrifugal_force
from sim.scenario import Ring
from sim.setup.metal import fixture_pressed
from sim.variants.grip import boring_rest
from sim.variants.keys import Values
from sim.variants.line import Floats, Line
from sim.variants.ready import Variants
from sim.variants.result import FAIL, WARN
from sim.variants.travel import Sizes, boring_travel_lines


def boring_lines(ready: Variants, values: Values, where: tuple[Sizes, ...]) -> Iterator[Line]:
    """Yield the verdicts on boring; `where` each operation grips."""
    scenario = ready.parts.scenario
    yield from boring_travel_lines(scenario, STAGE, where, values)
    pressure, speed = values("boring.pressure"), boring_speed(ready, values)
    if isinstance(scenario.boring.fixture, Ring):
        yield _ring_limit(BORING_RING_PRESSURE, 10.0 * pressure, 10.0 * values("limits.ring_pressure"))
        yield _ring_limit(BORING_RING_SPEED, speed, values("limits.ring_speed"))
    yield Line(
        BORING_SWING,
        STAGE,
        np.full(values.count, ready.assessment.boring.swing),
        values("machine.swing_diameter"),
    )
    marked = np.minimum(values("chuck.marked_speed"), values("machine.speed_limit"))
    yield Line(BORING_SPEED, STAGE, speed, marked)
    yield from _fixture_lines(ready, values, speed)
    lowest = 10.0 * values("machine.lowest_pressure")
    stages = [(STAGE, "boring.pressure")]
    stages += [(o.name, f"operations.{n}.gripping.pressure") for n, o in enumerate(scenario.operations)]
    for stage, key in stages:
        yield Line(STEADY_PRESSURE, stage, 10.0 * values(key), lowest, otherwise=WARN)


def boring_speed(ready: Variants, values: Values) -> Floats:
    """Return the highest speed while boring, rev/min: of a program as it states it."""
    boring = ready.assessment.boring
    if boring.file:
        return np.full(values.count, boring.highest_speed)
    return values("boring.speed")


def _ring_limit(rule: Rule, value: Floats, limit: Floats) -> Line:
    """Return the verdict on a limit of the ring: it warns, and fails far beyond."""
    otherwise = np.where(value > far_beyond(limit), FAIL, WARN).astype(np.int8)
    return Line(rule, STAGE, value, limit, otherwise=otherwise)


def _fixture_lines(ready: Variants, values: Values, speed: Floats) -> Iterator[Line]:
    """Yield the verdicts on the fixture's load, as `verdicts.fixture`; none without a fixture."""
    figures, scenario = ready.assessment.boring.bearing, ready.parts.scenario
    if figures is None:
        return
    bearing = figures.bearing
    rest, lever = boring_rest(scenario, values)
    first = ready.operations[0]
    moment = np.full(values.count, first.moment + first.moment_per_travel * scenario.boring.travel)
    pull = 3.0 * centrifugal_force(moment, speed)
    yield _load_left(ready, values, rest, pull)
    fast = np.maximum(rest - pull, 0.0) if ready.parts.direction == "outside" else rest + pull
    largest, one = np.maximum(rest, fast), np.ones(values.count)
    for rule, strains in ((FIXTURE_STRENGTH, bearing.strength), (FIXTURE_SEAT, bearing.seat)):
        yield Line(rule, STAGE, largest_share(strains, rest, fast, speed), one)
    give = bearing.give * largest / 3.0
    yield Line(FIXTURE_GIVES, STAGE, give, MOST_GIVE * one, otherwise=WARN)
    most = values("chuck.moment_limit") / 1e6
    yield Line(GUIDEWAY_MOMENT_WHILE_BORING, STAGE, largest / 3e6 * lever, most)
    if values.states("chuck.largest_grip"):
        most = values("chuck.largest_grip") / 1000.0
        yield Line(LARGEST_GRIP_WHILE_BORING, STAGE, largest / 1000.0, most)


def _load_left(ready: Variants, values: Values, rest: Floats, pull: Floats) -> Line:
    """Return the verdict on the jaws' load on the fixture at the boring speed."""
    with np.errstate(divide="ignore"):
        lost = pull / rest
    share = 1.0 - lost if ready.parts.direction == "outside" else 1.0 + lost
    if not fixture_pressed(ready.parts.scenario):
        share = np.zeros(values.count)
    return Line(
        LOAD_ON_THE_FIXTURE,
        STAGE,
        np.maximum(share, 0.0),
        values("limits.boring_load_share"),
        otherwise=np.where(share <= 0.0, FAIL, WARN).astype(np.int8),
    )
