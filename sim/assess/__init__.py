"""From a scenario to a judged setup: the stages in their order, nothing above is imported by what lies below."""

from __future__ import annotations

from collections.abc import Callable

from sim import parts
from sim.assess.bodies import ContactModel
from sim.assess.boring import bore
from sim.assess.operation import grip_part
from sim.assess.verdicts import in_order, judge
from sim.assessment import Assessment
from sim.scenario import Scenario

__all__ = ["assess"]


def assess(
    scenario: Scenario,
    progress: Callable[[str], None] | None = None,
    contact_model: ContactModel = "elastic",
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

    Raises
    ------
    ScenarioError
        If a part cannot be made as stated.
    ContactNotConverged
        If a contact problem has no balanced solution; no figure is then given.
    """
    tell = progress or (lambda _: None)
    tell("parts")
    built = parts.build(scenario)
    tell("boring path and clearance")
    boring = bore(built)
    figures = []
    for index, operation in enumerate(scenario.operations):
        tell(f"grip and contact, {operation.name}")
        figures.append(grip_part(built, index, contact_model))
    verdicts = in_order(judge(built, boring, tuple(figures)))
    return Assessment(scenario, built, boring, tuple(figures), verdicts)
