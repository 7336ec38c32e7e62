"""What was bored out of the jaws before. Lengths in mm."""

from __future__ import annotations

import math

import trimesh

from meshes import soft_jaw
from meshes.pocket import removed_inside, removed_outside
from sim.base.arrays import Floats
from sim.base.errors import in_field
from sim.scenario import Scenario
from sim.setup.dimensions import pocket_dimensions


def earlier_inner_end(scenario: Scenario, number: int) -> float:
    """Return the radius (mm) at which the jaws' inner ends stood when they were bored before."""
    jaw, bored = scenario.soft_jaw, scenario.soft_jaw.bored_before[number]
    opened = jaw.mounting_radius + bored.serration_index * scenario.chuck.serration_pitch
    return opened + (bored.travel - scenario.chuck.stroke if bored.direction == "inside" else -bored.travel)


def earlier_bore(scenario: Scenario, number: int) -> tuple[float, Floats]:
    """Return radius (mm) of the inner end and outline (r, z) of what was removed when the jaws were bored before.

    Raises
    ------
    ValueError
        If the pockets do not nest.
    """
    jaw, bored = scenario.soft_jaw, scenario.soft_jaw.bored_before[number]
    inner = earlier_inner_end(scenario, number)
    pockets = tuple(pocket_dimensions(p) for p in bored.pockets)
    if bored.direction == "outside":
        return inner, removed_outside(pockets, jaw.height, bored.through_diameter)
    beyond = math.hypot(max(inner, 0.0) + jaw.length, 0.5 * jaw.width) + 5.0
    return inner, removed_inside(pockets, jaw.height, beyond)


def earlier_bores(scenario: Scenario) -> tuple[tuple[float, Floats], ...]:
    """Return `earlier_bore` of each, in their order."""
    found = []
    for number in range(len(scenario.soft_jaw.bored_before)):
        with in_field(f"soft_jaw.bored_before[{number}]"):
            found.append(earlier_bore(scenario, number))
    return tuple(found)


def as_found(blank: trimesh.Trimesh, earlier: tuple[tuple[float, Floats], ...]) -> trimesh.Trimesh:
    """Return the jaw as it is before it is bored now: the blank less all earlier borings, from `earlier_bores`."""
    for number, (inner, outline) in enumerate(earlier):
        with in_field(f"soft_jaw.bored_before[{number}]"):
            blank = soft_jaw.bored(blank, outline, inner)
    return blank
