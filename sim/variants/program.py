"""The grip under each move of a program that machines the part, over arrays. N, mm, rev/min."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assess.machining import cutting_places
from sim.assess.operation import cut_forces
from sim.assessment import MachiningFigures, OperationFigures
from sim.cutting import CutForces
from sim.hold import overhang_moment

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class ProgramDemand:
    """The places of a program that may ask most of the grip, (k,) arrays.

    Attributes
    ----------
    pulling : friction force needed at the gripped surface against torque and axial force, N.
    tipping : tipping moment, N mm.
    speed : rev/min.
    """

    pulling: Floats
    tipping: Floats
    speed: Floats


def program_demand(figures: OperationFigures, machining: MachiningFigures) -> ProgramDemand:
    """Return what a program's cuts ask, without the places that ask less than another in every respect."""
    tools = [tool for run, tool in zip(machining.runs, machining.drawn, strict=True) for _ in run.moves]
    found = cutting_places(figures, machining.moves, tools, machining.clearance)
    rows = [
        (*_asked(figures, cut_forces(cut, figures.operation.workpiece.material, speed)), speed)
        for places in found.values()
        for cut, speed in places
    ]
    kept = np.array(list(_undominated(rows))).reshape(-1, 3)
    return ProgramDemand(kept[:, 0], kept[:, 1], kept[:, 2])


def _asked(figures: OperationFigures, forces: CutForces) -> tuple[float, float]:
    work, zone = figures.operation.workpiece, figures.zone
    along = forces.feed_towards in ("chuck", "tailstock")
    axial, radial = (forces.feed, forces.passive) if along else (forces.passive, forces.feed)
    away = axial if forces.feed_towards == "tailstock" else 0.0
    diameter = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
    overhang = abs(zone.seat + forces.height - zone.middle)
    pulling = float(np.hypot(forces.tangential * forces.diameter / diameter, away))
    return pulling, overhang_moment(forces.tangential, axial, radial, forces.diameter, overhang)


def _undominated(rows: list[tuple[float, float, float]]) -> Iterator[tuple[float, float, float]]:
    kept: list[tuple[float, float, float]] = []
    for row in sorted(rows, reverse=True):
        if not any(other[1] >= row[1] and other[2] >= row[2] for other in kept):
            kept.append(row)
            yield row
