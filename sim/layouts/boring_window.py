"""Pressure against speed while the jaws are bored: where the fixture stays loaded and the limits are kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress

import numpy as np

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.fixture import load_share
from sim.assessment.operation import bored_with, boring_grip
from sim.assessment.results import Assessment
from sim.assessment.turning_masses import turning_masses
from sim.assessment.verdicts.boring import BORING_SPEED, STEADY_PRESSURE
from sim.assessment.verdicts.fixture import (
    BORING_RING_PRESSURE,
    BORING_RING_SPEED,
    FIXTURE_GIVES,
    FIXTURE_SEAT,
    FIXTURE_STRENGTH,
    GUIDEWAY_MOMENT_WHILE_BORING,
    LARGEST_GRIP_WHILE_BORING,
    LOAD_ON_THE_FIXTURE,
    boring_ring_speed_and_limit,
    fixture_gives_and_limit,
    fixture_seat_and_limit,
    fixture_strength_and_limit,
    load_on_the_fixture_and_limit,
)
from sim.assessment.verdicts.part import JAW_TAPER_UNDER_GRIP, jaw_taper_under_grip_and_limit
from sim.assessment.verdicts.rule import Rule, margins
from sim.assessment.verdicts.running import (
    RUNOUT_IN_THE_JAWS,
    SQUARENESS_IN_THE_JAWS,
    runout_in_the_jaws_and_limit,
    squareness_in_the_jaws_and_limit,
)
from sim.base.arrays import Floats
from sim.contact import taper_um
from sim.layouts.criteria import BEYOND, COLUMNS, LEAST_SHARE, ROWS, UNMOVED, Criterion, told
from sim.layouts.window import Window, windowed
from sim.mechanics.fixtures import Load
from sim.mechanics.grip import grip_at_rest, pressure_for_grip
from sim.mechanics.spin import centrifugal_moment
from sim.scenario import NoFixture, Ring
from sim.setup.drive import drive
from sim.setup.fixture import fixture_lever
from sim.setup.metal import fixture_pressed
from sim.setup.pressures import known_pressures

STAGE = "boring"
SLOWEST = 50.0  # rev/min


def boring_window(assessment: Assessment) -> Window | None:
    """Return the window of boring of a judged setup by the closed forms of `check`; None where no fixture is pressed.

    Most of its limits are common practice, of which `check` only warns; here they end the window like the others.
    """
    scenario = assessment.scenario
    if isinstance(scenario.boring.fixture, NoFixture) or not fixture_pressed(scenario):
        return None
    stated = (scenario.boring.pressure, assessment.boring.highest_speed)
    pressures, speeds = _grid(assessment, *stated)
    kept = tuple(
        told(c, STAGE, scenario)
        for c in _criteria(assessment, pressures, speeds)
        if float(np.ptp(c.margin)) > UNMOVED
    )
    return windowed(STAGE, pressures, speeds, kept, stated, warns_only=True)


def _grid(assessment: Assessment, pressure: float, speed: float) -> tuple[Floats, Floats]:
    scenario = assessment.scenario
    (nothing, _), (highest, _) = known_pressures(scenario)
    points = [p.pressure for p in scenario.chuck.grip_points]
    lowest = nothing + LEAST_SHARE * (highest - nothing)
    fast = BEYOND * max(min(scenario.chuck.marked_speed, scenario.machine.speed_limit), speed)
    # Borders that stand on one pressure or speed lie on the grid, so that corners are sharp.
    limits, machine = scenario.limits, scenario.machine
    pressures = np.unique(
        [
            *np.linspace(lowest, highest, ROWS),
            pressure,
            *points,
            limits.ring_pressure,
            machine.lowest_pressure,
            *(p for p in _just_borne(assessment) if p > LEAST_SHARE * highest),
        ]
    )
    marked = (scenario.chuck.marked_speed, machine.speed_limit, limits.ring_speed)
    speeds = np.unique([*np.linspace(min(SLOWEST, speed), fast, COLUMNS), speed, *marked])
    known = (pressures > nothing) & (pressures <= highest)
    return pressures[known], speeds[speeds <= fast]


def _just_borne(assessment: Assessment) -> list[float]:
    """Return the pressures (MPa) at which something of fixture and seat is just borne at rest."""
    figures, scenario, found = assessment.boring.bearing, assessment.scenario, []
    for strain in () if figures is None else (*figures.bearing.strength, *figures.bearing.seat):
        load = 3.0 * strain.largest_load(0.0)
        with suppress(ValueError):  # beyond the chuck's own points
            found.append(pressure_for_grip(load, fixture_lever(scenario), drive(scenario.chuck)))
    return found


def _criteria(assessment: Assessment, pressures: Floats, speeds: Floats) -> Iterator[Criterion]:
    """Yield all that boring pressure or boring speed decide."""
    parts, scenario = assessment.parts, assessment.scenario
    shape = (len(pressures), len(speeds))
    lever = fixture_lever(scenario)
    rest = np.array([grip_at_rest(float(p), lever, drive(scenario.chuck)).total for p in pressures])
    moment = centrifugal_moment(turning_masses(parts, scenario.boring.travel))
    load = Load(np.broadcast_to(rest[:, None], shape), np.full(shape, moment), parts.direction)
    turning = np.broadcast_to(speeds, shape)

    def over(column: Floats | float) -> Floats:
        return np.broadcast_to(np.asarray(column), shape)

    if isinstance(scenario.boring.fixture, Ring):
        most = scenario.limits.ring_pressure
        yield _kept(BORING_RING_PRESSURE, over(pressures[:, None]), most, "ring's pressure limit")
        ring = boring_ring_speed_and_limit(turning, over(scenario.limits.ring_speed))
        yield _kept(BORING_RING_SPEED, *ring, "ring's speed limit")
    if parts.direction == "outside":
        yield Criterion("jaws leave the fixture", load.rest / load.pull(turning))
        share = load_share(scenario, load, turning)
        wanted = over(scenario.limits.boring_load_share)
        yield _kept(LOAD_ON_THE_FIXTURE, *load_on_the_fixture_and_limit(share, wanted))
    for name, most in (
        ("marked on the chuck", scenario.chuck.marked_speed),
        ("machine's speed limit", scenario.machine.speed_limit),
    ):
        yield Criterion(name, margins(turning, most, at_least=BORING_SPEED.at_least))
    yield _kept(STEADY_PRESSURE, over(pressures[:, None]), scenario.machine.lowest_pressure)
    most, moment_of = scenario.chuck.moment_limit, load.guide_moment(turning, lever)
    yield _kept(GUIDEWAY_MOMENT_WHILE_BORING, moment_of, most, "guideway moment", as_load=True)
    if scenario.chuck.largest_grip is not None:
        most = scenario.chuck.largest_grip
        yield _kept(LARGEST_GRIP_WHILE_BORING, load.largest(turning), most, "largest grip", as_load=True)
    yield from _borne(assessment, load, turning)
    stated = grip_at_rest(scenario.boring.pressure, lever, drive(scenario.chuck)).total
    for figures in assessment.operations:
        tapers = [over(one[:, None]) for one in _tapers(assessment, figures, rest / stated)]
        pair = jaw_taper_under_grip_and_limit(tapers, over(scenario.limits.jaw_taper))
        stage = figures.operation.name
        yield _kept(JAW_TAPER_UNDER_GRIP, *pair, f"jaw taper, {stage}", stage=stage)
    yield from _running(assessment, pressures, over)


def _running(
    assessment: Assessment, pressures: Floats, over: Callable[[Floats], Floats]
) -> Iterator[Criterion]:
    """Yield how true each operation's part runs in jaws that are bored at pressures (MPa)."""
    operations = assessment.operations
    for figures in operations:
        found = bored_with(assessment.parts, figures, pressures.tolist(), operations[: figures.index])
        stage, limits = figures.operation.name, figures.operation
        shifts, turned, leaning = (
            np.array([getattr(one, name) for one in found]) for name in ("worst", "roundness", "tilt_worst")
        )
        pair = runout_in_the_jaws_and_limit(
            over(shifts[:, None]), over(turned[:, None]), over(np.asarray(limits.runout_limit))
        )
        yield _kept(RUNOUT_IN_THE_JAWS, *pair, f"run-out, {stage}", stage=stage)
        pair = squareness_in_the_jaws_and_limit(
            over(leaning[:, None]), found[0].face, over(np.asarray(limits.squareness_limit))
        )
        yield _kept(SQUARENESS_IN_THE_JAWS, *pair, f"squareness, {stage}", stage=stage)


def _kept(
    rule: Rule,
    value: Floats,
    limit: Floats | float,
    name: str = "",
    *,
    stage: str = "",
    as_load: bool = False,
) -> Criterion:
    """Return that a rule's limit is kept; of value and limit in inside units, where the verdict only shows others.

    A margin has no unit, and in the verdict's its last digit would be another.
    """
    margin = margins(value, limit, at_least=rule.at_least)
    return Criterion(name or rule.name, margin, as_load=as_load, verdict=rule.key, stage=stage)


def _borne(assessment: Assessment, load: Load[Floats], speeds: Floats) -> Iterator[Criterion]:
    """Yield what fixture and seat bear under a load at speeds."""
    figures = assessment.boring.bearing
    if figures is None:
        return
    bearing = figures.bearing
    strength = fixture_strength_and_limit(bearing.strength, load, speeds)
    yield _kept(FIXTURE_STRENGTH, *strength, as_load=True)
    yield _kept(FIXTURE_SEAT, *fixture_seat_and_limit(bearing.seat, load, speeds), as_load=True)
    yield _kept(FIXTURE_GIVES, *fixture_gives_and_limit(bearing.moved(load, speeds)), as_load=True)


def _tapers(assessment: Assessment, figures: OperationFigures, shares: Floats) -> list[Floats]:
    """Return the tapers (um) of each state that is gripped, the jaws bored with shares of the stated force."""
    bored, length = shares * boring_grip(assessment.parts, figures.zone.middle), figures.zone.length
    return [
        taper_um(np.full_like(bored, opening.slope_rad), np.full_like(bored, gripping), bored, length)
        for gripping, opening in figures.clamping.openings
    ]
