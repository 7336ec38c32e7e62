"""Gauge readings fitted, as one JSON object."""

from __future__ import annotations

from typing import Any

from sim.assessment.results import CAUTIONS
from sim.readings import CONFIDENCE, Estimate, Finding, Fitted
from sim.report.assessment import finite


def fit_object(
    found: Fitted, what: tuple[Finding, ...], chuck_stiffness: Estimate | None, title: str
) -> dict[str, Any]:
    """Return the fit as plain dictionaries and numbers; what is not finite becomes None."""
    setup, readings = found.gauged, found.gauged.readings
    parameters: dict[str, Estimate | None] = {
        setup.scaled.replace(" ", "_").replace("'", ""): found.scale,
        "friction": found.friction,
    }
    parameters["loss_share"] = found.loss
    parameters["radial_stiffness_N_per_mm"] = chuck_stiffness
    return {
        "title": title,
        "readings": readings.count,
        "bad_rows": [
            {"line": bad.line, "column": bad.column, "found": bad.found, "allowed": bad.allowed}
            for bad in readings.bad
        ],
        "confidence": CONFIDENCE,
        "scatter_N": found.scatter,
        "parameters": {
            name: None
            if e is None
            else {"value": e.value, "low": finite(e.low), "high": finite(e.high), "held": e.held}
            for name, e in parameters.items()
        },
        "residual_N": [
            {"line": int(line), "fit": float(fit), "residual": float(left)}
            for line, fit, left in zip(readings.line, found.predicted, found.residual, strict=True)
        ],
        "findings": [
            {"kind": f.kind, "serious": f.serious, "rejects": f.rejects, "text": f.text, "basis": f.basis}
            for f in what
        ],
        "cautions": list(CAUTIONS),
    }
