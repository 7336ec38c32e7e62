"""Pressure, shape and least grip of the clamped part over arrays: questions to the contact's grids."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.assess.bodies import off_first_jaw, wall
from sim.assess.clamping import SPINDLE_ANGLES, annulus_roundness
from sim.assess.operation import uncommon_masses
from sim.assessment import OperationFigures
from sim.contact import (
    ContactNotConverged,
    GripLoad,
    band_means,
    clamped_shape,
    jaw_opening,
    press,
    revolve,
)
from sim.parts import Parts
from sim.variants.contact import ContactTables, Fit, Point, Question
from sim.variants.table import Axis

Floats = NDArray[np.float64]
PRESSURE, ROUNDNESS, SLOPE, SHIFT = range(4)
SIDE_STEP, PULL_STEP = 0.1, 0.2


class Clamped:
    """The part of one operation between the jaws."""

    def __init__(self, parts: Parts, figures: OperationFigures, contact: ContactTables) -> None:
        self._parts, self._figures, self._contact = parts, figures, contact
        self._steady = contact.known(Question("pressed", self._pressed, 4))
        axes = {"side": Axis("linear", SIDE_STEP), "pull": Axis("sinh", PULL_STEP, 0.02)}
        # The grip left on a jaw hardly depends on the pattern of pressure.
        self._turning = contact.known(Question("least grip", self._least, 1, 4.0, axes))
        self._alike = not any(uncommon_masses(parts.scenario))

    def pressed(self, force: Floats, fit: Fit) -> Floats:
        """Return band peak (MPa), roundness (um), slope of the jaws' face (rad), shift (mm) at closing forces, (n, 4).

        Parameters
        ----------
        force : (n,) closing force, N, above 0.
        """
        return self._contact(self._steady, force, fit) * force[:, None]

    def least(self, force: Floats, fit: Fit, side: Floats, pulls: Floats) -> Floats:
        """Return the least grip of a jaw (N) over a turn under a load across the spindle, (n,); 0 where not held.

        Parameters
        ----------
        force : (n,) closing force, N; 0 where nothing is left.
        side : (n,) load across the spindle, N.
        pulls : (n, 3) outward force of each jaw beyond the common one, N.
        """
        held = force > 0.0
        if self._alike:
            # The jaws' forces on the part add up to the closing force, so they balance no larger side load.
            held &= side < force
        found = np.zeros(force.size)
        if held.any():
            f = force[held]
            further = {"side": side[held] / f}
            if not self._alike:
                further["pull"] = np.abs(pulls[held]).max(axis=1) / f
            found[held] = self._contact(self._turning, f, fit.only(held), further)[:, 0] * f
        return found

    def _pressed(self, point: Point) -> Floats:
        contact = press(point.setup, prepared=point.ready)
        if self._figures.clamping.model == "elastic":
            roundness = float(clamped_shape(contact, point.ready).roundness_um[0])
        else:
            roundness = self._annulus(point.force) / point.at.get("modulus", 1.0)
        slope = jaw_opening(contact, point.ready).slope_rad
        shift = math.hypot(*contact.part_shift_mm)
        return np.array([float(band_means(contact).max()), roundness, slope, shift]) / point.force

    def _annulus(self, force: float) -> float:
        """Return the roundness (um) of a plane annulus, which is linear in the force."""
        parts, f = self._parts, self._figures
        return annulus_roundness(parts, f.index, f.zone, force / 3.0, wall(parts, f.index, f.zone))

    def _least(self, point: Point) -> Floats:
        force = point.force
        pulls = (0.0, 0.0, 0.0)
        if "pull" in point.at:
            more = np.array(uncommon_masses(self._parts.scenario))
            first, second, third = point.at["pull"] * force * more / np.abs(more).max()
            pulls = (float(first), float(second), float(third))
        elif point.at["side"] >= 1.0:
            return np.zeros(1)  # as in `least`
        load = GripLoad(
            force, off_first_jaw(self._parts, point.at["side"] * force), jaw_outward_force_n=pulls
        )
        try:
            turn = revolve(replace(point.setup, load=load), SPINDLE_ANGLES, point.ready)
        except ContactNotConverged:
            return np.zeros(1)
        return np.array([turn.least_n / force])
