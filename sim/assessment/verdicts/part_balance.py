"""Verdict on the balance of a part from a file whose lugs, flats or holes turn with the spindle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from meshes import workpiece
from meshes.mass import mass_properties
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import rotor_mass, top_jaw
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base import tables
from sim.base.floats import Number
from sim.base.rounding import near
from sim.mechanics import balance
from sim.setup.parts import Parts

UNBALANCE_OF_THE_PART = Rule(
    key="unbalance_of_the_part",
    name="unbalance of the part",
    unit="g mm",
    at_least=False,
    basis="ISO 21940-11, G 6.3, for chuck, jaws and part",
    depends=frozenset({"speed", "geometry"}),
    view="gripped",
    asks="does a part with lugs, flats or holes turn in balance, so that it does not pull itself out of the jaws?",
)


def part_balance_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdict on a part that is no body of revolution, at the highest speed of its operation."""
    if parts.workpieces[figures.index].solid is None:
        return
    speed = figures.operation.gripping.speed_high
    amount, mass = part_off_axis(parts, figures.index)
    rotor = mass + rotor_mass(parts, top_jaw(parts))
    found, permissible = unbalance_of_the_part_and_limit(amount, rotor, speed)
    yield UNBALANCE_OF_THE_PART.verdict(
        figures.operation.name,
        found,
        permissible,
        basis=f"ISO 21940-11, G 6.3 at {speed:.0f} rev/min for chuck, jaws and part",
        message=f"the part of {mass:.2f} kg is {near(found, permissible, 0)} g mm out of balance: "
        f"{balance.unbalance_force(amount, speed):.0f} N across the spindle, which the grip is not judged by.",
        advice="Balance it with a counterweight, or turn slower.",
    )


def part_off_axis(parts: Parts, index: int) -> tuple[float, float]:
    """Return the unbalance of an operation's part, g mm, and its mass, kg."""
    material = tables.material(parts.scenario.operations[index].workpiece.material)
    body = mass_properties(workpiece.mesh(parts.workpieces[index]), material.density)
    return 1e3 * body.mass * math.hypot(float(body.centroid[0]), float(body.centroid[1])), body.mass


def unbalance_of_the_part_and_limit(found: float, rotor: float, speed: Number) -> tuple[float, Number]:
    """Return an unbalance and what is permissible (g mm) of chuck, jaws and part (kg) at a speed, rev/min."""
    return found, balance.permissible_unbalance(rotor, speed)
