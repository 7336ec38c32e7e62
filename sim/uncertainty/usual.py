"""Spreads for what a scenario does not state, for a user who asks for them; each with its basis."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.assessment.results import Assessment
from sim.setup.pairing import pairing_of
from sim.uncertainty.distribution import Distribution, normal, triangular, uniform
from sim.uncertainty.inputs import OF_CHUCK, OF_OPERATION, Input, centre, placed
from sim.variants import is_quick

PRACTICE = "common practice, no source"


def usual_inputs(assessment: Assessment, stated: Sequence[Input]) -> tuple[Input, ...]:
    """Return the stated inputs and, for all else that may vary, the usual ones, in the order of the tables.

    Raises
    ------
    ScenarioError
        If a usual spread reaches what cannot be.
    """
    known = {(one.name, one.operation): one for one in stated}
    places = [(name, -1) for name in OF_CHUCK]
    places += [(name, n) for n in range(len(assessment.operations)) for name in OF_OPERATION]
    found = []
    for name, index in places:
        if (name, index) in known:
            found.append(known[name, index])
            continue
        found += [
            placed(assessment, name, index, distribution, basis)
            for distribution, basis in _usual(assessment, name, index)
        ]
    return tuple(found)


def _usual(assessment: Assessment, name: str, index: int) -> Iterator[tuple[Distribution, str]]:
    """Yield the usual spread of a figure and its basis; nothing where none is usual."""
    stated = centre(assessment, name, index)
    if name == "guideway_friction":
        yield triangular(0.75 * stated, stated, 2.0 * stated), f"fresh to long not greased ({PRACTICE})"
    elif name == "grip_gauge":
        yield normal(0.0, 0.02), f"2\u00a0% ({PRACTICE})"
    elif name in {"jaw_modulus", "part_modulus"}:
        yield normal(stated, 0.03 * stated), f"3\u00a0% of the table's value ({PRACTICE})"
    elif name == "pressure":
        off = 0.025 * assessment.scenario.chuck.pressure_limit
        yield (
            uniform(max(stated - off, 0.5 * stated), stated + off),
            "2.5\u00a0% of the pressure limit, a gauge of class 2.5 (EN 837-1, table of limits of error)",
        )
    elif name == "friction":
        row = pairing_of(assessment.scenario, index)
        yield uniform(row.low, row.high), f"low to high value of the pairing (table: {row.source})"
    elif name == "cutting_force":
        yield uniform(0.7, 1.0), f"tables differ by 30\u00a0%, the higher is computed ({PRACTICE})"
    elif name == "diameter":
        work = assessment.scenario.operations[index].workpiece
        key = f"operations.{index}.workpiece.gripped_diameter_low"
        if is_quick(assessment, key):
            yield uniform(work.gripped_diameter_low, work.gripped_diameter_high), "tolerance of the scenario"
    elif stated > 0.0 and is_quick(assessment, f"operations.{index}.workpiece.out_of_round"):
        yield uniform(0.0, stated), f"from round to what the scenario states ({PRACTICE})"
