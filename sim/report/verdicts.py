"""Verdicts, and questions that were not asked, as figures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from sim.assessment.verdict import NotJudged, Verdict
from sim.assessment.verdicts.rules import rule_of

if TYPE_CHECKING:
    from sim.layouts.full_check import FullCheck


def verdict_object(v: Verdict) -> dict[str, Any]:
    """Return one verdict as a plain dictionary."""
    return {
        "key": v.key,
        "name": v.name,
        "stage": v.stage,
        "status": v.status,
        "value": v.value,
        "limit": v.limit,
        "unit": v.unit,
        "limit_is": "at least" if v.at_least else "at most",
        "basis": v.basis,
        "message": v.message,
        "advice": v.advice,
    }


def check_object(found: FullCheck) -> dict[str, Any]:
    """Return what the full check says of something that a command names as a plain dictionary."""
    worst = found.worst
    return {
        "status": found.status,
        "worst": None if worst is None else verdict_object(worst),
        "margin": None if worst is None else worst.margin,
        "questions_that_matter_not_asked": found.unasked,
    }


def not_judged_object(one: NotJudged) -> dict[str, Any]:
    """Return one question that was not asked as a plain dictionary."""
    return {
        "question": one.question,
        "stage": one.stage,
        "why": one.why,
        "needs": one.needs,
        "matters": one.matters,
        "verdicts": [rule_of(key).name for key in one.verdicts],
        "verdict_keys": list(one.verdicts),
    }


def finite(value: Any) -> Any:
    """Return dictionaries and lists with every number that is not finite replaced by None."""
    if isinstance(value, dict):
        return {key: finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [finite(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
