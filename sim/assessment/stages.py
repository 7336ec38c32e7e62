"""From a scenario to a judged setup: the stages in their order, nothing above is imported by what lies below."""

from __future__ import annotations

from contextlib import nullcontext

from sim.assessment.bodies import ContactModel
from sim.assessment.boring import bore
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.machining import asked_by_program, machine, part_program, program_paths
from sim.assessment.not_judged import not_judged
from sim.assessment.operation import grip_part, gripped
from sim.assessment.results import Assessment
from sim.assessment.verdicts.judge import judge, with_limits
from sim.base.answers import asking
from sim.base.share import Tell
from sim.base.threads import one_blas_thread
from sim.scenario import Scenario
from sim.setup import parts
from sim.setup.size_limits import limit_setups, limit_told

__all__ = ["assess"]


def assess(
    scenario: Scenario,
    progress: Tell | None = None,
    contact_model: ContactModel = "elastic",
    *,
    advised: bool = True,
) -> Assessment:
    """Judge a setup.

    Parameters
    ----------
    scenario : Scenario
        From `sim.load`, so its geometry is possible.
    progress : callable, optional
        Told the name of each stage as it starts.
    contact_model : {'elastic', 'foundation'}
        Finite elements (seconds the first time, then cached) or columns (milliseconds, order of magnitude).
    advised : bool
        Whether it is looked for which pressure, speed, torque or travel mends what fails; no figure and no status
        hangs on it. Of setups that fail, whose advice nobody reads, it is much of the work.

    Raises
    ------
    ScenarioError
        If a part cannot be made as stated.
    ContactNotConverged
        If a contact problem has no balanced solution; no figure is then given.
    """
    # To find every BLAS of the process takes as long as reading all answers: where they are asked for, what is heavy
    # finds them itself, if it is worked out at all.
    with nullcontext() if asking() else one_blas_thread():
        return _assessed(scenario, progress or (lambda _: None), contact_model, advised=advised)


def _assessed(
    scenario: Scenario,
    tell: Tell,
    contact_model: ContactModel,
    bored: BoringFigures | None = None,
    *,
    advised: bool,
) -> Assessment:
    """Judge a setup; `bored` is its boring path where that is known."""
    tell("parts")
    built = parts.build(scenario)
    programs = [part_program(built, index) for index in range(len(scenario.operations))]
    tell("boring path and clearance")
    boring = bore(built) if bored is None else bored
    figures: list[OperationFigures] = []
    machining = []
    many = len(scenario.operations)

    def place(index: int) -> str:
        return f" ({index + 1} of {many})" if many > 1 else ""

    for index, (operation, program) in enumerate(zip(scenario.operations, programs, strict=True)):
        if program is not None:
            tell(f"machining program, {operation.name}{place(index)}")
        known = gripped(built, index)
        paths = program_paths(built, known, program)
        asked = asked_by_program(known, paths)
        tell(f"grip and contact, {operation.name}{place(index)}")
        figures.append(grip_part(built, index, contact_model, None, figures, known=known, moves=asked))
        machining.append(machine(built, figures[-1], paths))
    found = built, boring, tuple(figures), tuple(machining)
    verdicts = judge(*found, advised=advised)
    limits = _at_limits(scenario, boring, tell, contact_model, advised=advised)
    return Assessment(
        scenario, *found, with_limits(scenario, verdicts, limits), not_judged(*found), at_limits=limits
    )


def _at_limits(
    scenario: Scenario, boring: BoringFigures, tell: Tell, contact_model: ContactModel, *, advised: bool
) -> tuple[Assessment, ...]:
    """Return the setup judged at the limits of its pockets.

    A program bores what it says: its path is that of the pockets as stated.
    """
    path = None if scenario.boring.program is None else boring
    found = []
    limits = tuple(limit_setups(scenario))
    for number, limit in enumerate(limits, 1):
        words = f"{limit_told(scenario, limit)} ({number} of {len(limits)})"

        def told(stage: str, words: str = words) -> None:
            tell(f"{stage}, {words}")

        found.append(_assessed(limit, told, contact_model, path, advised=advised))
    return tuple(found)
