"""Readings of a gauge or a dial fitted, as one JSON object."""

from __future__ import annotations

from typing import Any

from sim.assessment.results import CAUTIONS
from sim.readings import CONFIDENCE, BadRow, DialFit, Estimate, Finding, Fitted
from sim.report.verdicts import finite


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
        "bad_rows": _bad(readings.bad),
        "confidence": CONFIDENCE,
        "scatter_N": found.scatter,
        "parameters": {name: _estimate(e) for name, e in parameters.items()},
        "residual_N": [
            {"line": int(line), "fit": float(fit), "residual": float(left)}
            for line, fit, left in zip(readings.line, found.predicted, found.residual, strict=True)
        ],
        "findings": _said(what),
        "cautions": list(CAUTIONS),
    }


def dial_object(found: DialFit, what: tuple[Finding, ...], title: str) -> dict[str, Any]:
    """Return what readings of a dial tell as plain dictionaries and numbers; lengths in mm."""
    setup, fields = found.dialled, found.fields
    return {
        "title": title,
        "readings": setup.readings.count,
        "bad_rows": _bad(setup.readings.bad),
        "confidence": CONFIDENCE,
        "clampings": found.clampings,
        "mountings": found.mountings,
        "rho": setup.rho,
        "dial_step_mm": setup.step,
        "parameters": {
            "repeat_scatter": _estimate(fields["repeat_scatter"]),
            "stiffness_scatter": _estimate(fields["stiffness_scatter"]),
            "rebolted_along_mm": _estimate(fields["rebolted_along"]),
            "rebolted_across_mm": _estimate(fields["rebolted_across"]),
            "rebolted_up_mm": _estimate(fields["rebolted_up"]),
        },
        "seen": {
            "repeat_shift_mm_per_N": _estimate(found.repeat_shift),
            "remount_shift_mm": _estimate(found.remount_shift),
            "remount_lean_rad": _estimate(found.remount_lean),
            "drift_mm_per_N": _estimate(found.drift),
            "run_out_mm": _estimate(found.run_out),
            "lean_rad": _estimate(found.lean),
        },
        "findings": _said(what),
        "cautions": list(CAUTIONS),
    }


def _estimate(found: Estimate | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {"value": found.value, "low": finite(found.low), "high": finite(found.high), "held": found.held}


def _bad(rows: tuple[BadRow, ...]) -> list[dict[str, Any]]:
    return [{"line": r.line, "column": r.column, "found": r.found, "allowed": r.allowed} for r in rows]


def _said(what: tuple[Finding, ...]) -> list[dict[str, Any]]:
    return [
        {"kind": f.kind, "serious": f.serious, "rejects": f.rejects, "text": f.text, "basis": f.basis}
        for f in what
    ]
