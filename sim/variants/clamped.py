"""Pressure, shape and least grip of the clamped part over arrays: questions to the contact's grids."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.bodies import off_first_jaw, reported_surfaces
from sim.assessment.clamping import SPINDLE_ANGLES, turned_rows
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.part_wall import PartWall, part_wall
from sim.assessment.run_out import (
    LEFT,
    LOBES,
    alike,
    free_jaws_shift,
    jaws_shift,
    left_lobes,
    lobe_shift,
    lobe_shifts,
    per_left_lobes,
    rho_of,
)
from sim.assessment.stress import annulus_roundness, strained
from sim.assessment.turning_masses import uncommon_masses
from sim.base.arrays import Floats
from sim.contact import (
    ContactNotConverged,
    ContactSetup,
    GripLoad,
    band_means,
    clamped_shape,
    clamped_stress,
    finer,
    jaw_opening,
    press,
    revolve,
)
from sim.setup.parts import Parts
from sim.variants.contact import ContactFit, ContactPoint, ContactTables, Question
from sim.variants.table import Axis, GridTable

PRESSURE, ROUNDNESS, SLOPE, STRESS, MOVED = range(5)
SIDE_STEP, PULL_STEP = 0.1, 0.2
# Of columns: steps over the usual ones, since they are quick and their taper has kinks where a face closes; and the
# share of a wall by which the size steps.
COLUMN_COARSENESS, WALL_STEP = 0.25, 0.005
LEAST_LOBE = 1e-4  # mm, a lobe that opens no face


@dataclass(frozen=True, slots=True, eq=False)
class Shifts:
    """How far a part's axis stands off the spindle's, mm, (n,) arrays, as `sim.assessment.figures.clamping.RunOut`.

    Attributes
    ----------
    rho : array
        No unit.
    lobes, stated_lobes, jaws : array
        By lobes of unknown number, by those stated, by the jaws.
    per_left : (n, m) array
        Over the amplitude of the lobes that an earlier operation leaves; no unit.
    """

    rho: Floats
    lobes: Floats
    stated_lobes: Floats
    jaws: Floats
    per_left: Floats


def worst_shifts(sizes: Sequence[Shifts]) -> Shifts:
    """Return each shift of the size in which it is the largest, and the least rho; see `worst_run_out`."""
    most = {
        name: np.max([getattr(one, name) for one in sizes], axis=0)
        for name in ("lobes", "stated_lobes", "jaws", "per_left")
    }
    return Shifts(np.min([one.rho for one in sizes], axis=0), **most)


class Clamped:
    """The part of one operation between the jaws."""

    def __init__(self, parts: Parts, figures: OperationFigures, contact: ContactTables) -> None:
        self._parts, self._figures, self._contact = parts, figures, contact
        self._wall = part_wall(parts, figures.index, figures.zone)
        self._gripped = self._wall.outer if parts.direction == "outside" else self._wall.inner
        self._surfaces = reported_surfaces(self._wall, figures.operation.workpiece.outline, figures.zone)
        jaw = parts.scenario.soft_jaw
        self._alike = not any(uncommon_masses(parts.scenario))
        self._unlike = any(jaw.serrations_off) or not self._alike
        pull = {"pull": Axis("sinh", PULL_STEP, 0.02)}
        own = {} if self._alike else pull
        elastic = figures.clamping.model == "elastic"
        self._even = None if elastic else self._even_walls()
        coarse = 1.0 if elastic else COLUMN_COARSENESS
        self._steady = contact.known(Question("pressed", self._pressed, 5, coarse, own))
        self._lobes = contact.known(Question("lobes", self._by_lobes, LOBES + 1, smooth=True))
        self._work = figures.operation.workpiece
        self._stated = [
            contact.known(Question(f"{lobe.order} lobes", self._by_lobe(lobe.order), 1, smooth=True))
            for lobe in self._work.lobes
        ]
        self._rho = contact.known(Question("rho", self._by_rho, 1 + len(LEFT), smooth=True))
        self._left = contact.known(Question("left lobes", self._by_left, len(LEFT), axes=own))
        self._jaws = contact.known(Question("jaws off", self._by_jaws, 2, axes=own))
        # The grip left on a jaw hardly depends on the pattern of pressure.
        axes = {"side": Axis("linear", SIDE_STEP), **pull}
        self._turning = contact.known(Question("least grip", self._least, 1, 4.0, axes))

    def pressed(self, force: Floats, fit: ContactFit, pulls: Floats) -> Floats:
        """Return what a clamped part bears, (n, 5).

        Band peak (MPa), roundness (um), slope of the jaws' face (rad), decisive stress (MPa), displacement (mm).

        Parameters
        ----------
        force : (n,) array
            Closing force, N, above 0.
        pulls : (n, 3) array
            Outward force of each jaw beyond the common one, N.
        """
        found = self._contact(self._steady, force, fit, self._pull(force, pulls)) * force[:, None]
        if self._even is not None:
            # Linear in the force, and the size is that of the wall: no contact is asked.
            wall = self._even((fit.radius - self._gripped)[:, None]) * force[:, None]
            found[:, STRESS] = wall[:, 1]
            found[:, [ROUNDNESS, MOVED]] = wall[:, [0, 2]] / fit.modulus_share[:, None]
        return found

    def shifts(self, force: Floats, fit: ContactFit, pulls: Floats) -> Shifts:
        """Return how far the part's axis stands off the spindle's; parameters as `pressed`."""
        rho = self._contact(self._rho, force, fit)
        lobes, stated, jaws = (np.zeros(force.size) for _ in range(3))
        sizes = [lobe.peak_to_peak for lobe in self._work.lobes]
        unknown = np.maximum(0.0, fit.out_of_round - math.fsum(sizes))
        lobed = unknown > 0.0
        if lobed.any():
            found = self._contact(
                self._lobes, force[lobed], replace(fit.only(lobed), out_of_round=unknown[lobed])
            )
            lobes[lobed] = found.max(axis=1) * 0.5 * unknown[lobed]
        for question, size in zip(self._stated, sizes, strict=True):
            one = replace(fit, out_of_round=np.full(force.size, size))
            stated += self._contact(question, force, one)[:, 0] * 0.5 * size
        if self._unlike:
            found = self._contact(self._jaws, force, fit, self._pull(force, pulls)) * force[:, None]
            jaws = found.max(axis=1)
        return Shifts(rho[:, 0], lobes, stated, jaws, rho[:, 1:])

    def left_lobes(self, force: Floats, fit: ContactFit, pulls: Floats) -> Floats:
        """Return the amplitudes (mm) of lobes that the released part has, (n, m); parameters as `pressed`."""
        return self._contact(self._left, force, fit, self._pull(force, pulls)) * force[:, None]

    def _pull(self, force: Floats, pulls: Floats) -> dict[str, Floats]:
        return {} if self._alike else {"pull": np.abs(pulls).max(axis=1) / force}

    def least(self, force: Floats, fit: ContactFit, side: Floats, pulls: Floats) -> Floats:
        """Return the least grip of a jaw (N) over a turn under a load across the spindle, (n,); 0 where not held.

        Parameters
        ----------
        force : (n,) array
            Closing force, N; 0 where nothing is left.
        side : (n,) array
            Load across the spindle, N.
        pulls : (n, 3) array
            Outward force of each jaw beyond the common one, N.
        """
        held = force > 0.0
        if self._alike:
            # The jaws' forces on the part add up to the closing force, so they balance no larger side load.
            held &= side < force
        found = np.zeros(force.size)
        if held.any():
            f = force[held]
            further = {"side": side[held] / f}
            further |= self._pull(f, pulls[held])
            found[held] = self._contact(self._turning, f, fit.only(held), further)[:, 0] * f
        return found

    def _pressed(self, point: ContactPoint) -> Floats:
        force = point.force
        setup = self._loaded(point)
        try:
            contact = press(setup, prepared=point.ready)
        except ContactNotConverged:  # a jaw leaves the part, which the least grip of a jaw tells
            setup = point.setup
            contact = press(setup, prepared=point.ready)
        slope = jaw_opening(contact, point.ready).slope_rad
        peak = float(band_means(finer(setup, point.ready, contact)).max())
        if self._even is not None:
            return np.array([peak, 0.0, slope, 0.0, 0.0]) / force
        shape, stress = clamped_shape(contact, point.ready), clamped_stress(contact, point.ready)
        found = strained(self._wall, force / 3.0, 0.0, shape, stress)
        roundness = float(shape.roundness_um[0])
        return np.array([peak, roundness, slope, found.decisive, found.displacement]) / force

    def _even_walls(self) -> GridTable:
        """Return roundness (um), stress (MPa) and displacement (mm) of a plane annulus over the closing force.

        Over by how much the gripped radius differs from the setup's own, mm.
        """

        def node(at: tuple[float, ...]) -> Floats:
            wall = _with_radius(self._wall, self._gripped + at[0])
            found = strained(wall, 1.0 / 3.0, 0.0, None, None)
            return np.array([annulus_roundness(wall, 1.0 / 3.0), found.decisive, found.displacement])

        return GridTable((Axis("linear", WALL_STEP * self._wall.thickness),), node, 3)

    def _by_lobes(self, point: ContactPoint) -> Floats:
        # Over the amplitude they are nearly constant; at none it is their limit.
        amplitude = max(sum(lobe.amplitude_mm for lobe in point.setup.grip.lobes), LEAST_LOBE)
        shifts, free = lobe_shifts(alike(point.setup, point.ready), amplitude, point.ready)
        return np.array([*(shifts / amplitude), free])

    def _by_lobe(self, order: int) -> Callable[[ContactPoint], Floats]:
        def shift(point: ContactPoint) -> Floats:
            amplitude = max(sum(lobe.amplitude_mm for lobe in point.setup.grip.lobes), LEAST_LOBE)
            return np.array(
                [lobe_shift(alike(point.setup, point.ready), order, amplitude, point.ready) / amplitude]
            )

        return shift

    def _by_rho(self, point: ContactPoint) -> Floats:
        rho = rho_of(point.setup, point.ready)
        return np.array([rho, *per_left_lobes(alike(point.setup, point.ready).contact, rho)])

    def _by_left(self, point: ContactPoint) -> Floats:
        if self._figures.clamping.model != "elastic":
            return np.zeros(len(LEFT))
        try:
            contact = press(self._loaded(point), prepared=point.ready)
        except ContactNotConverged:  # as in `_pressed`
            contact = press(point.setup, prepared=point.ready)
        shape, rows = clamped_shape(contact, point.ready), turned_rows(self._surfaces)
        return left_lobes([shape], rows) / point.force

    def _by_jaws(self, point: ContactPoint) -> Floats:
        loaded = self._loaded(point)
        solved = jaws_shift(loaded, point.ready)
        free = free_jaws_shift(loaded)
        return np.array([solved if math.isfinite(solved) else free, free]) / point.force

    def _loaded(self, point: ContactPoint) -> ContactSetup:
        """Return the point's setup with what each jaw pulls outward beyond the others."""
        return replace(point.setup, load=GripLoad(point.force, jaw_outward_force_n=self._pulls(point)))

    def _pulls(self, point: ContactPoint) -> tuple[float, float, float]:
        if "pull" not in point.at:
            return (0.0, 0.0, 0.0)
        more = np.array(uncommon_masses(self._parts.scenario))
        first, second, third = point.at["pull"] * point.force * more / np.abs(more).max()
        return (float(first), float(second), float(third))

    def _least(self, point: ContactPoint) -> Floats:
        force = point.force
        if "pull" not in point.at and point.at["side"] >= 1.0:
            return np.zeros(1)  # as in `least`
        load = GripLoad(
            force,
            off_first_jaw(self._parts.direction, point.at["side"] * force),
            jaw_outward_force_n=self._pulls(point),
        )
        try:
            turn = revolve(replace(point.setup, load=load), SPINDLE_ANGLES, point.ready)
        except ContactNotConverged:
            return np.zeros(1)
        return np.array([turn.least_n / force])


def _with_radius(wall: PartWall, radius: float) -> PartWall:
    """Return a wall gripped at another radius (mm), its other side where it was."""
    outside = wall.direction == "outside"
    half_chord = math.sin(wall.half_angle) * (wall.outer if outside else wall.inner)
    turned = math.asin(min(0.99, half_chord / radius))
    if outside:
        return replace(wall, outer=radius, half_angle=turned)
    return replace(wall, inner=radius, half_angle=turned)
