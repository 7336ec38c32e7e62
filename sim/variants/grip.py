"""Grip at rest and at speed, and the speeds that are permitted: `grip` and `spin` of `sim.mechanics` over arrays.

Forces in N, pressures in MPa, heights in mm, speeds in rev/min.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.operation import drive
from sim.mechanics.spin import LARGEST_LOSS, angular_speed
from sim.scenario import Scenario
from sim.setup.parts import fixture_height
from sim.variants.keys import GRIP_SHARE, PULL_SHARE, Values

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Gripped:
    """Grip of one operation's variants, (n,) arrays.

    Attributes
    ----------
    rest, low_speed, high_speed : total grip, N.
    counted : at the highest speed without the gain of inside gripping, N.
    largest : the most in any state, all that inside gripping gains counted, N.
    speed_low, speed_high : rev/min.
    moment : centrifugal moment of one jaw, kg mm.
    height : of the grip above the guideway's middle, mm.
    """

    rest: Floats
    low_speed: Floats
    high_speed: Floats
    counted: Floats
    largest: Floats
    speed_low: Floats
    speed_high: Floats
    moment: Floats
    height: float


def free_body_share(scenario: Scenario, friction: Floats, height: float) -> Floats:
    """Return the grip of a jaw over its drawbar pull as `grip.jaw_force` does, (n,); 0 where friction locks it."""
    wedge = drive(scenario.chuck).wedge
    lean = np.tan(wedge.angle + np.arctan(friction))
    per_mm = _per_mm(scenario, friction)
    left = 1.0 - friction * lean - per_mm * wedge.depth
    return np.asarray(np.maximum(0.0, left) / lean / (1.0 + per_mm * height))


def _per_mm(scenario: Scenario, friction: Floats) -> Floats:
    """Return the share of the force lost per mm of lever in the guideway."""
    return np.asarray(3.0 * friction / scenario.chuck.guideway_length)


def rest_grip(scenario: Scenario, values: Values, pressure: Floats, height: float) -> Floats:
    """Return the total grip at rest (N) at a height above the guideway's middle (mm); nan beyond the chuck's points."""
    chuck = scenario.chuck
    friction = values("chuck.guideway_friction")
    share = values(GRIP_SHARE) * values(PULL_SHARE)
    curve = drive(chuck).curve
    if curve is not None:
        points = np.array(curve.line)
        at_height = np.interp(pressure, points[:, 0], points[:, 1], right=np.nan)
        per_mm = _per_mm(scenario, friction)
        return np.asarray(share * at_height * (1.0 + per_mm * curve.height) / (1.0 + per_mm * height))
    if chuck.piston_area is not None:
        pull = values("chuck.efficiency") * values("chuck.piston_area") * pressure
    else:
        pull = values("chuck.largest_pull") / values("chuck.pressure_limit") * pressure
    return np.asarray(share * pull * free_body_share(scenario, friction, height))


def centrifugal(moment: Floats, speed: Floats) -> Floats:
    """Return the centrifugal force (N) of a moment (kg mm)."""
    return np.asarray(1e-3 * moment * angular_speed(1.0) ** 2 * speed**2)


def gripped(scenario: Scenario, index: int, values: Values, middle: float, moment: Floats) -> Gripped:
    """Return the grip of an operation's variants; `middle` is the held zone's height above the serrated plane, mm."""
    height = middle + scenario.chuck.guideway_depth
    name = f"operations.{index}.gripping"
    rest = rest_grip(scenario, values, values(f"{name}.pressure"), height)
    low, high = values(f"{name}.speed_low"), values(f"{name}.speed_high")
    share = values(f"{name}.grip_loss_share")
    inside = scenario.operations[index].gripping.direction == "inside"

    def at(speed: Floats) -> Floats:
        change = share * 3.0 * centrifugal(moment, speed)
        return np.asarray(rest + change if inside else np.maximum(0.0, rest - change))

    fast = at(high)
    largest = rest + 3.0 * centrifugal(moment, high) if inside else rest
    return Gripped(rest, at(low), fast, np.minimum(rest, fast), largest, low, high, moment, height)


def left_at(scenario: Scenario, index: int, values: Values, grip: Gripped, speed: Floats) -> Floats:
    """Return the total grip left at a speed (N); the gain of inside gripping is not counted."""
    operation = scenario.operations[index]
    if operation.gripping.direction == "inside":
        return grip.rest
    share = values(f"operations.{index}.gripping.grip_loss_share")
    return np.asarray(np.maximum(0.0, grip.rest - share * 3.0 * centrifugal(grip.moment, speed)))


def permissible_speed(
    scenario: Scenario, index: int, values: Values, grip: Gripped, needed: Floats
) -> Floats:
    """Return the least of VDI 3106, two thirds of the grip, and what chuck and machine are marked with, rev/min."""
    marked = np.minimum(values("chuck.marked_speed"), values("machine.speed_limit"))
    spare = grip.rest / values("limits.grip_factor") - values("limits.holding_factor") * needed
    outside = scenario.operations[index].gripping.direction == "outside"
    by_cutting = _speed_for(spare, grip.moment, losing=outside)
    by_loss = _speed_for(LARGEST_LOSS * grip.rest, grip.moment, losing=outside)
    return np.asarray(np.minimum(np.minimum(by_cutting, by_loss), marked))


def _speed_for(spare: Floats, moment: Floats, *, losing: bool) -> Floats:
    if not losing:
        return np.where(spare < 0.0, 0.0, np.inf)
    with np.errstate(invalid="ignore", divide="ignore"):
        found = 30.0 / math.pi * np.sqrt(1e3 * np.maximum(spare, 0.0) / (3.0 * moment))
    return np.asarray(np.where(spare < 0.0, 0.0, np.where(moment > 0.0, found, np.inf)))


def boring_rest(scenario: Scenario, values: Values) -> tuple[Floats, float]:
    """Return the total load on the boring fixture at rest (N) and its height above the guideway's middle (mm)."""
    lever = fixture_height(scenario) + scenario.chuck.guideway_depth
    return rest_grip(scenario, values, values("boring.pressure"), lever), lever
