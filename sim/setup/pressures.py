"""Pressures at which the chuck's grip is known, MPa."""

from __future__ import annotations

from sim.base.rounding import at_least_text
from sim.mechanics.grip import GripCurve
from sim.scenario import Scenario
from sim.setup.refusal import refuse


def require_pressures(scenario: Scenario) -> None:
    """Refuse pressures at which no grip is known, and a lowest speed over the highest."""
    stated = [("boring.pressure", scenario.boring.pressure)]
    stated += [
        (f"operations[{n}].gripping.pressure", o.gripping.pressure) for n, o in enumerate(scenario.operations)
    ]
    for field, pressure in stated:
        require_known_pressure(field, pressure, scenario)
    for n, operation in enumerate(scenario.operations):
        grip = operation.gripping
        if grip.speed_low > grip.speed_high:
            refuse(
                f"operations[{n}].gripping.speed_low",
                f"must be at most speed_high, {grip.speed_high:g} rev/min, found {grip.speed_low:g} rev/min",
            )


def known_pressures(scenario: Scenario) -> tuple[tuple[float, str], tuple[float, str]]:
    """Return over which and up to which pressure (MPa) a grip is known, each with what says so.

    Nothing is extrapolated beyond the chuck's own points; below them, where their line leaves no grip, there is none.
    The words of the lower end are empty where it is 0.
    """
    chuck, machine = scenario.chuck, scenario.machine
    ends = [
        (chuck.pressure_limit, "chuck.pressure_limit"),
        (machine.pressure_limit, "machine.pressure_limit"),
    ]
    if not chuck.grip_points:
        return (0.0, ""), min(ends, key=lambda end: end[0])
    curve = GripCurve(tuple((p.pressure, p.grip) for p in chuck.grip_points), 0.0)
    ends.append((curve.points[-1][0], "the largest of chuck.grip_points (nothing is known beyond it)"))
    words = "below which the line of the first two of chuck.grip_points leaves no grip"
    return (curve.starts, words if curve.starts > 0.0 else ""), min(ends, key=lambda end: end[0])


def require_known_pressure(field: str, pressure: float, scenario: Scenario) -> None:
    """Refuse a pressure (MPa) at which the chuck's grip is not known, or that chuck or machine may not get.

    Raises
    ------
    ScenarioError
    """
    (least, no_grip), (most, owner) = known_pressures(scenario)
    if pressure > most:
        refuse(field, f"must be at most {10.0 * most:g} bar, {owner}, found {10.0 * pressure:g} bar")
    if no_grip and pressure <= least:
        refuse(
            field,
            f"must be over {at_least_text(10.0 * least, 2)} bar, {no_grip}, found {10.0 * pressure:g} bar",
        )
