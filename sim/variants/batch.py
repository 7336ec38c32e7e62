"""One operation's variants: their sizes, grip and cuts, and the two states in which the part is clamped."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sim.assessment.demand import CutAsked
from sim.assessment.turning_masses import uncommon_masses
from sim.base.arrays import Floats
from sim.base.gripping import Direction
from sim.mechanics.spin import mass_pulls, pressed_at_speed
from sim.variants.contact import ContactFit
from sim.variants.grip import VariantGrip
from sim.variants.holding import Held
from sim.variants.keys import JAW_MODULUS_SHARE, MODULUS_SHARE, Values
from sim.variants.ready import Variants
from sim.variants.travel import Sizes


@dataclass(frozen=True, slots=True, eq=False)
class OperationBatch:
    """One operation's variants.

    Attributes
    ----------
    where : Sizes
    grip : VariantGrip
    cuts, held : tuples with one for each cut
        What it asks, N and N mm, and how it is held.
    moves, moves_held : tuples with one for each move of its program that is looked at
        The same of that, N and N mm; empty without one.
    pushing : tuple of (n,) arrays
        Largest side force of the program's moves, N, for each way in which it may run.
    alone : (n,) array or None
        How many times the jaws alone hold the weight, no unit; None where that is not asked.
    """

    index: int
    where: Sizes
    grip: VariantGrip
    cuts: tuple[CutAsked[Floats], ...]
    held: tuple[Held, ...]
    moves: tuple[CutAsked[Floats], ...]
    moves_held: tuple[Held, ...]
    pushing: tuple[Floats, ...]
    alone: Floats | None

    @property
    def needed(self) -> Floats:
        """Grip that the worst cut or move asks for, N, (n,)."""
        return np.asarray(np.max([h.asked for h in (*self.held, *self.moves_held)], axis=0))

    @property
    def factor(self) -> Floats:
        """Least holding factor of the cuts, (n,)."""
        return np.asarray(np.min([h.factor for h in self.held], axis=0))


def fit_of(index: int, values: Values, where: Sizes, diameter: Floats) -> ContactFit:
    """Return what decides the contact at a gripped diameter, mm."""
    shares = (values(f"operations.{index}.{MODULUS_SHARE}"), values(JAW_MODULUS_SHARE))
    return ContactFit(0.5 * diameter, where.out_of_round, *shares)


def fits_of(index: int, values: Values, where: Sizes) -> list[ContactFit]:
    """Return that for the middle, the smallest and the largest part within the tolerance."""
    return [fit_of(index, values, where, size) for size in (where.middle, where.low, where.high)]


class States:
    """Each variant at rest and at its highest speed, asked in one batch: rows at rest, then rows at speed.

    Where nothing is left at speed the row at rest stands twice.
    """

    def __init__(self, grip: VariantGrip, pulls: Floats, direction: Direction) -> None:
        fast = pressed_at_speed(grip.largest, grip.high_speed, direction)
        held = fast > 0.0
        self.force = np.concatenate([grip.rest, np.where(held, fast, grip.rest)])
        self.pulls = np.concatenate([np.zeros_like(pulls), np.where(held[:, None], pulls, 0.0)])

    def both(self, fit: ContactFit) -> ContactFit:
        """Return a fit for both states."""
        return ContactFit(*(np.concatenate([of, of]) for of in (getattr(fit, f.name) for f in fields(fit))))

    def split(self, found: Floats) -> Floats:
        """Return answers by state, (2, n, ...)."""
        return found.reshape(2, -1, *found.shape[1:])


def states_of(ready: Variants, batch: OperationBatch) -> States:
    """Return the states of an operation's variants."""
    top, scenario = ready.top, ready.parts.scenario
    radius = top.radius + top.radius_per_travel * batch.where.grip_travel
    pulls = np.stack(mass_pulls(uncommon_masses(scenario), radius, batch.grip.speed_high), axis=1)
    return States(batch.grip, pulls, ready.parts.direction)
