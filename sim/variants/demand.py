"""What the cuts of an operation's variants ask of the grip: `sim.assessment.demand` with what varies as arrays."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sim.assessment.demand import CutAsked, CutState, cut_asked, friction_of, grip_asked
from sim.assessment.figures.cut import CutDemand
from sim.base.arrays import Floats
from sim.mechanics.cutting import CutForces
from sim.scenario import Scenario
from sim.setup.held import HeldZone
from sim.variants.keys import FORCE_SHARE, Values


def demanded(scenario: Scenario, index: int, number: int, values: Values, zone: HeldZone) -> CutAsked[Floats]:
    """Return what one cut asks of the grip."""
    operation, name = scenario.operations[index], f"operations.{index}"
    state = cut_state(f"{name}.cuts.{number}", values)
    speeds = values(f"{name}.gripping.speed_low"), values(f"{name}.gripping.speed_high")
    low, high = (values(f"{name}.workpiece.gripped_diameter_{end}") for end in ("low", "high"))
    mu, share = friction(scenario, index, values), values(f"{name}.{FORCE_SHARE}")
    material, size = scenario.metal(operation.workpiece.material), 0.5 * (low + high)
    return cut_asked(operation.cuts[number], state, material, speeds, zone, size, mu, share)


def moves_demanded(
    scenario: Scenario, index: int, values: Values, zone: HeldZone, moves: Iterable[CutDemand]
) -> tuple[CutAsked[Floats], ...]:
    """Return what moves of a program ask of the grip, each at the speed that it was judged at."""
    name = f"operations.{index}"
    low, high = (values(f"{name}.workpiece.gripped_diameter_{end}") for end in ("low", "high"))
    mu, share = friction(scenario, index, values), values(f"{name}.{FORCE_SHARE}")
    found = []
    for move in moves:
        stated = move.forces
        forces = CutForces(
            share * stated.tangential,
            share * stated.feed,
            share * stated.passive,
            stated.diameter,
            stated.height,
            stated.feed_towards,
            stated.kind,
            stated.off_axis,
            stated.impact,
        )
        asked = grip_asked(forces, zone, 0.5 * (low + high), mu)
        found.append(CutAsked(np.full(values.count, move.speed), forces, asked))
    return tuple(found)


def cut_state(name: str, values: Values) -> CutState[Floats]:
    """Return the state of the cut of a dotted name."""

    def stated(key: str) -> Floats | None:
        return values(f"{name}.{key}") if values.states(f"{name}.{key}") else None

    measured = None
    if values.states(f"{name}.forces"):
        main, feed, passive = (values(f"{name}.forces.{of}") for of in ("tangential", "feed", "passive"))
        measured = main, feed, passive
    return CutState(
        values(f"{name}.feed"),
        values(f"{name}.depth_of_cut"),
        values(f"{name}.wear_factor"),
        stated("speed"),
        stated("cutting_speed"),
        measured,
    )


def friction(scenario: Scenario, index: int, values: Values) -> Floats:
    """Return the friction of the part in the jaws: as stated, else the low value of its pairing."""
    key = f"operations.{index}.gripping.friction"
    if values.states(key):
        return values(key)
    return np.full(values.count, friction_of(scenario, index))
