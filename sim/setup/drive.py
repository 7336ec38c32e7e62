"""What drives and guides a jaw: pressure to grip, stiffnesses that can be, and a wedge that does not lock."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sim.base.arrays import Flags
from sim.base.floats import Number
from sim.mechanics.grip import ChuckDrive, GripCurve, Wedge, drawbar_pull, jaw_force
from sim.scenario import Chuck, Scenario
from sim.setup.refusal import refuse

# N/mm of one jaw's drive and guideway. Outside figures, of whole chucks with part: 216 N/um with steel top jaws, 66
# N/um with jaws of fibre-reinforced plastic (Ito, Modular Design for Machine Tools, p. 452). The drive alone is stiffer
# than the whole: a third of the softest is refused as a slip, and so is more than a bar of solid steel, 30 mm by 40 mm
# and 100 mm long, which has E A / L = 2520 N/um.
RADIAL_STIFFNESS = (20e3, 2500e3)
# N mm/rad of a jaw in its guideway (assumption, no source: no measured figure was found). Softer is worn out, stiffer
# than the solid steel of a large chuck's guideway, E w L^3 / (12 h) of 60 mm by 250 mm and 100 mm deep, is a slip.
TILT_STIFFNESS = (100e6, 160_000e6)
# N/mm of a jaw across its guideway (assumption, no source: no measured figure was found): from one that hangs in its
# play to the bar of solid steel above.
TANGENTIAL_STIFFNESS = (1e3, 2500e3)


def drive(chuck: Chuck) -> ChuckDrive:
    """Return what turns pressure into grip, from the chuck's table."""
    return drive_with(chuck, lambda name: getattr(chuck, name))


def drive_with(chuck: Chuck, value: Callable[[str], Number]) -> ChuckDrive[Number]:
    """Return what turns pressure into grip; `value` gives the friction, efficiency, piston area, pull and its pressure.

    They are asked by their names in the chuck's table, so that a batch can vary them.
    """
    wedge = wedge_with(chuck, value("guideway_friction"))
    if chuck.piston_area is not None:
        per_pressure = drawbar_pull(1.0, value("piston_area"), value("efficiency"))
    elif chuck.largest_pull is not None:
        per_pressure = value("largest_pull") / value("pressure_limit")
    else:
        raise ValueError("a chuck states its piston area or its largest pull")
    points = tuple((p.pressure, p.grip) for p in chuck.grip_points)
    curve = GripCurve(points, chuck.grip_points_height + chuck.guideway_depth) if points else None
    return ChuckDrive(wedge, per_pressure, curve)


def require_stiffnesses(scenario: Scenario) -> None:
    """Refuse stiffnesses of the jaws' drive and guideway that no chuck has."""
    chuck = scenario.chuck
    for name, value, scale, unit, (low, high), why in (
        (
            "radial_stiffness",
            chuck.radial_stiffness,
            1e3,
            "kN/mm",
            RADIAL_STIFFNESS,
            "whole chucks are published at 66 to 216 kN/mm",
        ),
        (
            "tilt_stiffness",
            chuck.tilt_stiffness,
            1e6,
            "kN m/rad",
            TILT_STIFFNESS,
            "10 kN at 80 mm then lean a jaw by 8 to 0.005 mrad",
        ),
        (
            "tangential_stiffness",
            chuck.tangential_stiffness,
            1e3,
            "kN/mm",
            TANGENTIAL_STIFFNESS,
            "leave it out where it is not known",
        ),
    ):
        if value is not None and not low <= value <= high:
            refuse(
                f"chuck.{name}",
                f"must lie between {low / scale:g} and {high / scale:g} {unit} ({why}), found {value / scale:g} {unit}",
            )


def wedge_with(chuck: Chuck, friction: Number) -> Wedge[Number]:
    """Return wedge and guideway of a chuck's jaw at a friction."""
    return Wedge(chuck.wedge_angle, chuck.wedge_depth, chuck.guideway_length, friction)


def locks(chuck: Chuck, friction: Number) -> Flags | bool:
    """Tell whether a friction, 0 or more, holds the jaw in its guideway against any pull."""
    moved: Flags | bool = jaw_force(0.0 * friction + 1.0, 0.0, wedge_with(chuck, friction)) > 0.0
    return np.logical_not(moved)


def require_wedge(scenario: Scenario) -> None:
    """Refuse a wedge that locks the jaw in its guideway."""
    chuck = scenario.chuck
    if locks(chuck, chuck.guideway_friction):
        refuse(
            "chuck.guideway_friction",
            f"must let the wedge move the jaw, but locks it in its guideway, {chuck.guideway_length:g} mm long, "
            f"found {chuck.guideway_friction:g}",
        )
