"""Verdicts on the boring set-up that pressures, speeds, travel reserves and sizes can change."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.assessment.fixture import load_share
from sim.assessment.verdicts.boring import (
    BORING_SPEED,
    BORING_SWING,
    STAGE,
    STEADY_PRESSURE,
    boring_speed_and_limit,
    boring_swing_and_limit,
    steady_pressure_and_limit,
)
from sim.assessment.verdicts.fixture import (
    BORING_RING_PRESSURE,
    BORING_RING_SPEED,
    FIXTURE_GIVES,
    FIXTURE_SEAT,
    FIXTURE_STRENGTH,
    GUIDEWAY_MOMENT_WHILE_BORING,
    LARGEST_GRIP_WHILE_BORING,
    LOAD_ON_THE_FIXTURE,
    boring_ring_pressure_and_limit,
    boring_ring_speed_and_limit,
    far_beyond,
    fixture_gives_and_limit,
    fixture_seat_and_limit,
    fixture_strength_and_limit,
    guideway_moment_while_boring_and_limit,
    largest_grip_while_boring_and_limit,
    load_on_the_fixture_and_limit,
)
from sim.assessment.verdicts.rule import Rule, over
from sim.base.arrays import Floats
from sim.mechanics.fixtures import Load
from sim.scenario import Ring
from sim.variants.grip import boring_rest
from sim.variants.keys import Values
from sim.variants.line import Line
from sim.variants.ready import Variants
from sim.variants.result import WARN, fails_where
from sim.variants.travel import Sizes, boring_travel_lines


def boring_lines(ready: Variants, values: Values, where: tuple[Sizes, ...]) -> Iterator[Line]:
    """Yield the verdicts on boring; `where` each operation grips."""
    scenario = ready.parts.scenario
    yield from boring_travel_lines(scenario, ready.parts.place, STAGE, where, values)
    pressure, speed = values("boring.pressure"), boring_speed(ready, values)
    if isinstance(scenario.boring.fixture, Ring):
        yield _ring_limit(
            BORING_RING_PRESSURE, *boring_ring_pressure_and_limit(pressure, values("limits.ring_pressure"))
        )
        yield _ring_limit(BORING_RING_SPEED, *boring_ring_speed_and_limit(speed, values("limits.ring_speed")))
    swing = boring_swing_and_limit(ready.assessment.boring.swing, values("machine.swing_diameter"))
    yield Line(BORING_SWING, STAGE, *swing)
    marked = boring_speed_and_limit(speed, values("chuck.marked_speed"), values("machine.speed_limit"))
    yield Line(BORING_SPEED, STAGE, *marked)
    yield from _fixture_lines(ready, values, speed)
    lowest = values("machine.lowest_pressure")
    stages = [(STAGE, "boring.pressure")]
    stages += [(o.name, f"operations.{n}.gripping.pressure") for n, o in enumerate(scenario.operations)]
    for stage, key in stages:
        yield Line(STEADY_PRESSURE, stage, *steady_pressure_and_limit(values(key), lowest), otherwise=WARN)


def boring_speed(ready: Variants, values: Values) -> Floats:
    """Return the highest speed while boring, rev/min: of a program as it states it."""
    boring = ready.assessment.boring
    if boring.file:
        return np.full(values.count, boring.highest_speed)
    return values("boring.speed")


def _ring_limit(rule: Rule, value: Floats, limit: Floats) -> Line:
    """Return the verdict on a limit of the ring: it warns, and fails far beyond."""
    return Line(rule, STAGE, value, limit, otherwise=fails_where(over(value, far_beyond(limit))))


def _fixture_lines(ready: Variants, values: Values, speed: Floats) -> Iterator[Line]:
    """Yield the verdicts on the fixture's load, as `verdicts.fixture`; none without a fixture."""
    figures, scenario = ready.assessment.boring.bearing, ready.parts.scenario
    if figures is None:
        return
    bearing, (rest, lever) = figures.bearing, boring_rest(scenario, values)
    load = Load(rest, np.full(values.count, figures.load.moment), ready.parts.direction)
    share = load_share(scenario, load, speed)
    yield Line(
        LOAD_ON_THE_FIXTURE,
        STAGE,
        *load_on_the_fixture_and_limit(share, values("limits.boring_load_share")),
        otherwise=fails_where(share <= 0.0),
    )
    yield Line(FIXTURE_STRENGTH, STAGE, *fixture_strength_and_limit(bearing.strength, load, speed))
    yield Line(FIXTURE_SEAT, STAGE, *fixture_seat_and_limit(bearing.seat, load, speed))
    yield Line(FIXTURE_GIVES, STAGE, *fixture_gives_and_limit(bearing.moved(load, speed)), otherwise=WARN)
    moment, most = load.guide_moment(speed, lever), values("chuck.moment_limit")
    yield Line(GUIDEWAY_MOMENT_WHILE_BORING, STAGE, *guideway_moment_while_boring_and_limit(moment, most))
    if values.states("chuck.largest_grip"):
        pair = largest_grip_while_boring_and_limit(load.largest(speed), values("chuck.largest_grip"))
        yield Line(LARGEST_GRIP_WHILE_BORING, STAGE, *pair)
