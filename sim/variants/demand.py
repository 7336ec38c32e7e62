"""What the cuts of an operation's variants ask of the grip: `sim.assessment.demand` with what varies as arrays."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.demand import CutState, forces_in, grip_asked, speed_asked, speed_within
from sim.base import tables
from sim.base.arrays import Floats
from sim.scenario import Scenario
from sim.setup.held import HeldZone
from sim.variants.keys import FORCE_SHARE, Values


@dataclass(frozen=True, slots=True, eq=False)
class Demanded:
    """One cut's variants, (n,) arrays: spindle speed (rev/min); cutting force, side force, grip by closed forms, N."""

    speed: Floats
    tangential: Floats
    side: Floats
    needed: Floats


def demanded(scenario: Scenario, index: int, number: int, values: Values, zone: HeldZone) -> Demanded:
    """Return what one cut asks of the grip."""
    operation, name = scenario.operations[index], f"operations.{index}"
    cut, state = operation.cuts[number], cut_state(f"{name}.cuts.{number}", values)
    asked = speed_asked(cut, state)
    low, high = (values(f"{name}.gripping.speed_{end}") for end in ("low", "high"))
    speed = speed_within(cut, asked, low, high)
    forces = forces_in(cut, state, operation.workpiece.material, np.minimum(speed, asked))
    share = values(f"{name}.{FORCE_SHARE}")
    forces = replace(
        forces,
        tangential=share * forces.tangential,
        feed=share * forces.feed,
        passive=share * forces.passive,
    )
    low, high = (values(f"{name}.workpiece.gripped_diameter_{end}") for end in ("low", "high"))
    load = grip_asked(forces, zone, 0.5 * (low + high), friction(scenario, index, values))
    return Demanded(speed, forces.tangential, load.side, load.needed.total)


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
    of_table = tables.friction(scenario.operations[index].gripping.pairing).low
    if values.states(key):
        # A scenario that states 0 gets the table's value, as in `check`.
        stated = values(key)
        return np.where(stated == 0.0, of_table, stated)
    return np.full(values.count, of_table)
