"""The plot that shows why: of the verdict that decides, or of what holds the part where all pass."""

from __future__ import annotations

from dataclasses import dataclass

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rules import rule_of
from sim.views.embed import Embedded, embedded_plot
from sim.views.moment import moment_section
from sim.views.plots import grip_against_speed
from sim.views.shape import roundness_polar

_BY_GRIP = frozenset({"cut", "fast", "gripped", "at rest", "side force", "worst move", "fastest move"})
_ON_A_PATH = frozenset({"touch", "nearest", "cut too deep", "stock left", "deepest move", "rapid move"})


@dataclass(frozen=True, slots=True)
class Reason:
    """A plot at the head of a page with what it is there for."""

    title: str
    shown: Embedded


def why(assessment: Assessment) -> Reason | None:
    """Return the plot beside the pictures; None where these fill the width and say it themselves."""
    bad = sorted((v for v in assessment.verdicts if v.status != "pass"), key=lambda v: v.rank)
    for verdict in bad:
        found = _of(assessment, verdict)
        if found is not None:
            # The answer over it names the first: what is drawn of another must not be read as its reason.
            return Reason(f"{'Why' if verdict is bad[0] else 'Also'}: {verdict.name}", found)
    if len(assessment.operations) > 1:
        return None
    return Reason("Grip", _grip(assessment, assessment.operations[0]))


def _of(assessment: Assessment, verdict: Verdict) -> Embedded | None:
    """Return what shows why a verdict does not pass; None where the pictures do (pressure) or nothing is drawn."""
    view = rule_of(verdict.key).view
    path = next((path for stage, path in assessment.paths if stage == verdict.stage), None)
    if path is not None and view in _ON_A_PATH:
        figure = moment_section(path)
        when = "at its first touch" if path.clearance.touches else "where its clearance is least"
        return None if figure is None else embedded_plot(figure, "why", f"The tool {when}, {verdict.stage}.")
    figures = next((f for f in assessment.operations if f.operation.name == verdict.stage), None)
    if figures is None:
        return None
    if "roundness" in verdict.key and (polar := roundness_polar(figures)) is not None:
        return embedded_plot(
            polar, "why", "Shape of the gripped section, far enlarged, as clamped and as it springs back."
        )
    return _grip(assessment, figures) if view in _BY_GRIP else None


def _grip(assessment: Assessment, figures: OperationFigures) -> Embedded:
    return embedded_plot(
        grip_against_speed(figures, assessment.scenario),
        "why",
        f"Grip left against speed, and what the cuts need, {figures.operation.name}.",
    )
