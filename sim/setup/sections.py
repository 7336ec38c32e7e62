"""Which section of its metal a body has, and so what it bears: thick metal yields sooner. The one place that asks.

Standards state a yield strength for the thickness in which the metal was rolled, drawn, hardened or cast, not for
what is left of it after turning. A scenario states that thickness nowhere, so the thickest that is usual is taken:

- jaw: the bar that the blank is sawn from; it has two of the blank's three dimensions, so it is at most as thick as the
  middle one. A sector may be sawn out of a bar as wide as all three together, which nothing states: the least strength.
- turned part: a round bar a tenth over the part's largest diameter in any operation on the same material.
- cast part: the largest circle in the half section and what is turned off on both sides. Of a plate that is its
  thickness, of a solid bar half its diameter, which cools as a plate of that thickness does (volume over surface).
- fixture: a round bar a tenth over its diameter.

What is thicker than all that the table lists has the least strength listed (`Material.of_section`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import shapely

from meshes.points import Outline
from sim.base.tables import Material, material
from sim.scenario import NoFixture, OuterRing, Plug, Ring, Scenario
from sim.scenario.soft_jaw import SoftJaw

STOCK = 1.1  # diameter of a bar over that of what is turned from it (common practice, no source)
RESOLVED = 0.01  # mm of radius
CAST_ALLOWANCE = 3.0  # mm turned off each side of a casting's wall (common practice, no source)


def jaw_section(jaw: SoftJaw) -> float:
    """Return the thickness (mm) of the bar that a blank may be sawn from; without end if that is not known."""
    if jaw.sector_angle is not None:
        return math.inf
    return sorted((jaw.length, jaw.width, jaw.height))[1]


def bar_section(diameter: float) -> float:
    """Return the diameter (mm) of the bar that a body of a largest diameter (mm) is turned from."""
    return STOCK * diameter


@cache
def cast_section(outline: Outline) -> float:
    """Return the thickest wall (mm) of the casting that a part of an outline (r, z) (mm) is turned from."""
    radius = shapely.maximum_inscribed_circle(shapely.Polygon(outline), tolerance=RESOLVED)
    return 2.0 * float(radius.length) + 2.0 * CAST_ALLOWANCE


def jaw_metal(scenario: Scenario) -> Material:
    """Return the soft jaws' material with the yield strength of their section; KeyError if there is none."""
    return scenario.metal(scenario.soft_jaw.material).of_section(jaw_section(scenario.soft_jaw))


def part_metal(scenario: Scenario, index: int) -> Material:
    """Return the material of an operation's part with the yield strength of its section."""
    found = scenario.metal(scenario.operations[index].workpiece.material)
    same = [o.workpiece.outline for o in scenario.operations if o.workpiece.material == found.name]
    if found.cast:
        return found.of_section(max(cast_section(outline) for outline in same))
    return found.of_section(bar_section(2.0 * max(r for outline in same for r, _ in outline)))


def fixture_metal(
    fixture: Ring | Plug | OuterRing | NoFixture, named: Callable[[str], Material] = material
) -> Material:
    """Return a fixture's material with the yield strength of its section; TypeError if there is no fixture.

    `named` gives the material of a name: a scenario's `metal`, which knows its own ones too.
    """
    if isinstance(fixture, NoFixture):
        raise TypeError("without a fixture nothing bears")
    across = fixture.diameter if isinstance(fixture, Plug) else fixture.outer_diameter
    return named(fixture.material).of_section(bar_section(across))
