"""The part clamped in the jaws: pressure at the lowest speed, least grip under the worst side force, roundness.

Two models of the bodies: 'foundation' (columns, milliseconds, order of magnitude) and 'elastic' (finite elements of
part and jaw, seconds the first time, then kept in the user's cache folder).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim import distortion, tables
from sim.contact import (
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    Lobe,
    Prepared,
    TurnedPart,
    default_cache,
    prepare,
    press,
)
from sim.errors import ScenarioError
from sim.parts import HeldZone, Parts, inner_end_radius

ContactModel = Literal["foundation", "elastic"]
SOLID_BORE = 0.05  # a solid part's outside squeezes like that of an annulus with this share as its bore
GRID = {"foundation": (20, 8), "elastic": (28, 10)}  # strips and bands of a face; columns need fewer
WALL = 1.0  # mm, a wall thinner than this beside the gripped surface is taken for the surface itself


@dataclass(frozen=True, slots=True, eq=False)
class Clamped:
    """Contact at the lowest speed and under the worst side force at the highest; roundness (um) and its basis."""

    contact: ContactResult
    loaded: ContactResult | None
    roundness: float
    roundness_basis: str


def clamp(
    parts: Parts,
    index: int,
    zone: HeldZone,
    travel: float,
    forces: tuple[float, float, float],
    model: ContactModel,
    ready: Prepared | None = None,
) -> Clamped:
    """Press the jaws on the part of an operation.

    Parameters
    ----------
    forces : (float, float, float)
        Total grip at the lowest and at the highest speed, and the worst side force, N.
    ready : Prepared, optional
        From `prepared_contact` of the same operation; prepared here if not given.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    ContactNotConverged
        If the part without side force is not balanced between the jaws.
    """
    low, high, side = forces
    setup = contact_setup(parts, index, zone, travel, low, 0.0, model)
    inner, outer = _wall(parts, index, zone)
    bore_is_reported = parts.direction == "outside" and inner > 0.0
    if ready is None:
        ready = prepared_contact(parts, index, zone, travel, model)
    contact = press(setup, prepared=ready)
    loaded = (
        _loaded(contact_setup(parts, index, zone, travel, high, side, model), ready) if high > 0.0 else None
    )
    if model == "elastic":
        from sim.contact.shape import clamped_shape

        value = float(clamped_shape(contact, ready).roundness_um[0])
        where = "bore" if bore_is_reported else "outside"
        basis = f"finite elements (Fourier series around the part), {where} at the gripped height"
    else:
        value = _annulus_roundness(parts, index, zone, low / 3.0, (inner, outer))
        basis = "annulus series (Michell; Barber, Elasticity) on the wall at grip height over the held length"
    return Clamped(contact, loaded, value, basis)


def prepared_contact(
    parts: Parts, index: int, zone: HeldZone, travel: float, model: ContactModel
) -> Prepared:
    """Return the bodies of an operation made ready for contact, whatever the loads and the part's size.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    """
    inner, outer = _wall(parts, index, zone)
    reported = inner if parts.direction == "outside" and inner > 0.0 else outer
    place = np.array([[reported, zone.middle]])
    try:
        setup = contact_setup(parts, index, zone, travel, 1.0, 0.0, model)  # its load does not matter
        return prepare(setup, place if model == "elastic" else None, default_cache())
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def contact_setup(
    parts: Parts,
    index: int,
    zone: HeldZone,
    travel: float,
    closing: float,
    side: float,
    model: ContactModel,
) -> ContactSetup:
    """Return the contact of an operation: closing force and side force (N), the latter pushing off jaw 1."""
    scenario = parts.scenario
    operation = scenario.operations[index]
    pocket, jaw, work = scenario.pocket_of(operation), scenario.soft_jaw, operation.workpiece
    inner = inner_end_radius(scenario, travel)
    outside = parts.direction == "outside"
    part = tables.material(work.material)
    lobes = (Lobe(2, 0.5 * work.out_of_round),) if work.out_of_round > 0.0 else ()
    return ContactSetup(
        grip=GripGeometry(
            bore_radius_mm=0.5 * pocket.diameter,
            part_radius_mm=0.25 * (work.gripped_diameter_low + work.gripped_diameter_high),
            width_mm=jaw.width,
            z_low_mm=zone.low,
            z_high_mm=zone.high,
            edge_chamfer_mm=jaw.edge_chamfer,
            inside=not outside,
            lobes=lobes,
        ),
        part=TurnedPart(np.array([(r, z + zone.seat) for r, z in work.outline]), part.modulus, part.poisson),
        jaw=JawBlock(
            back_radius_mm=inner + jaw.length if outside else inner,
            height_mm=jaw.height,
            modulus_mpa=parts.jaw_material.modulus,
            poisson=parts.jaw_material.poisson,
        ),
        load=GripLoad(closing_force_n=closing, side_load_n=(-side, 0.0)),
        guide=JawGuide(
            scenario.chuck.radial_stiffness,
            scenario.chuck.tilt_stiffness,
            -scenario.chuck.guideway_depth,
        ),
        hold_square=True,
        strips=GRID[model][0],
        bands=GRID[model][1],
        model=model,
    )


def _loaded(setup: ContactSetup, ready: Prepared) -> ContactResult | None:
    """Return the contact under the worst side force; None if the part is not held."""
    try:
        return press(setup, prepared=ready)
    except ContactNotConverged:
        return None


def _wall(parts: Parts, index: int, zone: HeldZone) -> tuple[float, float]:
    """Return bore and outer radius of the part at the middle of the gripped height, mm; bore 0 if it is solid."""
    work = parts.scenario.operations[index].workpiece
    gripped = 0.25 * (work.gripped_diameter_low + work.gripped_diameter_high)
    radii = TurnedPart(np.array(work.outline), 1.0, 0.3).crossings(zone.middle - zone.seat)
    if parts.direction == "outside":
        return max((r for r in radii if r < gripped - WALL), default=0.0), gripped
    return gripped, min((r for r in radii if r > gripped + WALL), default=2.0 * gripped)


def _annulus_roundness(
    parts: Parts, index: int, zone: HeldZone, per_jaw: float, wall: tuple[float, float]
) -> float:
    """Return the three-lobe out-of-roundness (um) after release of a plane annulus."""
    scenario, (inner, outer) = parts.scenario, wall
    material = tables.material(scenario.operations[index].workpiece.material)
    gripped = outer if parts.direction == "outside" else inner
    half_chord = 0.5 * scenario.soft_jaw.width - scenario.soft_jaw.edge_chamfer
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
