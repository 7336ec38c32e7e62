"""Layouts weighed, as one JSON object; keys and verdicts as in `sim.report`."""

from __future__ import annotations

from typing import Any

from sim.assessment import CAUTIONS
from sim.layouts.comparison import Comparison, Row
from sim.layouts.layout import closest, least_margin, set_ups
from sim.layouts.shelf import Fit, bored_to
from sim.report import finite, verdict_object


def comparison_object(found: Comparison) -> dict[str, Any]:
    """Return layouts side by side as plain dictionaries and numbers."""
    names = [layout.name for layout in found.layouts]
    made: dict[str, Any] = finite(
        {
            "layouts": [
                {
                    "name": layout.name,
                    "titles": [one.scenario.title for one in layout.sets],
                    "status": layout.status,
                    "least_margin": least_margin(layout.verdicts),
                    "closest": verdict_object(closest(layout.verdicts)),
                    "set_ups": set_ups(layout).total,
                }
                for layout in found.layouts
            ],
            "figures": [_row(row, names) for row in found.rows],
            "verdicts": [
                {
                    "name": row.name,
                    "stage": row.stage,
                    "layouts": {
                        name: None if cell is None else verdict_object(cell)
                        for name, cell in zip(names, row.cells, strict=True)
                    },
                }
                for row in found.verdicts
            ],
            "decision": {"first": found.decision.first, "reasons": list(found.decision.reasons)},
            "cautions": list(CAUTIONS),
        }
    )
    return made


def _row(row: Row, names: list[str]) -> dict[str, Any]:
    return {
        "group": row.group,
        "what": row.what,
        "unit": row.unit,
        "better": row.better,
        "layouts": dict(zip(names, row.values, strict=True)),
    }


def shelf_object(fits: tuple[Fit, ...]) -> dict[str, Any]:
    """Return the sets of a shelf for a part as plain dictionaries and numbers, the best first."""
    made: dict[str, Any] = finite(
        {
            "sets": [
                {
                    "name": fit.jaw_set.name,
                    "file": str(fit.jaw_set.file),
                    "bored_to": bored_to(fit.jaw_set),
                    "fits": fit.fits,
                    "status": None if fit.assessment is None else fit.assessment.status,
                    "serration_index": fit.serration_index,
                    "metal_per_jaw_cm3": fit.metal,
                    "fresh_share": fit.fresh,
                    "radial_metal_left_mm": fit.left,
                    "against_it": fit.reason,
                    "verdicts": []
                    if fit.assessment is None
                    else [verdict_object(v) for v in fit.assessment.verdicts],
                }
                for fit in fits
            ],
            "cautions": list(CAUTIONS),
        }
    )
    return made
