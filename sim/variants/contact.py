"""Figures of the contact model over arrays of forces and sizes, from few solutions on a fixed grid.

For linear bodies without friction all pressures over the closing force F are functions of the lengths over F: of
x = (part radius - bore radius) / F, of the out-of-round over F, of the serrations' offsets over F, and under a load
Q across the spindle of Q / F. So each figure over F is kept on a grid of these ratios and is linear between its
points. That the gap of two circles is not quite linear in the difference of their radii is left out; it is less
than a hundredth as long as that difference is under a hundredth of the radius.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.assess.bodies import contact_setup, off_first_jaw, wall
from sim.assess.clamping import SPINDLE_ANGLES, annulus_roundness, prepared_contact
from sim.assessment import OperationFigures
from sim.contact import (
    ContactNotConverged,
    ContactSetup,
    GripLoad,
    Lobe,
    Prepared,
    band_means,
    clamped_shape,
    jaw_opening,
    press,
    revolve,
)
from sim.contact.elastic import with_part_modulus
from sim.parts import Parts
from sim.variants.table import Axis, GridTable

Floats = NDArray[np.float64]
# Share by which a figure between grid points may be off a solution of its own; the least grip of a jaw by twice that
# share of a third of the grip.
TOLERANCE = 0.01
LARGEST_FIT = 1.0  # mm; a grid point is solved at the largest force that keeps its fit under this
FIT_STEP, LOBE_STEP, FORCE_STEP, SIDE_STEP, PULL_STEP, MODULUS_STEP = 0.1, 0.2, 0.1, 0.1, 0.2, 0.1
SAME = 1e-9  # mm, within which a size is the scenario's own
PRESSURE, ROUNDNESS, SLOPE, SHIFT = range(4)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """What decides a contact besides its closing force, (n,) arrays.

    Attributes
    ----------
    radius : of the part, mm.
    out_of_round : peak to peak in radius, mm.
    modulus_share : of the part's modulus.
    """

    radius: Floats
    out_of_round: Floats
    modulus_share: Floats


class ContactTables:
    """Contact of one operation over its fits and forces."""

    def __init__(self, parts: Parts, figures: OperationFigures) -> None:
        model, work = figures.clamping.model, figures.operation.workpiece
        self._parts, self._figures, self._model = parts, figures, model
        self._ready = {1.0: prepared_contact(parts, figures.index, figures.zone, model)}
        setup = contact_setup(parts, figures.index, figures.zone, figures.grip.rest_total, model)
        self._setup = replace(setup, grip=replace(setup.grip, lobes=()))
        self._bore = setup.grip.bore_radius_mm
        middle = setup.grip.part_radius_mm
        # The scenario's own sizes, which most variants keep, have tables of their own.
        self._own = (middle, 0.5 * work.gripped_diameter_low, 0.5 * work.gripped_diameter_high)
        self._own_lobe = work.out_of_round
        self._softness = self._yield_per_force()
        self._tables: dict[tuple[str, ...], GridTable] = {}

    def pressed(self, force: Floats, fit: Fit) -> Floats:
        """Return band peak (MPa), roundness (um), slope of the jaws' face (rad), shift (mm) at closing forces, (n, 4).

        Parameters
        ----------
        force : (n,) closing force, N, above 0.
        """
        return self._over(force, fit, {}) * force[:, None]

    def least(self, force: Floats, fit: Fit, side: Floats, pulls: Floats) -> Floats:
        """Return the least grip of a jaw (N) over a turn under a load across the spindle, (n,); 0 where not held.

        Parameters
        ----------
        force : (n,) closing force, N; 0 where nothing is left.
        side : (n,) load across the spindle, N.
        pulls : (n, 3) outward force of each jaw beyond the common one, N.
        """
        held = force > 0.0
        found = np.zeros(force.size)
        if held.any():
            f = force[held]
            extra = {"side": side[held] / f}
            if pulls.any():
                extra["pull"] = np.abs(pulls[held]).max(axis=1) / f
            chosen = Fit(fit.radius[held], fit.out_of_round[held], fit.modulus_share[held])
            found[held] = self._over(f, chosen, extra)[:, 0] * f
        return found

    def _over(self, force: Floats, fit: Fit, extra: dict[str, Floats]) -> Floats:
        """Return the figures over force, each row from the table whose coordinates it needs."""
        coordinates = {
            "fit": (fit.radius - self._bore) / force,
            "lobe": 0.5 * fit.out_of_round / force,
            "force": force,
            "modulus": fit.modulus_share,
            **extra,
        }
        found = np.zeros((force.size, 1 if extra else 4))
        for names, rows in self._kinds(fit):
            wanted = (*names, *extra)
            points = np.column_stack([coordinates[name] for name in wanted if name in coordinates])
            if rows.any():
                found[rows] = self._table(wanted)(points[rows])
        return found

    def _kinds(self, fit: Fit) -> Iterator[tuple[tuple[str, ...], NDArray[np.bool_]]]:
        """Yield the coordinates of a table and the rows, (n,), that it serves."""
        soft, lobed = fit.modulus_share != 1.0, fit.out_of_round > 0.0
        own = np.full(soft.size, -1)
        for k in reversed(range(len(self._own))):
            same = np.abs(fit.radius - self._own[k]) < SAME
            own[same & (np.abs(fit.out_of_round - self._own_lobe) < SAME)] = k
        # Jaws that stand off by serrations have a length that no variant changes.
        off = ("force",) if any(self._setup.grip.jaw_offsets_mm) else ()
        for with_modulus in (False, True):
            more = ("modulus",) if with_modulus else ()
            for k in range(len(self._own)):
                yield (f"own {k}", "force", *more), (own == k) & (soft == with_modulus)
            for with_lobe in (False, True):
                lobe = ("lobe",) if with_lobe else ()
                rows = (own < 0) & (soft == with_modulus) & (lobed == with_lobe)
                yield ("fit", *lobe, *off, *more), rows

    def _table(self, names: tuple[str, ...]) -> GridTable:
        if names not in self._tables:
            turned = 4.0 if "side" in names else 1.0  # the grip left on a jaw hardly depends on the fit
            scale = 0.2 * self._softness
            kinds = {
                "fit": Axis("sinh", turned * FIT_STEP, scale),
                "lobe": Axis("sinh", 0.5 * (1.0 + turned) * LOBE_STEP, scale),
                "force": Axis("log", turned * FORCE_STEP),
                "modulus": Axis("log", MODULUS_STEP),
                "side": Axis("linear", SIDE_STEP),
                "pull": Axis("sinh", PULL_STEP, 0.02),
            }
            axes = {name: kinds[name] for name in names if name in kinds}
            own = next((self._own[int(name[-1])] for name in names if name.startswith("own")), None)

            def node(at: tuple[float, ...]) -> Floats:
                return self._solved(dict(zip(axes, at, strict=True)), own)

            self._tables[names] = GridTable(tuple(axes.values()), node)
        return self._tables[names]

    def _solved(self, at: dict[str, float], own: float | None) -> Floats:
        """Solve the contact at one point of the grid and return its figures over the force."""
        grip = self._setup.grip
        if own is not None:
            force, lobe = at["force"], 0.5 * self._own_lobe
            grip = replace(grip, part_radius_mm=own)
        else:
            longest = max(abs(at["fit"]), at.get("lobe", 0.0), 1e-30)
            force = at.get("force", min(self._figures.grip.rest_total, LARGEST_FIT / longest))
            lobe = at.get("lobe", 0.0) * force
            # The prepared face belongs to the part's radius, so the bore takes the fit.
            grip = replace(grip, bore_radius_mm=grip.part_radius_mm - at["fit"] * force)
        grip = replace(grip, lobes=(Lobe(2, lobe),) if lobe > 0.0 else ())
        setup = replace(self._setup, grip=grip, load=GripLoad(force))
        ready = self._prepared(at.get("modulus", 1.0))
        if "side" in at:
            return np.array([self._turned(setup, ready, force, at) / force])
        contact = press(setup, prepared=ready)
        if self._model == "elastic":
            roundness = float(clamped_shape(contact, ready).roundness_um[0])
        else:
            roundness = self._annulus(force) / at.get("modulus", 1.0)
        slope = jaw_opening(contact, ready).slope_rad
        shift = math.hypot(*contact.part_shift_mm)
        return np.array([float(band_means(contact).max()), roundness, slope, shift]) / force

    def _turned(self, setup: ContactSetup, ready: Prepared, force: float, at: dict[str, float]) -> float:
        parts = self._parts
        load = GripLoad(force, off_first_jaw(parts, at["side"] * force))
        if "pull" in at:
            more = np.array(parts.scenario.soft_jaw.mass_differences)
            pulls = at["pull"] * force * more / np.abs(more).max()
            load = replace(load, jaw_outward_force_n=(float(pulls[0]), float(pulls[1]), float(pulls[2])))
        try:
            return revolve(replace(setup, load=load), SPINDLE_ANGLES, ready).least_n
        except ContactNotConverged:
            return 0.0

    def _annulus(self, force: float) -> float:
        """Return the roundness (um) of a plane annulus, which is linear in the force."""
        parts, f = self._parts, self._figures
        return annulus_roundness(parts, f.index, f.zone, force / 3.0, wall(parts, f.index, f.zone))

    def _prepared(self, share: float) -> Prepared:
        if share not in self._ready:
            self._ready[share] = with_part_modulus(self._ready[1.0], share)
        return self._ready[share]

    def _yield_per_force(self) -> float:
        """Return how far part and jaw give way per closing force where they fit exactly, mm/N: a length over F."""
        grip = replace(
            self._setup.grip, bore_radius_mm=self._setup.grip.part_radius_mm, jaw_offsets_mm=(0.0, 0.0, 0.0)
        )
        ready = self._ready[1.0]
        found = press(replace(self._setup, grip=grip), prepared=ready)
        force = (found.pressure_mpa[0] * found.grid.areas_mm2).ravel()
        stiff = ready.total_mm_n[: force.size, : force.size] - ready.guide_mm_n
        # Mean yield under this force, by the work it does.
        return float(force @ stiff @ force / force.sum() ** 2) / 3.0


def contact_tables(parts: Parts, figures: OperationFigures) -> ContactTables:
    """Return the contact of an operation, ready for its fits and forces; nothing is solved yet but one contact.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    """
    return ContactTables(parts, figures)
