"""Independent oracle for the contact model: CalculiX runs of a part in three equal soft jaws, and of a plain block.

Run by hand, never by the test suite::

    python tests/oracle/contact_calculix.py --out tests/reference/data/contact_oracle.json

CalculiX (`ccx`, Debian package calculix-ccx) is an external program, not a dependency. Finished runs are kept in the
working folder (--work) and reused, so an interrupted series goes on where it stopped. Everything that defines the
cases stands in gripped_sector.py; nothing here knows the project's own contact model.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
from calculix_results import Outcome, read_outcome
from gripped_sector import HALF_FORCE, JAW_TOP, PART_BOTTOM, PENALTY, Case, deck, meshed
from loaded_block import BLOCK_LEVELS, block_deck, block_outcome
from richardson import error_estimate, extrapolated, observed_order

PARTS = ("solid", "ring")
JAWS = ("steel", "aluminium")
RADIUS_DIFFERENCES = (-0.05, -0.02, 0.0, 0.02, 0.05)
SOFT_PENALTY = PENALTY / 4.0
CONVERGENCE_CASES = (Case("ring", "steel", 0.02), Case("solid", "aluminium", 0.05))
# The last one is where the contact begins inside the face and the bands there differ most from the project's model.
REFINED_ONE_WAY = (*CONVERGENCE_CASES, Case("ring", "steel", -0.05))
# The third level is run for CONVERGENCE_CASES only, in 3D only if asked for.
LEVELS_3D: tuple[int, ...] = (1, 2, 3)
LEVELS_2D: tuple[int, ...] = (2, 4, 8)
FIRST_GUESS = 0.03


def run_calculix(ccx: str, job: Path, text: str) -> None:
    """Run one deck in the job's folder; a RuntimeError tells where the log is if it fails."""
    job.with_suffix(".inp").write_text(text)
    log = job.with_suffix(".log")
    environment = {**os.environ, "OMP_NUM_THREADS": "1"}
    with log.open("w") as stream:
        done = subprocess.run([ccx, job.name], cwd=job.parent, env=environment, stdout=stream, check=False)  # noqa: S603
    if done.returncode or "Job finished" not in log.read_text():
        raise RuntimeError(f"CalculiX did not finish {job.name}; its log is {log}.")


def solved(ccx: str, work: Path, case: Case, mesh: tuple[int, int], penalty: float, guess: float) -> Outcome:
    """Return the outcome of one mesh (level in plan, level along z), from the working folder if it was run before."""
    plan, along_z = mesh
    name = f"{case.name}_level{plan}_{along_z}_k{round(penalty / 1e3)}".replace("+", "")
    job, log = work / name, work / f"{name}.log"
    model = meshed(case, plan, along_z)
    if not (log.exists() and "Job finished" in log.read_text()):
        half_force = HALF_FORCE / (JAW_TOP - PART_BOTTOM) if case.plane_strain else HALF_FORCE
        run_calculix(ccx, job, deck(model, case, guess, half_force, penalty))
        for suffix in (".frd", ".inp", ".12d", ".sta"):
            job.with_suffix(suffix).unlink(missing_ok=True)
    return read_outcome(job.with_suffix(".dat"), model, case)


def series(ccx: str, work: Path, case: Case, levels: Sequence[int]) -> list[Outcome]:
    """Run one case on each level; each starts from the approach that the coarser one found."""
    outcomes: list[Outcome] = []
    for level in levels:
        guess = outcomes[-1].approach if outcomes else FIRST_GUESS
        outcomes.append(solved(ccx, work, case, (level, level), PENALTY, guess))
        sys.stderr.write(f"{case.name} level {level}: approach {outcomes[-1].approach:.6f} mm\n")
    return outcomes


def _estimates(
    name: str, outcomes: Sequence[Outcome], levels: Sequence[int], soft: Outcome
) -> list[dict[str, float]]:
    """Estimate the error of each number of one output: discretisation and penalty, both as absolute values."""

    def values(outcome: Outcome) -> list[float]:
        value = getattr(outcome, name)
        return list(value) if isinstance(value, tuple) else [value]

    rows = []
    for index, fine in enumerate(values(outcomes[-1])):
        history = [values(outcome)[index] for outcome in outcomes]
        penalty = (values(soft)[index] - history[0]) / (PENALTY / SOFT_PENALTY - 1.0)
        rows.append(
            {
                "value": fine,
                "extrapolated": extrapolated(levels, history),
                "order": observed_order(levels, history),
                "mesh_error": error_estimate(levels, history),
                "penalty_error": abs(penalty),
            }
        )
    return rows


def _limit_errors(coarse: Outcome, fine: Outcome) -> list[float] | None:
    """Return the change of each contact limit over the last refinement, deg; None if their number changed."""
    if len(coarse.contact_limits) != len(fine.contact_limits):
        return None
    return [round(abs(a - b), 3) for a, b in zip(coarse.contact_limits, fine.contact_limits, strict=True)]


def described(
    case: Case, levels: Sequence[int], outcomes: Sequence[Outcome], soft: Outcome
) -> dict[str, object]:
    """Gather one case for the data file, forces and pressures of the finest level with their error estimates."""
    finest = outcomes[-1]
    model = meshed(case, levels[-1])
    bands = _estimates("band_pressure", outcomes, levels, soft)
    entry: dict[str, object] = {
        "name": case.name,
        "part": case.part,
        "jaw": case.jaw,
        "bore_minus_part_radius_mm": case.radius_difference,
        "first_touch_e_mm": round(case.first_touch, 8),
        "levels": list(levels),
        "bricks": model.jaw.bricks.size + model.part.bricks.size,
        "nodes": len(model.jaw.nodes) + len(model.part.nodes),
        "band_mean_pressure_MPa": [round(row["value"], 4) for row in bands],
        "band_mean_pressure_error_MPa": [round(row["mesh_error"] + row["penalty_error"], 4) for row in bands],
        "contact_limits_deg": [round(limit, 3) for limit in finest.contact_limits],
        "contact_limits_error_deg": _limit_errors(outcomes[-2], finest),
        "contact_limits_deg_by_level": [[round(limit, 3) for limit in o.contact_limits] for o in outcomes],
        "middle_closed": finest.middle_closed,
        "resultant_N_per_jaw": round(finest.resultant, 4),
        "pressure_integral_N_per_jaw": round(finest.pressure_sum, 3),
        "largest_overclosure_mm": round(finest.overclosure, 7),
    }
    scalars = ["approach"] + (["harmonic_3"] if case.part == "ring" else [])
    for name in scalars:
        row = _estimates(name, outcomes, levels, soft)[0]
        entry[f"{name}_mm"] = round(row["value"], 7)
        entry[f"{name}_error_mm"] = round(row["mesh_error"] + row["penalty_error"], 7)
        entry[f"{name}_mm_by_level"] = [round(getattr(outcome, name), 7) for outcome in outcomes]
    if len(levels) > 2:
        entry["band_mean_pressure_MPa_by_level"] = [[round(p, 4) for p in o.band_pressure] for o in outcomes]
        entry["band_observed_order"] = [
            None if np.isnan(row["order"]) else round(row["order"], 2) for row in bands
        ]
        entry["band_extrapolated_MPa"] = [round(row["extrapolated"], 4) for row in bands]
    return entry


def gathered(ccx: str, work: Path, cases: Sequence[Case], most_levels: int) -> list[dict[str, object]]:
    """Run and describe a list of cases."""
    entries = []
    for case in cases:
        converging = replace(case, plane_strain=False) in CONVERGENCE_CASES
        levels = (LEVELS_2D if case.plane_strain else LEVELS_3D)[: most_levels if converging else 2]
        outcomes = series(ccx, work, case, levels)
        soft = solved(ccx, work, case, (levels[0], levels[0]), SOFT_PENALTY, outcomes[0].approach)
        entries.append(described(case, levels, outcomes, soft))
    return entries


def directional(ccx: str, work: Path, case: Case) -> dict[str, object]:
    """Refine one case in plan alone and along z alone, to tell which direction the error comes from."""
    entry: dict[str, object] = {"name": case.name}
    for direction, meshes in (("plan", [(n, 1) for n in LEVELS_3D]), ("z", [(1, n) for n in LEVELS_3D])):
        guess, outcomes = FIRST_GUESS, []
        for mesh in meshes:
            outcomes.append(solved(ccx, work, case, mesh, PENALTY, guess))
            guess = outcomes[-1].approach
        rows = _estimates("band_pressure", outcomes, LEVELS_3D, outcomes[0])
        entry[f"refined_in_{direction}"] = {
            "levels": list(LEVELS_3D),
            "approach_mm": [round(outcome.approach, 7) for outcome in outcomes],
            "harmonic_3_mm": [round(o.harmonic_3, 7) for o in outcomes if case.part == "ring"],
            "contact_limits_deg": [[round(limit, 3) for limit in o.contact_limits] for o in outcomes],
            "band_mean_pressure_MPa": [[round(p, 4) for p in o.band_pressure] for o in outcomes],
            "band_mean_pressure_error_MPa": [round(row["mesh_error"], 4) for row in rows],
        }
    return entry


def block_entry(ccx: str, work: Path) -> dict[str, object]:
    """Run the clamped block under a pressed patch on each mesh and describe it."""
    means, centres = [], []
    for level in BLOCK_LEVELS:
        job = work / f"block_level{level}"
        if not job.with_suffix(".dat").exists():
            run_calculix(ccx, job, block_deck(level))
        mean, centre = block_outcome(job.with_suffix(".dat"), level)
        means.append(mean)
        centres.append(centre)
    return {
        "description": "steel block 50 x 50 x 40 mm (x, y, z), z = 0 clamped, 10 MPa on the face x = 0 for z = 10..40",
        "levels": list(BLOCK_LEVELS),
        "mean_normal_displacement_mm": round(extrapolated(BLOCK_LEVELS, means), 9),
        "mean_normal_displacement_error_mm": error_estimate(BLOCK_LEVELS, means),
        "mean_normal_displacement_mm_by_level": means,
        "centre_normal_displacement_mm": round(extrapolated(BLOCK_LEVELS, centres), 9),
        "centre_normal_displacement_error_mm": error_estimate(BLOCK_LEVELS, centres),
        "centre_normal_displacement_mm_by_level": centres,
    }


def _version(ccx: str) -> str:
    printed = subprocess.run([ccx, "-v"], capture_output=True, text=True, check=False).stdout  # noqa: S603
    found = re.search(r"Version (\S+)", printed)
    return found.group(1) if found else "unknown"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run all cases and write the data file."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0] if __doc__ else None)
    parser.add_argument("--out", type=Path, required=True, help="data file to write (JSON)")
    parser.add_argument(
        "--work", type=Path, default=Path("calculix_runs"), help="folder of runs, kept and reused"
    )
    parser.add_argument(
        "--levels",
        type=int,
        choices=(2, 3),
        default=2,
        help="mesh levels of the two convergence cases in 3D (3: an hour more)",
    )
    chosen = parser.parse_args(arguments)
    ccx = shutil.which("ccx")
    if ccx is None:
        sys.stderr.write("Skipped: CalculiX (ccx, Debian package calculix-ccx) was not found on the PATH.\n")
        return 0
    chosen.work.mkdir(parents=True, exist_ok=True)
    combinations = list(product(PARTS, JAWS, RADIUS_DIFFERENCES))
    data: dict[str, object] = {"about": about(_version(ccx)), "block": block_entry(ccx, chosen.work)}
    data["plane_strain"] = gathered(
        ccx, chosen.work, [Case(*c, plane_strain=True) for c in combinations], len(LEVELS_2D)
    )
    data["three_dimensional"] = gathered(ccx, chosen.work, [Case(*c) for c in combinations], chosen.levels)
    data["refined_one_way"] = [directional(ccx, chosen.work, case) for case in REFINED_ONE_WAY]
    chosen.out.parent.mkdir(parents=True, exist_ok=True)
    chosen.out.write_text(json.dumps(data, indent=1, allow_nan=False) + "\n")
    return 0


def about(version: str) -> dict[str, str]:
    """Say what the numbers are, how they were computed and how far to trust them."""
    return {
        "origin": f"CalculiX {version} run by tests/oracle/contact_calculix.py, not by this project's own model.",
        "case": "three jaws 120 deg apart on a part z 10..40 of outer radius 50, solid or bored to 40, steel; 20 kN on "
        "each jaw. Half jaw: y 0..25, z 0..40, x to 100 from the bore's centre, bored arc 0..27 deg, from its end a "
        "line in direction (1, 1) to y = 25; base z = 0 clamped but for one common motion along x. Sector of the part "
        "0..60 deg. The jaw stands at first touch, where the bore's centre is first_touch_e_mm outward along the jaw. "
        "Steel E 210000 MPa, Poisson's ratio 0.30; aluminium 70000, 0.33.",
        "elements": "20-node bricks with 27 integration points (C3D20), 15-node wedges on the axis of a solid part; "
        "matching meshes on part and jaw, graded towards the arc's end, the part's lower and upper face.",
        "contact": f"face-to-face penalty, {PENALTY:.3g} MPa/mm, frictionless, small displacements.",
        "errors": "mesh error (Richardson: three levels with the observed order, two levels with order 1) plus the "
        "penalty's effect (a run with a quarter of the stiffness on the coarsest mesh, divided by 3). One "
        "estimate can be small by chance: take no band of the 3D set to be better than "
        "0.1 MPa or 0.5 %, no approach or harmonic better than 0.3 %.",
        "cross_check": "run by hand, not by the script: mortar contact with hard pressure in place of the penalty, "
        "level 1, jaw moved by the same approach: force 0.05 % lower (ring, steel, +0.02) and 0.04 % higher (solid, "
        "steel, +0.05), harmonic 3 of the former 0.03 % smaller.",
        "small_pressures": "a band within 0.06 MPa of zero is open or barely touching; a negative value there is what "
        "the contact iteration left over. Where the gap stays below 2e-6 mm the face counts as closed; the open "
        "middle of the steel ring at -0.02 mm is a gap of about 1e-5 mm and its limit is worth little.",
        "bands": "means over 3 deg x 30 mm, first band from the jaw's middle; contact limits (angles where contact "
        "starts or stops, none if all is closed) at z = 25; their error is the change over the last refinement.",
        "signs": "approach inward positive from first touch; harmonic 3 is the coefficient of cos 3 theta, theta from "
        "the jaw's middle, outward positive: negative means the bore moves in under the jaws.",
        "plane_strain": "unit thickness, jaw clamped at its outer end, forces in N per mm of height.",
    }


if __name__ == "__main__":
    raise SystemExit(main())
