"""How sure the verdicts are, as one JSON object; units as `sim.uncertainty.inputs.QUANTITIES` shows them."""

from __future__ import annotations

from typing import Any

from sim.assessment.results import CAUTIONS
from sim.report.verdicts import finite, verdict_object
from sim.uncertainty import Analysis, Estimate, Input, VerdictFound
from sim.uncertainty.analysis import CHECKED
from sim.uncertainty.probability import SHARES
from sim.uncertainty.sensitivity import RESAMPLES

METHODS = {
    "sampling": "scrambled Sobol points (scipy.stats.qmc)",
    "probability": "share of the rows of both samples; Wilson interval, 95 %, widened by the emulator's error",
    "percentiles": "order statistics, 95 % distribution-free interval (scipy.stats.quantile_test)",
    "indices": f"Saltelli 2010 (scipy.stats.sobol_indices), 95 % percentile bootstrap, {RESAMPLES} resamples",
    "emulator": f"contact solved for some rows, radial functions between; error over {CHECKED} other rows",
}


def uncertainty_object(found: Analysis) -> dict[str, Any]:
    """Return what a sample says as plain dictionaries and numbers."""
    made: dict[str, Any] = finite(
        {
            "samples": found.samples,
            "seed": found.seed,
            "variants_judged": found.runs,
            "methods": METHODS,
            "inputs": [_input(one) for one in found.inputs],
            "share_that_cannot_be_built": found.refused,
            "refusals": list(found.reasons),
            "verdicts": [_verdict(one, found.inputs) for one in found.verdicts],
            "unmoved_verdicts": found.unmoved,
            "not_asked": [
                {"key": one.key, "name": one.name, "stage": one.stage, "why": one.why}
                for one in found.not_asked
            ],
            "figures": {name: _percentiles(of) for name, of in found.figures.items()},
            "as_stated": [verdict_object(v) for v in found.assessment.verdicts],
            "cautions": list(CAUTIONS),
        }
    )
    return made


def _input(one: Input) -> dict[str, Any]:
    d, factor = one.distribution, one.quantity.factor
    return {
        "field": one.field,
        "what": one.quantity.words,
        "operation": one.stage,
        "unit": one.quantity.unit,
        "kind": d.kind,
        "low": d.low * factor,
        "centre": d.centre * factor,
        "high": d.high * factor,
        "basis": one.basis,
    }


def _verdict(one: VerdictFound, inputs: tuple[Input, ...]) -> dict[str, Any]:
    rows = zip(inputs, one.first, one.first_interval, one.total, one.total_interval, strict=True)
    return {
        "key": one.key,
        "name": one.name,
        "stage": one.stage,
        "of_input": None if one.of_input is None else one.of_input.field,
        "probability": _estimate(one.holds),
        "margin": _percentiles(one.margin),
        "emulator_error_share": one.emulated_error,
        "indices": [
            {
                "field": i.field,
                "first": float(first),
                "first_interval": first_ends.tolist(),
                "total": float(total),
                "total_interval": total_ends.tolist(),
            }
            for i, first, first_ends, total, total_ends in rows
        ],
    }


def _percentiles(of: tuple[Estimate, ...]) -> dict[str, Any]:
    return {f"{100.0 * share:g} %": _estimate(one) for share, one in zip(SHARES, of, strict=True)}


def _estimate(one: Estimate) -> dict[str, float]:
    return {"value": one.value, "low": one.low, "high": one.high}
