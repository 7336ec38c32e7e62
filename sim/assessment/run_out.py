"""How far the clamped part stands off the spindle: by lobes of its gripped surface, by jaws and masses that differ.

A scenario states by how much the gripped surface is out of round, not how many lobes it has, so the worst of 2, 4, 5
and 7 counts, each at the two phases that are its extremes by symmetry (a lobe's top or its valley on jaw 1). Everything
is solved by the contact model, whose jaws do not yield along the face, and evaluated again for jaws that yield there
freely, as with play in the guideways (rho = 1 of `sim.mechanics.run_out`); the larger counts.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from sim.assessment.figures.clamping import RunOut
from sim.base.arrays import Floats
from sim.contact import ContactNotConverged, ContactResult, ContactSetup, Lobe, Prepared, press
from sim.mechanics import run_out

PHASES = 2  # of each lobe that are solved
LOBES = len(run_out.ORDERS) * PHASES


def run_out_of(state: str, setup: ContactSetup, amplitude: float, ready: Prepared) -> RunOut:
    """Return the run-out at one state.

    Parameters
    ----------
    state : str
        Its words.
    setup : ContactSetup
        With the closing force there, the jaws' offsets and what each jaw pulls outward beyond the others.
    amplitude : float
        Of a lobe, mm: half of the peak-to-valley out-of-round.
    """
    round_part = (np.zeros(LOBES), 0.0)
    lobes, free = lobe_shifts(setup, amplitude, ready) if amplitude > 0.0 else round_part
    return RunOut(
        state=state,
        orders=run_out.ORDERS,
        by_lobes=lobes.reshape(-1, PHASES).max(axis=1),
        by_jaws=jaws_shift(setup, ready),
        free_lobes=free * amplitude,
        free_jaws=free_jaws_shift(setup),
    )


def lobe_shifts(setup: ContactSetup, amplitude: float, ready: Prepared) -> tuple[Floats, float]:
    """Return the part's shift (mm) by one lobe alone, each order at both phases, (LOBES,).

    The second is the shift over the amplitude of the worst lobe at rho = 1.
    """
    even = replace(
        setup,
        grip=replace(setup.grip, lobes=(), jaw_offsets_mm=(0.0, 0.0, 0.0)),
        load=replace(setup.load, jaw_outward_force_n=(0.0, 0.0, 0.0)),
    )
    contact = press(even, prepared=ready)
    found = []
    for order in run_out.ORDERS:
        for phase in (0.0, math.pi / order):
            grip = replace(even.grip, lobes=(Lobe(order, amplitude, phase),))
            shift = press(replace(even, grip=grip), contact, ready).part_shift_mm
            found.append(math.hypot(*shift))
    return np.array(found), free_lobe_shift(contact)


def jaws_shift(setup: ContactSetup, ready: Prepared) -> float:
    """Return the shift (mm) of a round part by the jaws' offsets and pulls alone; nan where a jaw leaves the part."""
    if not (any(setup.grip.jaw_offsets_mm) or any(setup.load.jaw_outward_force_n)):
        return 0.0
    try:
        found = press(replace(setup, grip=replace(setup.grip, lobes=())), prepared=ready)
    except ContactNotConverged:
        return math.nan
    return math.hypot(*found.part_shift_mm)


def free_lobe_shift(contact: ContactResult) -> float:
    """Return the shift over the amplitude of the worst lobe at rho = 1, the faces carrying where a contact does."""
    grid = contact.grid
    carrying = np.sum((contact.pressure_mpa > 0.0) * grid.areas_mm2, axis=(0, 1))
    weights = carrying + carrying[::-1]  # even about the middle
    angles = 0.5 * (grid.angles_rad - grid.angles_rad[::-1])
    return max(
        run_out.lobe_shift(order, 1.0, *run_out.lobe_weights(order, angles, weights))
        for order in run_out.ORDERS
    )


def free_jaws_shift(setup: ContactSetup) -> float:
    """Return the shift (mm) by the jaws' offsets and pulls at rho = 1."""
    yields = 1.0 / setup.guide.radial_stiffness_n_per_mm
    away = -1.0 if setup.grip.inside else 1.0
    errors = [
        away * offset + pull * yields
        for offset, pull in zip(setup.grip.jaw_offsets_mm, setup.load.jaw_outward_force_n, strict=True)
    ]
    return run_out.jaw_shift(errors, 1.0)
