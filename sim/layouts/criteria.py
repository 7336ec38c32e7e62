"""What must hold over pressures and speeds: margins on a grid.

Each criterion is a margin, value over limit or the reverse as in a verdict. What follows from the grip alone is
evaluated at every point by the functions that `check` uses. What needs a contact, the seat or a program of holding is
evaluated at a few pressures and speeds and interpolated: loads over resistances are nearly linear in the pressure and
in the square of the speed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import PchipInterpolator

from sim.assessment.demand import demand
from sim.assessment.gripped_again import judged_at
from sim.assessment.jaws import LIFTED, rotor_mass, top_jaw, unbalance, unlike
from sim.assessment.practice import laxer_than
from sim.assessment.results import Assessment
from sim.assessment.state import States, gripping_at
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.across import JAW_PUSHED_ACROSS
from sim.assessment.verdicts.boring import STEADY_PRESSURE
from sim.assessment.verdicts.grip import (
    CREEP,
    GRIP_AT_REST,
    GUIDEWAY_MOMENT,
    HOLDING_FACTOR,
    LARGEST_GRIP,
    LEAST_GRIP_OF_A_JAW,
    LEAST_JAW,
    SPINDLE_SPEED,
    grip_at_rest_and_limit,
    guideway_moment_and_limit,
    largest_grip_and_limit,
)
from sim.assessment.verdicts.jaw import (
    JAW_SEAT_STAYS_CLOSED,
    SERRATIONS,
    UNBALANCE,
    seated_under,
    unbalance_and_limit,
)
from sim.assessment.verdicts.machining import (
    HOLDING_FACTOR_EACH_MOVE,
    PROGRAM_SPEED,
    program_speed_and_limit,
)
from sim.assessment.verdicts.rule import MET, keys, margins
from sim.assessment.verdicts.running import RUNOUT_IN_THE_JAWS, SQUARENESS_IN_THE_JAWS
from sim.assessment.verdicts.spindle import SPINDLE_POWER, chart_of, spindle_loads, spindle_power_and_limit
from sim.base.arrays import Floats
from sim.base.share import Tell
from sim.contact import ContactNotConverged
from sim.mechanics.grip import grip_at_rest
from sim.mechanics.spin import centrifugal_force, permissible_speed, turning_grip
from sim.scenario import Scenario
from sim.setup.drive import drive
from sim.setup.pressures import known_pressures

ROWS, COLUMNS = 61, 49  # pressures and speeds of the grid
NODES = 8  # pressures at which the contact is solved
LARGEST = 99.0  # margins above this are all alike
LEAST = 1e-6  # and so are those below
BEYOND = 1.08  # of the least speed limit: how far is looked
LEAST_SHARE = 0.02  # of the pressure limit: where it begins
SLOW_NODES = 3  # speeds below the slowest cut's own
# What the grip and the need of the cuts decide, by the verdict's key.
BY_GRIP = frozenset({GRIP_AT_REST.key, GUIDEWAY_MOMENT.key, LARGEST_GRIP.key})
UNMOVED = 1e-6  # a margin that changes by less over the whole grid is not shown
LAXER = " (limit laxer than its standard)"
PARTED = SPINDLE_SPEED.key  # the least of several speeds, which are criteria of their own
# Judged by a formula of its own at every point of the grid.
EVERYWHERE = BY_GRIP | keys(SPINDLE_POWER, PROGRAM_SPEED)
# Value and limit are each nearly linear in the pressure and in the speed's square; what one is over the other is not.
APART = frozenset({LEAST_GRIP_OF_A_JAW.key})
# Strength over load: the reverse is what goes with the load.
RESISTANCES = keys(JAW_SEAT_STAYS_CLOSED, SERRATIONS, JAW_PUSHED_ACROSS)
# Verdicts with a kink at the pressure that grips as hard as the jaws were bored.
KINKED = keys(RUNOUT_IN_THE_JAWS, SQUARENESS_IN_THE_JAWS)


@dataclass(frozen=True, slots=True, eq=False)
class Criterion:
    """One thing that must hold.

    Attributes
    ----------
    name : str
        For people; two of one window differ in it.
    margin : (k, m) array
        At every pressure (row) and speed (column); 1 is just enough. No unit.
    soft : bool
        Missing it warns and does not fail.
    as_load : bool
        Its reciprocal is a load over what bears it, linear in the pressure and in the speed's square: that is read
        between the grid's points, for the margin itself would come out too large.
    verdict, stage : str
        Key of the verdict that `check` gives on it, '' where it gives none, and its stage, '' for the window's own.
    """

    name: str
    margin: Floats
    soft: bool = False
    as_load: bool = False
    verdict: str = ""
    stage: str = ""

    def __post_init__(self) -> None:
        copy = np.clip(
            np.nan_to_num(np.array(self.margin, dtype=np.float64), nan=0.0, posinf=LARGEST), 0.0, LARGEST
        )
        copy.setflags(write=False)
        object.__setattr__(self, "margin", copy)


@dataclass(frozen=True, slots=True)
class Solved:
    """An operation at one pressure and speed.

    Attributes
    ----------
    needed : float
        What its cuts need, N, without safety.
    verdicts : dict of str to Verdict
        By key.
    lifting : float
        How many times the load would lift a jaw off its seat, no unit; nan where it is not known.
    """

    needed: float
    verdicts: dict[str, Verdict]
    lifting: float


def grid(assessment: Assessment, operation: int) -> tuple[Floats, Floats]:
    """Return pressures (MPa) and speeds (rev/min) of the grid, those of scenario, chuck data and cuts among them."""
    scenario = assessment.scenario
    gripping = assessment.operations[operation].operation.gripping
    (nothing, _), (highest, _) = known_pressures(scenario)
    points = [p.pressure for p in scenario.chuck.grip_points]
    fast = BEYOND * max(min(scenario.chuck.marked_speed, scenario.machine.speed_limit), gripping.speed_high)
    kinks = [p for p in points if p < highest]
    lowest = nothing + LEAST_SHARE * (highest - nothing)
    pressures = np.unique([*np.linspace(lowest, highest, ROWS), gripping.pressure, *kinks])
    cuts = [d.speed for d in assessment.operations[operation].demands]
    speeds = np.unique(
        [
            *np.linspace(gripping.speed_low, fast, COLUMNS),
            gripping.speed_high,
            scenario.chuck.marked_speed,
            scenario.machine.speed_limit,
            *cuts,
        ]
    )
    inside = (speeds >= gripping.speed_low) & (speeds <= fast)
    return pressures, speeds[inside]


def criteria_of(
    ready: States, index: int, pressures: Floats, speeds: Floats, progress: Tell
) -> tuple[Criterion, ...]:
    """Return everything that pressure or speed decide of an operation; what they do not matter to is left out."""
    nodes = _nodes(ready, index, pressures, speeds)
    solved: list[list[Solved]] = []
    for count, pressure in enumerate(nodes[0], start=1):
        progress(f"{ready.assessment.operations[index].operation.name}: pressure {count} of {len(nodes[0])}")
        solved.append([_solved(ready, index, float(pressure), float(n)) for n in nodes[1]])
    needed = _over_grid(
        np.array([[one.needed for one in line] for line in solved]), nodes, (pressures, speeds)
    )
    found = [*_by_grip(ready, index, pressures, speeds, needed)]
    known = [one.verdicts for line in solved for one in line]
    for key in dict.fromkeys(key for verdicts in known for key in verdicts if key not in EVERYWHERE):
        table = [[one.verdicts.get(key) for one in line] for line in solved]
        there = [v for line in table for v in line if v is not None]
        margin = _interpolated(key, table, nodes, (pressures, speeds))
        # What fails of the seat is a criterion below.
        soft = key == JAW_SEAT_STAYS_CLOSED.key or _is_soft(there)
        found.append(Criterion(there[0].name, margin, soft=soft, verdict=key))
    found += _with_two_limits(solved, nodes, (pressures, speeds))
    found += _spindle(ready.assessment, index, pressures, speeds)
    found += _stated_limits(ready.assessment, pressures, speeds)
    found += _unbalance(ready.assessment, index, pressures, speeds)
    stage, scenario = ready.assessment.operations[index].operation.name, ready.assessment.scenario
    return tuple(told(c, stage, scenario) for c in found if float(np.ptp(c.margin)) > UNMOVED)


def told(criterion: Criterion, stage: str, scenario: Scenario) -> Criterion:
    """Return a criterion whose name says so where its limit is laxer than the standard behind the verdict's."""
    laxer = laxer_than(criterion.verdict, stage, scenario)
    return replace(criterion, name=f"{criterion.name}{LAXER}") if laxer else criterion


def _nodes(ready: States, index: int, pressures: Floats, speeds: Floats) -> tuple[Floats, Floats]:
    """Return the pressures and speeds at which an operation is solved: the cuts' own speeds are kinks."""
    base = ready.assessment.operations[index]
    cuts = [d.speed for d in base.demands if speeds[0] < d.speed < speeds[-1]]
    slow = np.linspace(
        speeds[0], min(cuts, default=speeds[0]), SLOW_NODES
    )  # there the cutting speed changes the force
    at_speeds = np.unique([*slow, base.operation.gripping.speed_high, speeds[-1], *cuts])
    # What the setup states is solved, too: one question, one answer.
    at_pressures = np.unique(
        [*np.geomspace(pressures[0], pressures[-1], NODES), base.operation.gripping.pressure]
    )
    return at_pressures, at_speeds


def _solved(ready: States, index: int, pressure: float, speed: float) -> Solved:
    """Return an operation at a pressure and a speed; without verdicts where the contact does not balance."""
    try:
        state = judged_at(ready, index, pressure, speed)
    except ContactNotConverged:
        return Solved(math.nan, {}, math.nan)
    verdicts = {v.key: v for v in state.verdicts if v.key != PARTED}
    parts = gripping_at(ready.assessment.parts, index, pressure, speed)
    return Solved(
        state.figures.grip.needed_total, verdicts, seated_under(parts, state.figures).lifting_factor
    )


def _with_two_limits(
    solved: list[list[Solved]], nodes: tuple[Floats, Floats], grid: tuple[Floats, Floats]
) -> Iterator[Criterion]:
    """Yield what else is asked by verdicts that warn at one limit and fail at another.

    A seat that gapes warns, and fails where the jaw is near to lifting; a part that is held may yet creep.
    """
    lifted = np.array([[LIFTED / max(one.lifting, LEAST) for one in line] for line in solved])
    yield Criterion("jaw kept from lifting", 1.0 / np.maximum(_over_grid(lifted, nodes, grid), LEAST))
    for rule, name in ((HOLDING_FACTOR, "creep"), (HOLDING_FACTOR_EACH_MOVE, "creep under the program")):
        held = np.array([[_value(one, rule.key) for one in line] for line in solved])
        if np.isfinite(held).any():
            yield Criterion(name, _over_grid(held, nodes, grid) / CREEP, soft=True)


def _value(one: Solved, key: str) -> float:
    found = one.verdicts.get(key)
    return math.nan if found is None else min(found.value, LARGEST)


def _spindle(assessment: Assessment, index: int, pressures: Floats, speeds: Floats) -> Iterator[Criterion]:
    """Yield the spindle's power for the cuts, which no pressure changes, at every speed of the grid."""
    base, machine, found = assessment.operations[index], assessment.scenario.machine, []
    chart = chart_of(machine)
    for speed in map(float, speeds) if chart else ():
        stated = gripping_at(assessment.parts, index, base.operation.gripping.pressure, speed).scenario
        own = stated.operations[index]
        metal = stated.metal(own.workpiece.material)
        demands = [demand(cut, own, metal, base.zone, base.grip.friction) for cut in own.cuts]
        loads = spindle_loads(own.cuts, [(d.forces, d.speed) for d in demands], own.gripping.speed_high)
        if loads:
            found.append(spindle_power_and_limit(loads, chart, machine.drive_efficiency))
    if found:
        needed, given = np.array(found).T
        over = np.broadcast_to(
            margins(needed, given, at_least=SPINDLE_POWER.at_least), (len(pressures), len(speeds))
        )
        yield Criterion(SPINDLE_POWER.name, over, as_load=True, verdict=SPINDLE_POWER.key)


def _by_grip(
    ready: States, index: int, pressures: Floats, speeds: Floats, needed: Floats
) -> Iterator[Criterion]:
    """Yield what the grip and what the cuts need (k, m) decide, evaluated at every point of the grid."""
    scenario, base = ready.assessment.scenario, ready.assessment.operations[index]
    chuck, limits, stated = scenario.chuck, scenario.limits, base.operation.gripping

    def over(value: float | Floats) -> Floats:
        return np.array(np.broadcast_to(value, needed.shape), dtype=np.float64)

    height = base.zone.middle + chuck.guideway_depth
    at_rest = np.array([grip_at_rest(float(p), height, drive(chuck)).total for p in pressures])
    rest, fast, moment = over(at_rest[:, None]), over(speeds), over(base.grip.centrifugal_moment)
    pull = 3.0 * centrifugal_force(moment, fast)
    grip = turning_grip(rest, pull, pull, stated.direction, stated.grip_loss_share)
    factors = limits.holding_factor, limits.grip_factor
    found = {GRIP_AT_REST: grip_at_rest_and_limit(rest, needed, pull, stated.direction, *factors)}
    found[GUIDEWAY_MOMENT] = guideway_moment_and_limit(grip.guide_moment(height), over(chuck.moment_limit))
    if chuck.largest_grip is not None:
        found[LARGEST_GRIP] = largest_grip_and_limit(grip.largest, over(chuck.largest_grip))
    for rule, (value, limit) in found.items():
        yield Criterion(rule.name, margins(value, limit, at_least=rule.at_least), verdict=rule.key)
    marked = over(chuck.marked_speed)
    permitted = permissible_speed(rest, needed, 3.0 * moment, marked, stated.direction, *factors)
    yield Criterion("two thirds of the grip lost (EN 1550)", permitted.by_loss / speeds)
    program = ready.assessment.machining[index]
    if program is not None:
        turned = over(max(float(way.grip.speed.max()) for way in program.readings))
        value, limit = program_speed_and_limit(turned, permitted, over(scenario.machine.speed_limit), fast)
        margin = margins(value, limit, at_least=PROGRAM_SPEED.at_least)
        yield Criterion(PROGRAM_SPEED.name, margin, verdict=PROGRAM_SPEED.key)


def _over_grid(
    table: Floats,
    nodes: tuple[Floats, Floats],
    grid: tuple[Floats, Floats],
    *,
    kinked: bool = False,
    floored: tuple[np.ufunc, float] | None = None,
) -> Floats:
    """Return values at the nodes (pressures, speeds) on the grid.

    Monotone in the pressure, linear in the speed's square. Linear in the pressure, too, where that has a kink: above a
    value that is least there, and so on the safe side. What is not known at a node is taken from the nearest
    pressure at which it is. What has a floor is not linear from a node on it to the next: there goes on the line
    through the two nodes above, where that is less good; `floored` has what tells that (fmin, fmax) and the floor.
    """
    (at_pressures, at_speeds), (pressures, speeds) = nodes, grid
    columns = []
    for column in table.T:
        known = np.isfinite(column)
        if known.sum() < 2:
            columns.append(np.full(len(pressures), column[known].max(initial=0.0)))
            continue
        within = np.clip(pressures, at_pressures[known][0], at_pressures[known][-1])
        if kinked:
            columns.append(np.interp(within, at_pressures[known], column[known]))
        else:
            columns.append(PchipInterpolator(at_pressures[known], column[known])(within))
        if floored is not None:
            worse, floor = floored
            line = _below_the_floor(within, at_pressures[known], column[known], floor)
            columns[-1] = worse(columns[-1], line)
    lines = np.array(columns).T
    return np.array([np.interp(speeds**2, at_speeds**2, line) for line in lines], dtype=np.float64)


def _below_the_floor(pressures: Floats, nodes: Floats, values: Floats, least: float) -> Floats:
    """Return the line through the two lowest nodes above a floor, at pressures below these; nothing (nan) elsewhere."""
    floor = np.flatnonzero(values <= least)
    above = int(floor[-1]) + 1 if len(floor) else 0
    if above == 0 or above + 1 >= len(values):
        return np.full(len(pressures), math.nan)
    (p, q), (v, w) = nodes[above : above + 2], values[above : above + 2]
    return np.where(pressures < p, v + (w - v) / (q - p) * (pressures - p), math.nan)


def _interpolated(
    key: str,
    verdicts: list[list[Verdict | None]],
    nodes: tuple[Floats, Floats],
    grid: tuple[Floats, Floats],
) -> Floats:
    """Return the margin on the grid, interpolated as load over resistance, or value and limit each for itself."""
    if key in APART:
        # Nothing held is a value of 0, against the limit of the nearest pressure that is known.
        known = [[(0.0, math.nan) if v is None else (v.value, v.limit) for v in line] for line in verdicts]
        values, limits = np.moveaxis(np.array(known), -1, 0)
        value = np.maximum(_over_grid(values, nodes, grid, floored=(np.fmin, 0.0)), 0.0)
        limit = _over_grid(limits, nodes, grid, floored=(np.fmax, 0.001 * LEAST_JAW))
        return np.where(limit > 0.0, margins(value, limit, at_least=True), 0.0)
    upper = any(v is not None and not v.at_least for line in verdicts for v in line)
    inverse = upper or key in RESISTANCES
    table = np.array([[_share(v, inverse=inverse) for v in line] for line in verdicts])
    shares = _over_grid(table, nodes, grid, kinked=key in KINKED)
    return np.asarray(1.0 / np.maximum(shares, LEAST) if inverse else shares, dtype=np.float64)


def _share(verdict: Verdict | None, *, inverse: bool) -> float:
    """Return margin or, if asked for, its inverse, kept within what can be interpolated; nothing held is 0 of it."""
    margin = 0.0 if verdict is None else min(verdict.margin, LARGEST)
    return 1.0 / max(margin, LEAST) if inverse else margin


def _stated_limits(assessment: Assessment, pressures: Floats, speeds: Floats) -> Iterator[Criterion]:
    """Yield the limits that the scenario states outright: speeds marked, steady pressure."""
    scenario = assessment.scenario
    shape = (len(pressures), len(speeds))
    for name, limit in (
        ("marked on the chuck", scenario.chuck.marked_speed),
        ("machine's speed limit", scenario.machine.speed_limit),
    ):
        marked = margins(speeds, limit, at_least=SPINDLE_SPEED.at_least)
        yield Criterion(name, np.broadcast_to(marked, shape))
    rule = STEADY_PRESSURE
    # A margin has no unit: those of the verdict would change its last digit.
    steady = margins(pressures[:, None], scenario.machine.lowest_pressure, at_least=rule.at_least)
    yield Criterion(rule.name, np.broadcast_to(steady, shape), soft=True, verdict=rule.key)


def _unbalance(assessment: Assessment, index: int, pressures: Floats, speeds: Floats) -> Iterator[Criterion]:
    """Yield the balance of unlike jaws at the fastest of all operations; it warns only."""
    scenario, parts = assessment.scenario, assessment.parts
    if not unlike(scenario):
        return
    fastest = [f.operation.gripping.speed_high for f in assessment.operations]
    others = max((n for k, n in enumerate(fastest) if k != index), default=0.0)
    top, rule = top_jaw(parts), UNBALANCE
    found = unbalance_and_limit(unbalance(parts, top), rotor_mass(parts, top), np.maximum(speeds, others))
    over = np.broadcast_to(margins(*found, at_least=rule.at_least), (len(pressures), len(speeds)))
    yield Criterion(rule.name, over, soft=True, verdict=rule.key)


def _is_soft(verdicts: list[Verdict]) -> bool:
    missed = [v for v in verdicts if v.margin < MET]
    return bool(missed) and all(v.status == "warn" for v in missed)
