"""All verdicts of a setup, worst first."""

from __future__ import annotations

from collections.abc import Iterable

from sim.assessment.as_stated import doubts, without_passes
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.neck import parted_off
from sim.assessment.practice import with_practice
from sim.assessment.remedies import with_remedies
from sim.assessment.results import Assessment
from sim.assessment.thin_section import thin_sections
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.across import across_verdict
from sim.assessment.verdicts.boring import boring_verdicts
from sim.assessment.verdicts.cuts import cut_verdicts
from sim.assessment.verdicts.cutting import cutting_verdicts
from sim.assessment.verdicts.friction import friction_verdicts
from sim.assessment.verdicts.grip import grip_verdicts
from sim.assessment.verdicts.included import included_verdicts
from sim.assessment.verdicts.jaw import jaw_verdicts, seat_verdicts
from sim.assessment.verdicts.machining import machining_verdicts
from sim.assessment.verdicts.metal import held_metal_verdicts, metal_verdicts
from sim.assessment.verdicts.neighbours import clear_verdict
from sim.assessment.verdicts.part import part_verdicts
from sim.assessment.verdicts.part_balance import part_balance_verdicts
from sim.assessment.verdicts.pocket_limits import AtLimit, pocket_limit_verdicts
from sim.assessment.verdicts.pockets import pocket_verdicts
from sim.assessment.verdicts.running import running_verdicts
from sim.assessment.verdicts.seating import seating_verdicts
from sim.assessment.verdicts.spindle import spindle_verdicts
from sim.assessment.verdicts.supports import support_verdicts
from sim.assessment.verdicts.thin_section import section_verdict
from sim.scenario import Scenario
from sim.setup.parts import Parts
from sim.setup.size_limits import limit_told


def judge(
    parts: Parts,
    boring: BoringFigures,
    operations: tuple[OperationFigures, ...],
    machining: tuple[MachiningFigures | None, ...],
    *,
    advised: bool = True,
) -> tuple[Verdict, ...]:
    """Return every verdict of the boring set-up and of each operation, in the order of the work.

    `advised` is that of `sim.assess`.
    """
    found = [*boring_verdicts(parts, boring, operations)]
    found += pocket_verdicts(parts, boring, operations)
    found += [*jaw_verdicts(parts), clear_verdict(parts)]
    found += metal_verdicts(parts)
    found += included_verdicts(parts.scenario)
    for figures, program in zip(operations, machining, strict=True):
        found += part_verdicts(parts, boring, figures)
        found += part_balance_verdicts(parts, figures)
        found += running_verdicts(parts, figures)
        found += held_metal_verdicts(parts, boring, figures)
        found += seating_verdicts(parts, figures)
        found += cut_verdicts(parts, figures)
        found += grip_verdicts(parts, figures)
        found += support_verdicts(parts, figures, parted_off(parts, figures, program))
        found.append(section_verdict(parts, figures, thin_sections(parts, figures, program)))
        found += friction_verdicts(parts, figures)
        found += cutting_verdicts(parts, figures)
        found += spindle_verdicts(parts, figures)
        found += [*seat_verdicts(parts, figures), across_verdict(parts, figures)]
        found += machining_verdicts(parts, figures, program)
    if advised:
        found = with_remedies(parts, operations, machining, found)
    told = [with_practice(verdict, parts.scenario) for verdict in found]
    return tuple(without_passes(told, doubts(told, [f.operation.name for f in operations])))


def with_limits(
    scenario: Scenario, verdicts: Iterable[Verdict], limits: Iterable[Assessment]
) -> tuple[Verdict, ...]:
    """Return the verdicts worst first, with that on the setup judged at the limits of its pockets."""
    stated = tuple(verdicts)
    at = [AtLimit(limit_told(scenario, one.scenario), one.verdicts) for one in limits]
    return in_order((*stated, *pocket_limit_verdicts(stated, at)))


def in_order(verdicts: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """Return the verdicts worst first; within a status the least margin first."""
    return tuple(sorted(verdicts, key=lambda v: v.rank))
