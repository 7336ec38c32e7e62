"""How each cut of an operation is held, in the pressure of its contact and on its back face."""

from __future__ import annotations

import math

import numpy as np

from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.side import tips_along
from sim.base.arrays import Floats
from sim.contact import ContactResult
from sim.holding import BackFace, HeldFaces, holding, limits_at, pressed
from sim.mechanics.cutting import cut_wrench
from sim.setup.held import HeldZone
from sim.setup.land import COUNTED_WIDTH, LEAST_SUPPORT, overlap
from sim.setup.parts import Parts


def hold_cuts(
    contact: ContactResult,
    back: BackFace | None,
    load: tuple[float, float],
    zone: HeldZone,
    mu: float,
    cuts: tuple[tuple[CutDemand, float], ...],
) -> tuple[CutHolding, ...]:
    """Return how each cut is held.

    Parameters
    ----------
    contact : ContactResult
        The part between the jaws; its pressure is scaled to the grip of each cut.
    back : BackFace or None
        Where the part stands.
    load : (float, float)
        Weight of the part (N) and its arm (mm), as from `sim.assessment.side.weight_load`.
    zone : HeldZone
    mu : float
        Friction of the part in the jaws.
    cuts : tuple of (CutDemand, float)
        Each with the total grip left at its speed, N.
    """
    faces, found = pressed(contact), []
    for demand, grip in cuts:
        cut = np.array(cut_wrench(demand.forces, zone.seat + demand.forces.height - zone.middle))
        found.append(hold_cut(faces, back, load, cut, grip, mu, demand.needed))
    return tuple(found)


def hold_cut(
    faces: HeldFaces,
    back: BackFace | None,
    load: tuple[float, float],
    cut: Floats,
    grip: float,
    mu: float,
    needed: float,
) -> CutHolding:
    """Return how one cut is held.

    Parameters
    ----------
    faces, back : HeldFaces, BackFace or None
        Where the jaws press and the part stands.
    load : (float, float)
        Weight of the part (N) and its arm (mm), as from `sim.assessment.side.weight_load`.
    cut : (6,) array
        Wrench of the cut.
    grip, mu : float
        Total grip left at its speed, N; friction.
    needed : float
        Grip that it needs by closed forms, N.
    """
    weight = _weight(load, cut)
    turn = holding(faces, grip, mu, cut, weight, back)
    at = np.array([turn.spindle_angle])
    kept = limits_at(faces, grip, mu, cut, at, weight, back, "given")[0]
    bare = limits_at(faces, grip, mu, cut, at, weight)[0]
    return CutHolding(grip, turn, kept.factor, bare.factor, grip / needed if needed > 0.0 else math.inf)


def back_face(parts: Parts, index: int, zone: HeldZone) -> BackFace | None:
    """Return where part and jaws meet on the pocket's back face; None where they hardly do.

    As the jaws stand while they are bored: gripping moves them by less than a millimetre.
    """
    scenario = parts.scenario
    found = overlap(parts, index, scenario.boring.travel)
    if found.width < LEAST_SUPPORT:
        return None
    half = math.asin(min(0.8, 0.5 * COUNTED_WIDTH * scenario.soft_jaw.width / found.radius))
    return BackFace(found.radius, zone.seat, half)


def _weight(load: tuple[float, float], cut: Floats) -> Floats:
    """Return the wrench of the part's weight, spindle level: along the side force, as in `sim.assessment.side`."""
    weight, arm = load
    amount = math.hypot(cut[0], cut[1])
    if amount > 0.0:
        x, y = weight * cut[0] / amount, weight * cut[1] / amount
    else:
        x, y = weight * tips_along(float(cut[4]), arm), 0.0
    return np.array([x, y, 0.0, -arm * y, arm * x, 0.0])
