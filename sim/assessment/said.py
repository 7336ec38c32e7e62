"""What a setup's state is called, in the words that terminal, pages and papers share."""

from __future__ import annotations

from collections.abc import Mapping

from sim.assessment.results import Assessment
from sim.assessment.verdict import Status

SAYS: Mapping[Status, str] = {
    "fail": "Do not run this setup as it is",
    "warn": "Nothing fails, something warns",
    "pass": "All verdicts pass",
}
ASKED = "Passes what was asked"  # nothing fails or warns, but something that matters was not asked


def said(assessment: Assessment) -> str:
    """Return what the setup is, in few words."""
    if assessment.status == "warn" and all(v.status == "pass" for v in assessment.verdicts):
        return ASKED
    return SAYS[assessment.status]


def unasked(count: int) -> str:
    """Say how many questions that matter were not asked; empty for none."""
    return f"{count} question{'s' if count > 1 else ''} not asked" if count else ""
