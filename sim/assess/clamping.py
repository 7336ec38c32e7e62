"""The part clamped in the jaws: pressure at the lowest speed, least grip under the worst side force, roundness.

Two models of the bodies: 'foundation' (columns, milliseconds, order of magnitude) and 'elastic' (finite elements of
part and jaw, seconds the first time, then kept in the user's cache folder).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sim import distortion, tables
from sim.assess.bodies import FREE_FACE, ContactModel, contact_setup, off_first_jaw, reported_surfaces, wall
from sim.assess.side import SideLoad
from sim.assessment import ClampingFigures
from sim.contact import (
    ClampedShape,
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    GripLoad,
    Prepared,
    Revolution,
    band_means,
    clamped_shape,
    default_cache,
    face_flatness_um,
    jaw_opening,
    loss_share,
    prepare,
    press,
    revolve,
    taper_to_bore,
    turned,
)
from sim.errors import ScenarioError
from sim.parts import HeldZone, Parts, face_half_chord
from sim.scenario import Workpiece

SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore
SPINDLE_ANGLES = 12  # over one turn; multiples of 60 deg off the load are the worst for three equal jaws


@dataclass(frozen=True, slots=True)
class Clamping:
    """Forces on the clamped part, N.

    Attributes
    ----------
    rest, low_speed, high_speed : float
        Total grip at rest, at the lowest and at the highest speed.
    side : SideLoad
        Worst load across the spindle.
    outward : float
        Centrifugal force of one jaw at the highest speed.
    differences : (float, float, float)
        Of each jaw beyond that, by its own mass.
    boring : float
        Per jaw while boring, as felt at the gripped height.
    """

    rest: float
    low_speed: float
    high_speed: float
    side: SideLoad
    outward: float
    differences: tuple[float, float, float]
    boring: float


def clamp(
    parts: Parts,
    index: int,
    zone: HeldZone,
    forces: Clamping,
    model: ContactModel,
    ready: Prepared | None = None,
) -> ClampingFigures:
    """Press the jaws on the part of an operation; `ready` are its bodies from `prepared_contact`, if at hand.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    ContactNotConverged
        If the part without side load is not balanced between the jaws.
    """
    # Where nothing is left at the lowest speed, show the part at rest: the verdicts on grip fail by themselves.
    closing = forces.low_speed or forces.rest
    setup = contact_setup(parts, index, zone, closing, model)
    surfaces = reported_surfaces(parts, index, zone)
    ready = ready or prepared_contact(parts, index, zone, model)
    contact = press(setup, prepared=ready)
    opening = jaw_opening(contact, ready)
    shape = clamped_shape(contact, ready) if model == "elastic" else None
    roundness, basis = _roundness(parts, index, zone, closing / 3.0, shape)
    peak = float(band_means(contact).max())
    for limit in _at_limits_of_size(setup, parts.scenario.operations[index].workpiece, ready):
        peak = max(peak, float(band_means(limit).max()))
        if shape is not None:
            roundness = max(roundness, float(clamped_shape(limit, ready).roundness_um[0]))
    turn, unsupported = None, None
    if forces.high_speed > 0.0:
        fast = contact_setup(parts, index, zone, forces.high_speed, model, _turning_load(parts, forces))
        turn, unsupported = _one_turn(fast, ready)
    return ClampingFigures(
        model=model,
        contact=contact,
        band_peak=peak,
        revolution=turn,
        unsupported_least=unsupported,
        side=forces.side.amount,
        roundness=roundness,
        roundness_basis=basis,
        shape=shape,
        surfaces=tuple(name for name, _ in surfaces),
        flatness=math.nan if shape is None else _flatness(shape, surfaces),
        opening=opening,
        taper=taper_to_bore(opening, closing / 3.0, forces.boring, zone.length),
        loss_share=_loss(setup, contact, forces.outward, ready),
    )


def prepared_contact(parts: Parts, index: int, zone: HeldZone, model: ContactModel) -> Prepared:
    """Return the bodies of an operation made ready for contact, whatever the loads and the part's size.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    """
    places = np.array([place for _, place in reported_surfaces(parts, index, zone)])
    try:
        setup = contact_setup(parts, index, zone, 1.0, model)  # its load does not matter
        return prepare(setup, places if model == "elastic" else None, default_cache())
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def _at_limits_of_size(setup: ContactSetup, work: Workpiece, ready: Prepared) -> Iterator[ContactResult]:
    """Yield the contact of the smallest and of the largest part that the tolerance allows."""
    for diameter in (work.gripped_diameter_low, work.gripped_diameter_high):
        yield press(replace(setup, grip=replace(setup.grip, part_radius_mm=0.5 * diameter)), prepared=ready)


def _turning_load(parts: Parts, forces: Clamping) -> GripLoad:
    """Return the load at the highest speed, turned so that it pushes the part off jaw 1 at spindle angle 0."""
    side, (x, y) = forces.side, off_first_jaw(parts, forces.side.amount)
    turn = math.atan2(side.force[1], side.force[0]) - math.atan2(y, x)
    load = turned(GripLoad(1.0, side.force, side.moment), turn)
    return replace(load, jaw_outward_force_n=forces.differences)


def _one_turn(setup: ContactSetup, ready: Prepared) -> tuple[Revolution | None, float | None]:
    """Return the grip over one turn, and the least grip in its worst state without help against tipping.

    None where the part is not balanced between the jaws.
    """
    try:
        turn = revolve(setup, SPINDLE_ANGLES, ready)
    except ContactNotConverged:
        return None, None
    worst = replace(setup, load=turned(setup.load, turn.worst_rad), hold_square=False)
    try:
        return turn, float(press(worst, turn.worst, ready).grip_n.min())
    except ContactNotConverged:
        return turn, None


def _loss(setup: ContactSetup, contact: ContactResult, outward: float, ready: Prepared) -> float:
    """Return the share of the jaws' pull that the real stiffnesses turn into a loss of grip; nan if it is not found."""
    if not outward > 0.0:
        return math.nan
    try:
        return loss_share(setup, contact, min(outward, 0.5 * float(contact.grip_n.min())), ready)
    except ContactNotConverged:
        return math.nan


def _flatness(shape: ClampedShape, surfaces: tuple[tuple[str, tuple[float, float]], ...]) -> float:
    face = [row for row, (name, _) in enumerate(surfaces) if name == FREE_FACE]
    return face_flatness_um(shape, face) if face else math.nan


def _roundness(
    parts: Parts, index: int, zone: HeldZone, per_jaw: float, shape: ClampedShape | None
) -> tuple[float, str]:
    """Return the out-of-roundness after release, um, and where it comes from."""
    inner, outer = wall(parts, index, zone)
    if shape is not None:
        where = "bore" if parts.direction == "outside" and inner > 0.0 else "outside"
        basis = f"finite elements (Fourier series around the part), {where} at the gripped height"
        return float(shape.roundness_um[0]), basis
    value = annulus_roundness(parts, index, zone, per_jaw, (inner, outer))
    return (
        value,
        "annulus series (Michell; Barber, Elasticity) on the wall at grip height over the held length",
    )


def annulus_roundness(
    parts: Parts, index: int, zone: HeldZone, per_jaw: float, wall: tuple[float, float]
) -> float:
    """Return the three-lobe out-of-roundness (um) after release of a plane annulus."""
    scenario, (inner, outer) = parts.scenario, wall
    material = tables.material(scenario.operations[index].workpiece.material)
    gripped = outer if parts.direction == "outside" else inner
    pocket = scenario.pocket_of(scenario.operations[index])
    half_chord = face_half_chord(scenario, 0.5 * pocket.diameter)
    shape = distortion.annulus(
        per_jaw,
        max(inner, SOLID_BORE * outer),
        outer,
        zone.length,
        material.modulus,
        material.poisson,
        direction=parts.direction,
        half_angle=math.asin(min(0.99, half_chord / gripped)),
    )
    bore_is_turned = parts.direction == "outside" and inner > 0.0
    return shape.bore_roundness if bore_is_turned else shape.outside_roundness
