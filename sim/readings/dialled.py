"""Readings of a dial beside the chuck, jaws and part that they were taken on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.assessment.operation import grip_part, springs_of
from sim.assessment.running import Springs
from sim.base.arrays import Floats
from sim.base.errors import ReadingsError
from sim.mechanics.grip import grip_at_rest
from sim.readings.dial_file import DialReadings
from sim.scenario import Running
from sim.setup.drive import drive
from sim.setup.parts import Parts


@dataclass(frozen=True, slots=True, eq=False)
class Dialled:
    """Readings with what turns them into fields of a scenario.

    Attributes
    ----------
    readings : DialReadings
    force : (n,) array
        Of one jaw at the pressure of each reading, by the scenario's drive, N.
    rho : float
        Of the contact model, the least that it can be (`sim.mechanics.run_out`); no unit.
    springs : Springs
        How the jaws yield and where they stand.
    running : Running
        As the scenario states it.
    runout_limit, squareness_limit, face : float
        Of the operation, mm; the last is the diameter over which faces are judged.
    step : float
        Smallest movement that the dial shows, mm.
    """

    readings: DialReadings
    force: Floats
    rho: float
    springs: Springs
    running: Running
    runout_limit: float
    squareness_limit: float
    face: float
    step: float


def dialled(parts: Parts, readings: DialReadings, step: float, operation: int = 0) -> Dialled:
    """Return readings beside a scenario; of the contact model it asks rho, so this takes seconds.

    Raises
    ------
    ReadingsError
        If the scenario's chuck does not grip at a pressure.
    ScenarioError
        If the part is not gripped in the pocket.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    scenario = parts.scenario
    found = grip_part(parts, operation)
    lever = found.zone.middle + scenario.chuck.guideway_depth
    own = drive(scenario.chuck)
    force = np.array([grip_at_rest(float(p), lever, own).total / own.jaws for p in readings.pressure])
    if (force <= 0.0).any():
        none = int(np.flatnonzero(force <= 0.0)[0])
        raise ReadingsError(
            f"line {readings.line[none]}: pressure must be one at which the scenario's chuck grips, found "
            f"{10.0 * readings.pressure[none]:g} bar"
        )
    return Dialled(
        readings=readings,
        force=force,
        rho=min(state.rho for state in found.clamping.run_outs),
        springs=springs_of(parts, operation, found.zone),
        running=scenario.running,
        runout_limit=found.operation.runout_limit,
        squareness_limit=found.operation.squareness_limit,
        face=found.running.face,
        step=step,
    )
