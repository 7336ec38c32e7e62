"""Whether the part runs true, as figures: the budget of each operation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sim.assessment.figures.running import RunningFigures


@dataclass(frozen=True, slots=True)
class RunningRow:
    """One line of the table of how true a part runs: what an indicator shows, um, and whether it is a sum."""

    what: str
    worst: float
    root: float
    basis: str
    total: bool = False


def running_rows(found: RunningFigures) -> tuple[RunningRow, ...]:
    """Return the shares that are there, as an indicator shows them, their sum, and what leans the faces."""
    rows = [
        RunningRow(share.name, 2e3 * share.worst, 2e3 * share.root, share.basis)
        for share in found.shares
        if share.worst > 0.0
    ]
    if found.roundness > 0.0:
        basis = "roundness after release"
        rows.append(RunningRow("turned out of round", found.roundness, found.roundness, basis))
    sums = f"{found.state}; worst: all add up, root: root of their squares"
    rows.append(RunningRow("run-out", found.run_out, found.run_out_root, sums, total=True))
    seats = "back faces" if found.by_seats else "walls"
    over = f"by the jaws' {seats}, over {found.face:.0f} mm of diameter"
    rows.append(RunningRow("out of square", found.out_of_square, found.out_of_square_root, over, total=True))
    if found.chip > 0.0:
        chip = f"not counted: a chip of {1e3 * found.chip:.0f} µm in one jaw"
        rows.append(RunningRow("a chip adds, run-out", found.chip_run_out, found.chip_run_out, chip))
        square = found.chip_out_of_square
        rows.append(RunningRow("a chip adds, out of square", square, square, chip))
    return tuple(rows)


def running_object(found: RunningFigures) -> dict[str, Any]:
    """Return the budget of an operation as a plain dictionary."""
    return {
        "state": found.state,
        "rho": found.rho,
        "run_out_um": found.run_out,
        "run_out_root_um": found.run_out_root,
        "turned_out_of_round_um": found.roundness,
        "shares": [
            {
                "share": share.name,
                "axis_off_um": 1e3 * share.worst,
                "axis_off_root_um": 1e3 * share.root,
                "basis": share.basis,
            }
            for share in found.shares
        ],
        "out_of_square_um": found.out_of_square,
        "out_of_square_root_um": found.out_of_square_root,
        "over_diameter_mm": found.face,
        "tilt_rad": found.tilt_worst,
        "tilt_root_rad": found.tilt_root,
        "by_seats": found.by_seats,
        "chip_um": 1e3 * found.chip,
        "chip_adds_run_out_um": found.chip_run_out,
        "chip_adds_out_of_square_um": found.chip_out_of_square,
    }
