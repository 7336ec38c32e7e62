"""How each cut of an operation is held, in the pressure of its contact and on its back face."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import chain
from operator import attrgetter

import numpy as np

from sim.assessment.bodies import contact_setup
from sim.assessment.clamping import prepared_contact
from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.side import PartWeight, tips_along, weight_load
from sim.assessment.supports import Props, prop_cases
from sim.base.arrays import Floats
from sim.base.floats import Number, larger
from sim.contact import ContactResult, GripLoad, press
from sim.holding import BackFace, HeldFaces, Holding, holding, least_grip, limits_at, pressed
from sim.mechanics.cutting import cut_wrench
from sim.setup.held import HeldZone
from sim.setup.land import COUNTED_WIDTH, LEAST_SUPPORT, overlap
from sim.setup.parts import Parts

SAME_FACTOR = 1e-9  # share by which factors differ that are the same but for rounding

_factor = attrgetter("factor")


def hold_cuts(
    contact: ContactResult,
    back: BackFace | None,
    load: PartWeight,
    zone: HeldZone,
    mu: float,
    cuts: tuple[tuple[CutDemand, float], ...],
    props: tuple[Props, ...],
    times: float,
) -> tuple[CutHolding, ...]:
    """Return how each cut is held.

    Parameters
    ----------
    contact : ContactResult
        The part between the jaws; its pressure is scaled to the grip of each cut.
    back : BackFace or None
        Where the part stands.
    load : PartWeight
    zone : HeldZone
    mu : float
        Friction of the part in the jaws.
    cuts : tuple of (CutDemand, float)
        Each with the total grip left at its speed, N.
    props : tuple of tuple of Prop
        What else bears the part, as from `sim.assessment.supports.prop_cases`.
    times : float
        How many times each shall be held.
    """
    faces, found = pressed(contact), []
    for demand, grip in cuts:
        cut = _wrench(demand, zone)
        held = hold_cut(faces, back, load, cut, grip, mu, demand.needed, props)
        once, often = (grip_asked_for(faces, back, load, one, mu, props) for one in (cut, times * cut))
        found.append(replace(held, asked=asked_for_times(once, often, times)))
    return tuple(found)


def hold_cut(
    faces: HeldFaces,
    back: BackFace | None,
    load: PartWeight,
    cut: Floats,
    grip: float,
    mu: float,
    needed: float,
    props: tuple[Props, ...] = ((),),
) -> CutHolding:
    """Return how one cut is held.

    Parameters
    ----------
    faces, back : HeldFaces, BackFace or None
        Where the jaws press and the part stands.
    load : PartWeight
    cut : (6,) array
        Wrench of the cut.
    grip, mu : float
        Total grip left at its speed, N; friction.
    needed : float
        Grip that it needs by closed forms, N.
    props : tuple of tuple of Prop
        What else bears the part; the worst of these cases counts.
    """
    weights = _weights(load, cut)
    turns = [
        (holding(faces, grip, mu, cut, weight, back, props=case), weight, case)
        for weight in weights
        for case in props
    ]
    turn = min((found for found, _, _ in turns), key=_factor)
    # Weights, cases and angles at which it is held alike: which of them was found first, or came out least by rounding,
    # may not decide what is told beside.
    bound = turn.factor * (1.0 + SAME_FACTOR)
    alike = [
        (found.angles[found.factors <= bound], weight, case)
        for found, weight, case in turns
        if found.factor <= bound
    ]
    standing = (
        limits_at(faces, grip, mu, cut, at, weight, back, "given", case) for at, weight, case in alike
    )
    kept = min(chain.from_iterable(standing), key=_factor)
    if any(props):
        # Without them the worst may lie at another angle, and at another weight.
        bare = min((holding(faces, grip, mu, cut, one).limit for one in weights), key=_factor)
    else:
        hanging = (limits_at(faces, grip, mu, cut, at, weight) for at, weight, _ in alike)
        bare = min(chain.from_iterable(hanging), key=_factor)
    return CutHolding(grip, turn, kept.factor, bare.factor, grip / needed if needed > 0.0 else math.inf)


def grip_asked_for(
    faces: HeldFaces,
    back: BackFace | None,
    load: PartWeight,
    cut: Floats,
    mu: float,
    props: tuple[Props, ...] = ((),),
) -> float:
    """Return the least total grip (N) that holds a cut once, and the part before it, whatever grip is there."""
    weights = _weights(load, cut)
    return max(least_grip(faces, mu, cut, one, back, props=case) for one in weights for case in props)


def asked_for_times(once: Number, often: Number, times: Number | float) -> Number:
    """Return the grip (N) of which a cut is asked to be held so many `times`.

    What a centre bears does not grow with the cut: it may carry a cut once, and not twice. What a cut asks for then is
    more than once tells: its share of `often`, what the cut so many times as heavy asks for.
    """
    return larger(once, often / times)


def grip_to_hold(
    parts: Parts, figures: OperationFigures, rest: float | None = None
) -> Callable[[CutDemand, float], float]:
    """Return what tells the total grip (N), at a cut's speed, that just holds so many times that cut.

    So many times as heavy a cut beside what does not grow with it: the part's weight, and what a centre pushes.
    `rest` is the grip at rest (N) under which the pressure lies as it then does; None for that of now.
    """
    contact = figures.clamping.rest if rest is None else _pressed_with(parts, figures, rest)
    faces, back = pressed(contact), back_face(parts, figures.index, figures.zone)
    load, props = (
        weight_load(parts, figures.index, figures.zone),
        prop_cases(figures.operation, figures.zone.seat),
    )

    def asked(demand: CutDemand, times: float) -> float:
        cut = times * _wrench(demand, figures.zone)
        return grip_asked_for(faces, back, load, cut, figures.grip.friction, props)

    return asked


def _pressed_with(parts: Parts, figures: OperationFigures, rest: float) -> ContactResult:
    """Return the part between the jaws under a total grip at rest, N."""
    model = figures.clamping.model
    setup = contact_setup(parts, figures.index, figures.zone, model)
    ready = prepared_contact(parts, figures.index, figures.zone, model)
    return press(replace(setup, load=GripLoad(rest)), prepared=ready)


def hold_weight(faces: HeldFaces, back: BackFace | None, load: PartWeight, grip: float, mu: float) -> Holding:
    """Return how many times a total grip (N) holds the part's weight, nothing else bearing it.

    `back` is where it stands; of a spindle that is not upright that is no help that is always there.
    """
    if load.axis == "level":
        weight = np.array([load.amount, 0.0, 0.0, 0.0, load.arm * load.amount, 0.0])
    else:
        weight = np.array([0.0, 0.0, load.along, 0.0, 0.0, 0.0])
    return holding(faces, grip, mu, weight, None, back if load.axis == "upright" else None)


def hangs(load: PartWeight, back: BackFace | None) -> bool:
    """Tell whether friction in the jaws alone keeps the part from falling along the spindle."""
    return load.axis == "hanging" or (load.axis == "upright" and back is None)


def back_face(parts: Parts, index: int, zone: HeldZone) -> BackFace | None:
    """Return where part and jaws meet on the pocket's back face; None where they hardly do.

    As the jaws stand while they are bored: gripping moves them by less than a millimetre.
    """
    scenario = parts.scenario
    found = overlap(parts, index, scenario.boring.travel)
    if found.width < LEAST_SUPPORT:
        return None
    return BackFace(found.radius, zone.seat, parts.place.counted_half_angle(found.radius, COUNTED_WIDTH))


def _wrench(demand: CutDemand, zone: HeldZone) -> Floats:
    return np.array(cut_wrench(demand.forces, zone.seat + demand.forces.height - zone.middle))


def _weights(load: PartWeight, cut: Floats) -> tuple[Floats, ...]:
    """Return the wrenches of the part's weight of which the worst is judged.

    Of a spindle that does not lie level the weight may help to hold a cut; it is taken off with the chips, so that it
    is judged without, too.
    """
    if load.axis == "level":
        return (_across(load, cut),)
    return np.array([0.0, 0.0, load.along, 0.0, 0.0, 0.0]), np.zeros(6)


def _across(load: PartWeight, cut: Floats) -> Floats:
    """Return the wrench of the part's weight, spindle level: along the side force, as in `sim.assessment.side`."""
    weight, arm = load.amount, load.arm
    amount = math.hypot(cut[0], cut[1])
    if amount > 0.0:
        x, y = weight * cut[0] / amount, weight * cut[1] / amount
    else:
        x, y = weight * tips_along(float(cut[4]), arm), 0.0
    return np.array([x, y, 0.0, -arm * y, arm * x, 0.0])
