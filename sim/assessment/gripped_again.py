"""A setup judged again at other pressures and speeds: solids, compliances and the boring path are taken over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sim.assessment.as_stated import doubts, without_passes
from sim.assessment.bodies import ContactModel
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.machining import asked_again, held_again
from sim.assessment.neck import parted_off
from sim.assessment.not_judged import not_judged
from sim.assessment.operation import after, grip_part, gripped
from sim.assessment.results import Assessment
from sim.assessment.state import States, gripping_at, require_loads, states
from sim.assessment.thin_section import thin_sections
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.across import across_verdict
from sim.assessment.verdicts.grip import grip_verdicts
from sim.assessment.verdicts.jaw import seat_verdicts
from sim.assessment.verdicts.judge import in_order, judge, with_limits
from sim.assessment.verdicts.machining import moves_held_verdicts
from sim.assessment.verdicts.metal import wall_verdict
from sim.assessment.verdicts.part import part_verdicts
from sim.assessment.verdicts.running import running_verdicts
from sim.assessment.verdicts.spindle import spindle_verdicts
from sim.assessment.verdicts.supports import support_verdicts
from sim.assessment.verdicts.thin_section import section_verdict
from sim.setup.parts import Parts


@dataclass(frozen=True, slots=True, eq=False)
class JudgedState:
    """An operation at another pressure and highest speed, as `check` judges it; verdicts worst first."""

    figures: OperationFigures
    verdicts: tuple[Verdict, ...]


def judged_at(ready: States, operation: int, pressure: float, speed: float) -> JudgedState:
    """Return an operation judged at another pressure (MPa) and highest speed (rev/min).

    It takes many contacts, over one turn and at the limits of size: some tenths of a second.

    Raises
    ------
    ValueError
        If a value is not finite, or the chuck's own data do not reach so far.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    require_loads(pressure, speed)
    parts = gripping_at(ready.assessment.parts, operation, pressure, speed)
    model = ready.assessment.operations[operation].clamping.model
    earlier = ready.assessment.operations[:operation]
    figures, machining = _gripped_anew(ready, parts, operation, model, earlier)
    if operation not in ready.parted:
        ready.parted[operation] = parted_off(parts, figures, machining)
    known = ready.sections.setdefault(operation, {})
    verdicts = (
        *part_verdicts(parts, ready.assessment.boring, figures),
        *running_verdicts(parts, figures),
        wall_verdict(parts, figures),
        *grip_verdicts(parts, figures),
        *moves_held_verdicts(parts, figures, machining),
        *support_verdicts(parts, figures, ready.parted[operation]),
        section_verdict(parts, figures, thin_sections(parts, figures, machining, known)),
        *spindle_verdicts(parts, figures),
        *seat_verdicts(parts, figures),
        across_verdict(parts, figures),
    )
    before = ready.assessment
    doubted = doubts(before.verdicts, [f.operation.name for f in before.operations])
    return JudgedState(figures, in_order(without_passes(verdicts, doubted)))


def with_pressures(ready: States, pressures: Mapping[int, float]) -> Assessment:
    """Return the whole setup judged with other pressures (MPa) of some operations, by their numbers.

    As `with_gripping` with the highest speeds that the scenario states.
    """
    operations = ready.assessment.operations
    return with_gripping(
        ready,
        {n: (pressure, operations[n].operation.gripping.speed_high) for n, pressure in pressures.items()},
    )


def with_gripping(ready: States, gripping: Mapping[int, tuple[float, float]]) -> Assessment:
    """Return the whole setup judged at other (pressure, highest speed) of some operations, MPa and rev/min.

    As `assess` gives it for the file with these values; solids, compliances and the boring path are taken over.

    Raises
    ------
    ValueError
        If a value is not finite, or the chuck's own data do not reach so far.
    ContactNotConverged
        If a part at rest is not balanced between the jaws.
    """
    before, parts = ready.assessment, ready.assessment.parts
    for index, (pressure, speed) in gripping.items():
        require_loads(pressure, speed)
        parts = gripping_at(parts, index, pressure, speed)
    figures: tuple[OperationFigures, ...] = ()
    machining: tuple[MachiningFigures | None, ...] = ()
    for f in before.operations:
        if f.index in gripping:
            found_anew, program = _gripped_anew(ready, parts, f.index, f.clamping.model, figures)
        else:
            found_anew, program = after(parts, f, figures), before.machining[f.index]
        figures, machining = (*figures, found_anew), (*machining, program)
    found = parts, before.boring, figures, machining
    limits = tuple(with_gripping(states(one), gripping) for one in before.at_limits)
    verdicts = with_limits(parts.scenario, judge(*found), limits)
    return Assessment(parts.scenario, *found, verdicts, not_judged(*found), at_limits=limits)


def _gripped_anew(
    ready: States, parts: Parts, index: int, model: ContactModel, earlier: Sequence[OperationFigures]
) -> tuple[OperationFigures, MachiningFigures | None]:
    """Return an operation under another grip, with its program: neither pressure nor speed moves its path."""
    before = ready.assessment.machining[index]
    known = gripped(parts, index)
    asked = asked_again(known, before)
    figures = grip_part(parts, index, model, ready.prepared[index], earlier, known=known, moves=asked)
    return figures, held_again(before, figures)
