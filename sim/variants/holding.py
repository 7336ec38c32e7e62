"""The holding factor of each cut over arrays, from linear programs at the points of a grid.

The jaws' forces, their friction and all loads scale together: at the grip G, the factor of a cut of force Q beside the
weight W is G mu / Q times a function of W / G, of the friction mu and of how the pressure is spread. That function
hardly depends on the spread and is nearly linear in W / G, so its grid is coarse. The cut's direction is its own: by
Kienzle, feed and passive force stay in one ratio to the cutting force. The grip that a cut asks for is Q / mu times
a function of W / Q, mu and the spread: the grip that is there plays no part.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.holding import asked_for_times, back_face, grip_asked_for, hold_cut, hold_weight
from sim.assessment.side import PartWeight, weight_load
from sim.assessment.supports import Props, prop_cases
from sim.base.arrays import Floats
from sim.contact import press
from sim.holding import Prop, pressed
from sim.mechanics.cutting import cut_wrench
from sim.setup.parts import Parts
from sim.variants.contact import ContactFit, ContactPoint, ContactTables, Question
from sim.variants.table import Axis

FRICTION_STEP, WEIGHT_STEP, PROP_STEP = 0.25, 2.0, 0.1
CUT_STEP, ALONE_STEP = 0.1, 0.5  # of a cut beside what bears the part, and beside its weight alone
TIPPING = 2.0  # coarseness for what the jaws' pressure alone keeps from tipping: it depends on how that lies
ALIKE, UNLIKE = 16.0, 4.0  # coarseness for jaws that carry alike, and for jaws that stand off by serrations
TOLERANCE = 0.02  # share by which a factor between grid points may be off
FOR_EVER = 1e9  # a factor beyond is one that nothing moves


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """One cut's variants, (n,) arrays.

    Attributes
    ----------
    grip : array
        Left at its speed, N.
    factor, without_back_face : array
        Holding factor, and that without the back face, no unit.
    asked : array
        Grip that it asks for, N, as `sim.assessment.holding.asked_for_times` tells it.
    """

    grip: Floats
    factor: Floats
    without_back_face: Floats
    asked: Floats


class Holdings:
    """How cuts of one operation are held.

    Parameters
    ----------
    parts, figures : Parts, OperationFigures
        Of the judged setup.
    contact : ContactTables
    demands : tuple of CutDemand
        The cuts, their forces as the scenario gives them.
    name : str
        By which their grids are told from those of other cuts.
    """

    def __init__(
        self,
        parts: Parts,
        figures: OperationFigures,
        contact: ContactTables,
        demands: tuple[CutDemand, ...],
        name: str,
    ) -> None:
        self._figures, self._contact, self._demands = figures, contact, demands
        self._back = back_face(parts, figures.index, figures.zone)
        self._load = weight_load(parts, figures.index, figures.zone)
        self._props = prop_cases(figures.operation, figures.zone.seat)
        coarseness = _coarseness(parts)
        # What bears the part may be as large as the grip: its share then moves the factor far more than a weight does.
        scale = Axis("log", PROP_STEP) if any(self._props) else Axis("sinh", WEIGHT_STEP, 0.02)
        axes = {"friction": _friction(), "weight": scale}
        self._questions = tuple(
            contact.known(Question(f"holding of {name} {k}", self._answer(k), 2, coarseness, axes))
            for k in range(len(demands))
        )
        further = {"friction": _friction(), "cut": Axis("log", CUT_STEP if any(self._props) else ALONE_STEP)}
        # Two questions, since an emulator learns one from the cuts that it is asked for first.
        self._once, self._often = (
            tuple(
                contact.known(
                    Question(f"grip asked for {often} by {name} {k}", self._asks(k), 1, coarseness, further)
                )
                for k in range(len(demands))
            )
            for often in ("once", "often")
        )

    def held(
        self,
        number: int,
        closing: Floats,
        fit: ContactFit,
        grip: Floats,
        mu: Floats,
        tangential: Floats,
        times: Floats,
    ) -> Held:
        """Return how a cut is held.

        Parameters
        ----------
        number : int
            Of the cut.
        closing : (n,) array
            Force under which the pressure is spread, N.
        fit : ContactFit
        grip, mu, tangential : (n,) arrays
            Total grip left at the cut's speed (N), friction, cutting force (N).
        times : (n,) array
            How many times it shall be held.
        """
        factor, bare = np.zeros(grip.size), np.zeros(grip.size)
        own = self._figures
        same = mu == own.grip.friction
        for rows, varies in ((same & (grip > 0.0), False), (~same & (grip > 0.0), True)):
            if not rows.any():
                continue
            further = {"weight": self._load.amount / grip[rows], **({"friction": mu[rows]} if varies else {})}
            per = self._contact(self._questions[number], closing[rows], fit.only(rows), further)
            stated = self._demands[number].forces.tangential
            scale = grip[rows] * mu[rows] * stated / tangential[rows]
            factor[rows], bare[rows] = per[:, 0] * scale, per[:, 1] * scale
        share = tangential / self._demands[number].forces.tangential
        once = self._grip_for(self._once[number], closing, fit, mu, share)
        often = self._grip_for(self._often[number], closing, fit, mu, times * share)
        return Held(grip, factor, bare, asked_for_times(once, often, times))

    def _grip_for(
        self, question: Question, closing: Floats, fit: ContactFit, mu: Floats, share: Floats
    ) -> Floats:
        """Return the grip that a cut of such a share of its stated force asks for, N, (n,)."""
        found = np.zeros(mu.size)
        same = mu == self._figures.grip.friction
        for rows, varies in ((same, False), (~same, True)):
            if rows.any():
                further = {"cut": share[rows], **({"friction": mu[rows]} if varies else {})}
                per = self._contact(question, closing[rows], fit.only(rows), further)
                found[rows] = per[:, 0] * share[rows] / mu[rows]
        return found

    def _asks(self, number: int) -> Callable[[ContactPoint], Floats]:
        cut = self._wrench(number)

        def answer(point: ContactPoint) -> Floats:
            faces = pressed(press(point.setup, prepared=point.ready))
            mu = point.at.get("friction", self._figures.grip.friction)
            # Loads scale together: a cut twice as heavy is this cut beside half of all else.
            load, props = self._beside(1.0 / point.at["cut"])
            return np.array([mu * grip_asked_for(faces, self._back, load, cut, mu, props)])

        return answer

    def _wrench(self, number: int) -> Floats:
        forces, zone = self._demands[number].forces, self._figures.zone
        return np.array(cut_wrench(forces, zone.seat + forces.height - zone.middle))

    def _beside(self, share: float) -> tuple[PartWeight, tuple[Props, ...]]:
        """Return the weight, and what bears the part, all as such a share of what they are."""
        props = tuple(
            tuple(Prop(p.height, share * p.push, share * p.across) for p in case) for case in self._props
        )
        return replace(self._load, amount=share * self._load.amount), props

    def _answer(self, number: int) -> Callable[[ContactPoint], Floats]:
        own = self._figures
        cut = self._wrench(number)

        def answer(point: ContactPoint) -> Floats:
            faces = pressed(press(point.setup, prepared=point.ready))
            grip = own.grip.rest_total
            mu = point.at.get("friction", own.grip.friction)
            load, props = self._beside(point.at["weight"] * grip / self._load.amount)
            found = hold_cut(faces, self._back, load, cut, grip, mu, 0.0, props)
            both = np.array([found.factor, found.without_back_face])
            return np.asarray(np.minimum(both, FOR_EVER) / (grip * mu))

        return answer


class WeightHeld:
    """How many times the jaws alone hold the weight of one operation's part.

    Parameters
    ----------
    parts, figures : Parts, OperationFigures
        Of the judged setup.
    contact : ContactTables
    """

    def __init__(self, parts: Parts, figures: OperationFigures, contact: ContactTables) -> None:
        self._figures, self._contact = figures, contact
        self._back = back_face(parts, figures.index, figures.zone)
        self._load = weight_load(parts, figures.index, figures.zone)
        self._question = contact.known(
            Question("holding of the weight", self._answer, 1, TIPPING, {"friction": _friction()})
        )

    def factor(self, closing: Floats, fit: ContactFit, grip: Floats, mu: Floats) -> Floats:
        """Return the factors, (n,), of total grips counted (N) and frictions, pressed by closing forces (N)."""
        found = np.zeros(grip.size)
        same = mu == self._figures.grip.friction
        for rows, varies in ((same & (grip > 0.0), False), (~same & (grip > 0.0), True)):
            if rows.any():
                further = {"friction": mu[rows]} if varies else {}
                per = self._contact(self._question, closing[rows], fit.only(rows), further)
                found[rows] = per[:, 0] * grip[rows] * mu[rows]
        return found

    def _answer(self, point: ContactPoint) -> Floats:
        own = self._figures
        faces = pressed(press(point.setup, prepared=point.ready))
        grip, mu = own.grip.rest_total, point.at.get("friction", own.grip.friction)
        factor = hold_weight(faces, self._back, self._load, grip, mu).factor
        return np.array([min(factor, FOR_EVER) / (grip * mu)])


def _coarseness(parts: Parts) -> float:
    return UNLIKE if any(parts.scenario.soft_jaw.serrations_off) else ALIKE


def _friction() -> Axis:
    return Axis("log", FRICTION_STEP)
