"""Grip height against pressure: what the jaw's height costs in grip, and where the guideway's moment ends it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.assessment.results import Assessment
from sim.base.arrays import Floats
from sim.contact.face import frozen_array
from sim.mechanics.grip import ChuckDrive, largest_total_grip, pressure_for_grip
from sim.mechanics.spin import required_grip_at_rest
from sim.setup.drive import drive

POINTS = 81
LOWEST = 5.0  # mm above the serrated plane
BEYOND = 1.8  # times the present grip height


@dataclass(frozen=True, slots=True, eq=False)
class GripHeight:
    """Pressures (MPa) over grip heights (mm above the serrated plane) of one operation; nan where none is.

    Attributes
    ----------
    operation : str
    heights : (n,) array
    needed : (n,) array
        For the grip at rest that VDI 3106 asks for at the highest speed; the jaws' mass is taken as it is.
    by_moment, by_grip : (n,) arrays
        At which the guideway's moment and the chuck's largest grip are reached.
    limit : float
        Highest allowed pressure.
    height, pressure : float
        As the scenario has it.
    highest : float
        Grip height at which what is needed meets what is allowed; nan if it does not within the heights shown.
    ended_by : str
        What allows no more there.
    """

    operation: str
    heights: Floats
    needed: Floats
    by_moment: Floats
    by_grip: Floats
    limit: float
    height: float
    pressure: float
    highest: float
    ended_by: str

    def __post_init__(self) -> None:
        for name in ("heights", "needed", "by_moment", "by_grip"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def grip_height(assessment: Assessment, operation: int) -> GripHeight:
    """Return pressure against grip height of an operation."""
    scenario, figures = assessment.scenario, assessment.operations[operation]
    chuck, grip, limits = scenario.chuck, figures.grip, scenario.limits
    rest = required_grip_at_rest(
        grip.needed_total,
        3.0 * grip.centrifugal_per_jaw,
        assessment.parts.direction,
        limits.holding_factor,
        limits.grip_factor,
    )
    heights = np.linspace(LOWEST, max(BEYOND * grip.height, grip.height + 20.0), POINTS)
    levers = heights + chuck.guideway_depth
    given = drive(chuck)
    needed = np.array([_pressure(rest, h, given) for h in levers])
    gained = grip.largest_total - grip.rest_total  # by speed, gripped inside: it counts against these limits

    def at_rest(most: float, lever: float) -> float:
        return _pressure(max(most - gained, 0.0), lever, given)

    by_moment = np.array([at_rest(largest_total_grip(chuck.moment_limit, h), h) for h in levers])
    most = math.inf if chuck.largest_grip is None else chuck.largest_grip
    by_grip = np.array([at_rest(most, h) for h in levers])
    limit = min(chuck.pressure_limit, scenario.machine.pressure_limit)
    highest, ended_by = _highest(
        heights, needed, {"guideway moment": by_moment, "largest grip": by_grip}, limit
    )
    return GripHeight(
        figures.operation.name, heights, needed, by_moment, by_grip, limit, grip.height,
        figures.operation.gripping.pressure, highest, ended_by,
    )  # fmt: skip


def _pressure(total: float, lever: float, given: ChuckDrive) -> float:
    """Return the pressure for a total grip; nan beyond the chuck's data, where nothing is known."""
    try:
        found = pressure_for_grip(total, lever, given)
    except ValueError:
        return math.nan
    return found if math.isfinite(found) else math.nan


def _highest(heights: Floats, needed: Floats, allowed: dict[str, Floats], limit: float) -> tuple[float, str]:
    """Return the height at which the needed pressure first exceeds one that is allowed, and which."""
    curves = {**allowed, "the pressure limit": np.full(heights.shape, limit)}
    best, name = math.nan, ""
    for label, curve in curves.items():
        spare = np.where(np.isnan(curve), np.inf, curve) - np.where(np.isnan(needed), np.inf, needed)
        over = np.flatnonzero((spare[1:] < 0.0) & (spare[:-1] >= 0.0))
        if not len(over):
            continue
        k = int(over[0])
        share = spare[k] / (spare[k] - spare[k + 1]) if np.isfinite(spare[k : k + 2]).all() else 0.0
        at = float(heights[k] + share * (heights[k + 1] - heights[k]))
        if not at >= best:
            best, name = at, label
    return best, name
