"""The force that a chuck puts on a gauge, as far as the readings can tell: linear in all but the friction.

At the pressure p, the speed n and the height h above the guideway's middle, one jaw presses with

    F = scale u(p, h; mu) - lam Fc(n)   (outside; plus inside)

u is the scenario's own drive at full efficiency (`sim.mechanics.grip`), Fc the centrifugal force of one jaw. Friction
mu and scale both lower F at rest; only readings at different heights tell them apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.assessment.turning_masses import turning_masses
from sim.base.arrays import Floats
from sim.mechanics import spin
from sim.mechanics.grip import ChuckDrive, curve_grip, height_factor, jaw_force
from sim.readings.csv_file import Readings
from sim.setup.drive import drive
from sim.setup.grip_travel import band
from sim.setup.parts import Parts

Scaled = Literal["efficiency", "share of the stated pull", "share of the chuck's grip points"]


@dataclass(frozen=True, slots=True, eq=False)
class Gauged:
    """Readings beside the chuck that they were taken on.

    Attributes
    ----------
    readings : Readings
    scaled : str
        What the scale is: of pressure times area, of the stated pull, or of the chuck's own points.
    stated_scale, stated_friction, stated_loss, stated_stiffness : float
        As the scenario has them; the last of one jaw's drive, N/mm.
    largest_friction : float
        Beyond, friction locks the jaws. No unit.
    pull : (n,) array
        Force of one jaw at rest at scale 1 before the share that friction and height leave, N.
    place : (n,) array
        Which of the heights each reading was taken at.
    shares : callable
        That share at each height, of the friction.
    centrifugal : (n,) array
        Force of one jaw at the speed of each reading, N, signed as it changes the grip.
    """

    readings: Readings
    scaled: Scaled
    stated_scale: float
    stated_friction: float
    stated_loss: float
    stated_stiffness: float
    largest_friction: float
    pull: Floats
    place: NDArray[np.intp]
    shares: Callable[[float], Floats]
    centrifugal: Floats

    @property
    def points(self) -> bool:
        """Whether the chuck's own grip points stand for its drive."""
        return self.scaled == "share of the chuck's grip points"

    def unit_force(self, friction: float) -> Floats:
        """Return the force of one jaw at rest at scale 1, (n,), N."""
        return np.asarray(self.pull * self.shares(friction)[self.place])


def gauged(parts: Parts, readings: Readings, operation: int = 0) -> Gauged:
    """Return readings beside the scenario's chuck, its jaws as bored, at the grip travel of an operation.

    Raises
    ------
    ScenarioError
        If the jaws are too wide for the part.
    """
    scenario = parts.scenario
    chuck = scenario.chuck
    own = drive(chuck)
    lever = readings.height + chuck.guideway_depth
    travel = band(scenario, parts.place, operation)
    moment = spin.centrifugal_moment(turning_masses(parts, 0.5 * (travel.first + travel.last)))
    sign = -1.0 if parts.direction == "outside" else 1.0
    pulls = np.array([spin.centrifugal_force(moment, float(n)) for n in readings.speed])
    scaled: Scaled = "share of the chuck's grip points"
    stated, full = 1.0, own
    if own.curve is None and chuck.piston_area is not None:
        scaled, stated = "efficiency", chuck.efficiency
        full = replace(own, pull_per_pressure=own.pull_per_pressure / chuck.efficiency)
    elif own.curve is None:
        scaled = "share of the stated pull"
    heights, place = np.unique(lever, return_inverse=True)
    return Gauged(
        readings=readings,
        scaled=scaled,
        stated_scale=stated,
        stated_friction=chuck.guideway_friction,
        stated_loss=scenario.operations[operation].gripping.grip_loss_share,
        stated_stiffness=chuck.radial_stiffness,
        largest_friction=_locking(own),
        pull=_pull(full, readings.pressure),
        place=place,
        shares=lambda friction: _shares(full, heights, friction),
        centrifugal=sign * pulls,
    )


def _pull(own: ChuckDrive, pressure: Floats) -> Floats:
    curve = own.curve
    if curve is None:
        return np.asarray(own.pull_per_pressure / own.jaws * pressure)
    return np.array([curve_grip(float(p), curve) for p in pressure]) / own.jaws


def _shares(own: ChuckDrive, heights: Floats, friction: float) -> Floats:
    wedge = replace(own.wedge, friction=friction)
    if own.curve is None:
        return jaw_force(1.0, 0.0, wedge) * height_factor(heights, 0.0, wedge)
    return height_factor(heights, own.curve.height, wedge)


def _locking(own: ChuckDrive) -> float:
    """Return the least friction that locks the jaws, or 1.5 (the most that a scenario may state)."""
    low, high = 0.0, 1.5
    if own.curve is not None or jaw_force(1.0, 0.0, replace(own.wedge, friction=high)) > 0.0:
        return high
    for _ in range(60):
        middle = 0.5 * (low + high)
        moves = jaw_force(1.0, 0.0, replace(own.wedge, friction=middle)) > 0.0
        low, high = (middle, high) if moves else (low, middle)
    return low
