"""Turn a value and a limit into a verdict."""

from __future__ import annotations

from dataclasses import replace

from sim.assessment.results import Status, Verdict

RELATIVE = 1e-9  # a value that meets its limit but for rounding passes


def at_least(
    name: str,
    stage: str,
    value: float,
    limit: float,
    unit: str,
    *,
    basis: str,
    message: str,
    advice: str,
    otherwise: Status = "fail",
) -> Verdict:
    """Return a pass if the value is at least the limit, else `otherwise` with the advice."""
    missed = Verdict(name, stage, otherwise, value, limit, unit, basis, message, advice)
    return _passed(missed) if value >= limit - RELATIVE * abs(limit) else missed


def at_most(
    name: str,
    stage: str,
    value: float,
    limit: float,
    unit: str,
    *,
    basis: str,
    message: str,
    advice: str,
    otherwise: Status = "fail",
) -> Verdict:
    """Return a pass if the value is at most the limit, else `otherwise` with the advice."""
    missed = Verdict(name, stage, otherwise, value, limit, unit, basis, message, advice, at_least=False)
    return _passed(missed) if value <= limit + RELATIVE * abs(limit) else missed


def _passed(verdict: Verdict) -> Verdict:
    return replace(verdict, status="pass", advice="")
