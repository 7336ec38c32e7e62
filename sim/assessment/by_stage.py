"""Verdicts by the stage of the work, as pages fold them."""

from __future__ import annotations

from collections.abc import Sequence

from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict


def by_stage(assessment: Assessment, verdicts: Sequence[Verdict]) -> list[tuple[str, list[Verdict]]]:
    """Return verdicts by their stage, stages in the order of the work, each worst first; no empty stage."""
    known = ["jaws", "boring", *(one.operation.name for one in assessment.operations)]
    stages = dict.fromkeys([*known, *(v.stage for v in verdicts)])
    found = [
        (stage, sorted((v for v in verdicts if v.stage == stage), key=lambda v: v.rank)) for stage in stages
    ]
    return [(stage, rows) for stage, rows in found if rows]
