"""Grip of an operation's variants: `sim.mechanics.grip` and `spin` with what varies as arrays.

Forces in N, pressures in MPa, heights in mm, speeds in rev/min.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.base.arrays import Floats
from sim.mechanics import spin
from sim.mechanics.grip import grip_at_rest
from sim.scenario import Scenario
from sim.setup.drive import drive_with
from sim.setup.fixture import fixture_lever
from sim.variants.keys import GRIP_SHARE, PULL_SHARE, Values


@dataclass(frozen=True, slots=True, eq=False)
class VariantGrip(spin.TurningGrip[Floats]):
    """Grip of one operation's variants, (n,) arrays.

    Attributes
    ----------
    rest, low_speed, high_speed, counted, largest : (n,) arrays
        Total grip, N.
    speed_low, speed_high : array
        rev/min.
    moment : array
        Centrifugal moment of one jaw, kg mm.
    height : float
        Of the grip above the guideway's middle, mm.
    """

    speed_low: Floats
    speed_high: Floats
    moment: Floats
    height: float

    def pull(self, speed: Floats) -> Floats:
        """Return the centrifugal force of all jaws (N) at a speed (rev/min)."""
        return 3.0 * spin.centrifugal_force(self.moment, speed)


def rest_grip(scenario: Scenario, values: Values, pressure: Floats, height: float) -> Floats:
    """Return the total grip at rest (N) at a height above the guideway's middle (mm); nan beyond the chuck's points."""
    drive = drive_with(scenario.chuck, lambda name: values(f"chuck.{name}"))
    return values(GRIP_SHARE) * values(PULL_SHARE) * grip_at_rest(pressure, height, drive).total


def gripped(scenario: Scenario, index: int, values: Values, middle: float, moment: Floats) -> VariantGrip:
    """Return the grip of an operation's variants; `middle` is the held zone's height above the serrated plane, mm."""
    height = middle + scenario.chuck.guideway_depth
    name = f"operations.{index}.gripping"
    rest = rest_grip(scenario, values, values(f"{name}.pressure"), height)
    low, high = values(f"{name}.speed_low"), values(f"{name}.speed_high")
    slow, fast = (3.0 * spin.centrifugal_force(moment, speed) for speed in (low, high))
    direction = scenario.operations[index].gripping.direction
    grip = spin.turning_grip(rest, slow, fast, direction, values(f"{name}.grip_loss_share"))
    return VariantGrip(
        grip.rest, grip.low_speed, grip.high_speed, grip.counted, grip.largest, low, high, moment, height
    )


def left_at(scenario: Scenario, index: int, values: Values, grip: VariantGrip, speed: Floats) -> Floats:
    """Return the total grip left at a speed (N); the gain of inside gripping is not counted."""
    direction = scenario.operations[index].gripping.direction
    share = values(f"operations.{index}.gripping.grip_loss_share")
    return spin.grip_left(grip.rest, grip.pull(speed), direction, share)


def permissible_speed(
    scenario: Scenario, index: int, values: Values, grip: VariantGrip, needed: Floats
) -> spin.PermissibleSpeed[Floats]:
    """Return the speeds by VDI 3106 and two thirds of the grip, and what the chuck is marked with, rev/min."""
    return spin.permissible_speed(
        grip.rest,
        needed,
        3.0 * grip.moment,
        values("chuck.marked_speed"),
        scenario.operations[index].gripping.direction,
        values("limits.holding_factor"),
        values("limits.grip_factor"),
    )


def boring_rest(scenario: Scenario, values: Values) -> tuple[Floats, float]:
    """Return the total load on the boring fixture at rest (N) and its height above the guideway's middle (mm)."""
    lever = fixture_lever(scenario)
    return rest_grip(scenario, values, values("boring.pressure"), lever), lever
