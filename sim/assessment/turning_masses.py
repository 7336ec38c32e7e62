"""What pulls a jaw outward as the chuck turns: masses and where they are; masses in kg, radii in mm."""

from __future__ import annotations

import math

from meshes.mass import mass_properties
from sim.base import tables
from sim.mechanics import spin
from sim.scenario import Scenario
from sim.setup.parts import Parts
from sim.setup.seat import seat


def turning_masses(parts: Parts, travel: float) -> tuple[spin.TurningMass, ...]:
    """Return mass and centroid radius of everything that pulls one jaw outward, the soft jaw first, as bored.

    What the three jaws weigh beyond the bored blank counts with a third of its sum, where the soft jaw has its centre
    of mass; how far each differs from that is `uncommon_masses`.
    """
    scenario = parts.scenario
    inner, master = parts.place.inner(travel), parts.place.master_inner(travel)
    top = mass_properties(parts.bored, parts.jaw_material.density)
    base = mass_properties(parts.master, tables.STEEL_DENSITY)
    nut = mass_properties(parts.nut, tables.STEEL_DENSITY)
    screw = mass_properties(parts.screw, tables.STEEL_DENSITY)
    masses = [
        spin.TurningMass(top.mass, inner + float(top.centroid[0])),
        spin.TurningMass(base.mass, master + float(base.centroid[0])),
    ]
    positions = scenario.soft_jaw.screws.positions
    if len(positions) < 2:
        # The lightness of a jaw that lacks a screw is no merit: it counts as far out as one can stand.
        positions = (*positions, seat(scenario).outer - 0.5 * scenario.master_jaw.t_nut.length)
    for position in positions:
        masses.append(spin.TurningMass(nut.mass, inner + position))
        masses.append(spin.TurningMass(screw.mass, inner + position))
    masses.append(spin.TurningMass(_common_mass(scenario), masses[0].radius))
    return tuple(masses)


def _common_mass(scenario: Scenario) -> float:
    return math.fsum(scenario.soft_jaw.mass_differences) / 3.0


def uncommon_masses(scenario: Scenario) -> tuple[float, float, float]:
    """Return what each soft jaw weighs beyond the mean of the three, kg."""
    first, second, third = (m - _common_mass(scenario) for m in scenario.soft_jaw.mass_differences)
    return (first, second, third)
