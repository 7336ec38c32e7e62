"""How far the clamped part stands off the spindle: by lobes of its gripped surface, by jaws and masses that differ.

What is stated as out of round without its lobes counts as the worst of 2, 4, 5 and 7, each at the two phases that are
its extremes by symmetry (a lobe's top or its valley on jaw 1); so do lobes that are stated, for a part is put into the
jaws at any angle. Everything is solved by the contact model and evaluated again for jaws that yield freely along their
faces, as with play in the guideways (rho = 1 of `sim.mechanics.run_out`); of each the larger counts, for |e| is convex
in rho. What else keeps a part from running true is added by `sim.assessment.running`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from sim.assessment.figures.clamping import RunOut
from sim.base.arrays import Floats
from sim.contact import (
    ClampedShape,
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    Lobe,
    Prepared,
    lobe_amplitude,
    press,
)
from sim.mechanics import run_out
from sim.scenario import Workpiece

PHASES = 2  # of each lobe that are solved
LOBES = len(run_out.ORDERS) * PHASES
PROBE = 1e-3  # mm by which one jaw is set off to learn rho
LEFT = (2, 4, 5, 7, 8)  # lobes that a released part may have and that shift it in three jaws


@dataclass(frozen=True, slots=True)
class StatedLobes:
    """Out-of-round of a gripped surface from peak to peak, mm: of an unknown number of lobes, and by their order."""

    unknown: float
    known: tuple[tuple[int, float], ...]


def stated_lobes(work: Workpiece) -> StatedLobes:
    """Return what a scenario says of a part's lobes."""
    return StatedLobes(
        work.lobes_of_unknown_order, tuple((lobe.order, lobe.peak_to_peak) for lobe in work.lobes)
    )


class Alike(NamedTuple):
    """A round part in jaws that are alike, and its contact."""

    setup: ContactSetup
    contact: ContactResult


def alike(setup: ContactSetup, ready: Prepared) -> Alike:
    """Return a setup without its lobes and without what tells its jaws apart, pressed."""
    even = _even(setup)
    return Alike(even, press(even, prepared=ready))


def run_out_of(state: str, setup: ContactSetup, lobes: StatedLobes, ready: Prepared) -> RunOut:
    """Return the run-out at one state.

    Parameters
    ----------
    state : str
        Its words.
    setup : ContactSetup
        With the closing force there, the jaws' offsets and what each jaw pulls outward beyond the others.
    lobes : StatedLobes
        Of the part.
    """
    amplitude, even = 0.5 * lobes.unknown, alike(setup, ready)
    found, free = lobe_shifts(even, amplitude, ready) if amplitude > 0.0 else (np.zeros(LOBES), 0.0)
    rho = rho_of(setup, ready)
    return RunOut(
        state=state,
        rho=rho,
        orders=run_out.ORDERS,
        by_lobes=found.reshape(-1, PHASES).max(axis=1),
        by_stated_lobes=tuple(lobe_shift(even, order, 0.5 * peak, ready) for order, peak in lobes.known),
        by_jaws=jaws_shift(setup, ready),
        free_lobes=free * amplitude,
        free_jaws=free_jaws_shift(setup),
        per_left=per_left_lobes(even.contact, rho),
    )


def worst_run_out(sizes: Sequence[RunOut]) -> RunOut:
    """Return the run-out in one state of parts of several sizes: each share of the size in which it is the largest.

    What scatters from jaw to jaw counts with the larger of rho and 1 and is linear in rho: the least rho counts.
    """
    return replace(
        sizes[0],
        rho=min(one.rho for one in sizes),
        by_lobes=np.max([one.by_lobes for one in sizes], axis=0),
        by_stated_lobes=tuple(max(of) for of in zip(*(one.by_stated_lobes for one in sizes), strict=True)),
        by_jaws=float(np.max([one.by_jaws for one in sizes])),
        free_lobes=max(one.free_lobes for one in sizes),
        free_jaws=max(one.free_jaws for one in sizes),
        per_left=np.max([one.per_left for one in sizes], axis=0),
    )


def rho_of(setup: ContactSetup, ready: Prepared) -> float:
    """Return rho where a round part lies in jaws that are alike; 1 where it finds no balance with one set off."""
    even = _even(setup)
    probe = replace(even.grip, jaw_offsets_mm=(PROBE, 0.0, 0.0))
    try:
        shift = press(replace(even, grip=probe), prepared=ready).part_shift_mm
    except ContactNotConverged:
        return 1.0
    return min(1.0, run_out.rho_of(math.hypot(*shift), PROBE))


def lobe_shifts(even: Alike, amplitude: float, ready: Prepared) -> tuple[Floats, float]:
    """Return the part's shift (mm) by one lobe alone, each order at both phases, (LOBES,).

    The second is the shift over the amplitude of the worst lobe at rho = 1.
    """
    found = [shift for n in run_out.ORDERS for shift in _at_both(even, n, amplitude, ready)]
    return np.array(found), free_lobe_shift(even.contact)


def lobe_shift(even: Alike, order: int, amplitude: float, ready: Prepared) -> float:
    """Return the part's shift (mm) by one lobe of a known order, the larger of the contact model and of rho = 1."""
    if order % 3 == 0:
        return 0.0
    free = amplitude * free_lobe_shift(even.contact, (order,))
    return max(free, *_at_both(even, order, amplitude, ready))


def _even(setup: ContactSetup) -> ContactSetup:
    """Return a round part in jaws that are alike."""
    return replace(
        setup,
        grip=replace(setup.grip, lobes=(), jaw_offsets_mm=(0.0, 0.0, 0.0)),
        load=replace(setup.load, jaw_outward_force_n=(0.0, 0.0, 0.0)),
    )


def _at_both(even: Alike, order: int, amplitude: float, ready: Prepared) -> list[float]:
    found = []
    for phase in (0.0, math.pi / order):
        grip = replace(even.setup.grip, lobes=(Lobe(order, amplitude, phase),))
        found.append(math.hypot(*press(replace(even.setup, grip=grip), even.contact, ready).part_shift_mm))
    return found


def jaws_shift(setup: ContactSetup, ready: Prepared) -> float:
    """Return the shift (mm) of a round part by the jaws' offsets and pulls alone; nan where a jaw leaves the part."""
    if not (any(setup.grip.jaw_offsets_mm) or any(setup.load.jaw_outward_force_n)):
        return 0.0
    try:
        found = press(replace(setup, grip=replace(setup.grip, lobes=())), prepared=ready)
    except ContactNotConverged:
        return math.nan
    return math.hypot(*found.part_shift_mm)


def face_weights(contact: ContactResult, order: int) -> tuple[float, float]:
    """Return C_n and S_n of faces that carry where a contact does."""
    grid = contact.grid
    carrying = np.sum((contact.pressure_mpa > 0.0) * grid.areas_mm2, axis=(0, 1))
    weights = carrying + carrying[::-1]  # even about the middle
    angles = 0.5 * (grid.angles_rad - grid.angles_rad[::-1])
    return run_out.lobe_weights(order, angles, weights)


def free_lobe_shift(contact: ContactResult, orders: Iterable[int] = run_out.ORDERS) -> float:
    """Return the shift over the amplitude of the worst lobe at rho = 1, the faces carrying where a contact does."""
    return max(run_out.lobe_shift(order, 1.0, *face_weights(contact, order)) for order in orders)


def free_jaws_shift(setup: ContactSetup) -> float:
    """Return the shift (mm) by the jaws' offsets and pulls at rho = 1."""
    yields = 1.0 / setup.guide.radial_stiffness_n_per_mm
    away = -1.0 if setup.grip.inside else 1.0
    errors = [
        away * offset + pull * yields
        for offset, pull in zip(setup.grip.jaw_offsets_mm, setup.load.jaw_outward_force_n, strict=True)
    ]
    return run_out.jaw_shift(errors, 1.0)


def per_left_lobes(contact: ContactResult, rho: float) -> Floats:
    """Return the shift over the amplitude of each of the lobes `LEFT`, the larger of rho and 1, by the closed form.

    `contact` is that of a round part in jaws that are alike.
    """
    weights = [(order, face_weights(contact, order)) for order in LEFT]
    return np.array([max(run_out.lobe_shift(n, one, *of) for one in (rho, 1.0)) for n, of in weights])


def left_lobes(shapes: Iterable[ClampedShape], rows: Iterable[int]) -> Floats:
    """Return the amplitudes (mm) of the lobes `LEFT` of released parts, the largest of some surfaces and all parts."""
    of = list(rows)
    each = [[float(lobe_amplitude(shape.moved_mm[of, 0], order).max()) for order in LEFT] for shape in shapes]
    return np.max(each, axis=0) if each else np.zeros(len(LEFT))
