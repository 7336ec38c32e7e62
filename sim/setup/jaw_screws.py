"""The screws of the soft jaws: heights of head and nut, mm from the serrated plane, and a made length."""

from __future__ import annotations

from meshes import jaw_screw
from sim.base.tables import thread
from sim.scenario import Scenario

# Lengths of socket head cap screws that are made, mm (ISO 4762, as two open libraries of fasteners have them).
SCREW_LENGTHS = (16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150)


def head_seat(scenario: Scenario) -> float:
    """Return the z (mm) of the counterbores' bottom, on which the screw heads rest, or the washers below them."""
    return scenario.soft_jaw.height - scenario.soft_jaw.screws.counterbore_depth


def head_underside(scenario: Scenario) -> float:
    """Return the z (mm) of the screw heads' undersides; a washer lifts them by its listed thickness."""
    screws = scenario.soft_jaw.screws
    washer = 0.0 if screws.washer_diameter is None else thread(screws.thread).washer_thickness
    return head_seat(scenario) + washer


def head_top(scenario: Scenario) -> float:
    """Return the z (mm) to which the screw heads reach."""
    return head_underside(scenario) + jaw_screw.HEADS[thread(scenario.soft_jaw.screws.thread).diameter].height


def nut_top(scenario: Scenario) -> float:
    """Return the z (mm) of a tightened T-nut's top: its foot bears on the shoulders of the T-slot."""
    return -scenario.master_jaw.slot_neck_depth + scenario.master_jaw.t_nut.neck_height


def screw_dimensions(scenario: Scenario) -> jaw_screw.JawScrew:
    """Return the longest made screw that ends inside the T-nut.

    Raises
    ------
    ValueError
        If no made length reaches at least half a thread diameter into the T-nut.
    """
    nut, size = scenario.master_jaw.t_nut, thread(scenario.soft_jaw.screws.thread).diameter
    most = head_underside(scenario) - nut_top(scenario) + nut.neck_height + nut.height
    lengths = [length for length in SCREW_LENGTHS if length <= most]
    least = head_underside(scenario) - nut_top(scenario) + 0.5 * size
    if not lengths or lengths[-1] < least:
        raise ValueError(
            f"soft_jaw.screws.counterbore_depth must let a screw end in the T-nut, between {least:g} and "
            f"{most:g} mm under its head; no made length does"
        )
    return jaw_screw.JawScrew(size, float(lengths[-1]))
