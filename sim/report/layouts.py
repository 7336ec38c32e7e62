"""Layouts weighed, as one JSON object; keys as in `sim.report.assessment`, verdicts as in `sim.report.verdicts`."""

from __future__ import annotations

from typing import Any

from sim.assessment.results import CAUTIONS
from sim.assessment.verdicts.rules import rule_of
from sim.layouts.candidate import Candidate, Keys, margin
from sim.layouts.comparison import Comparison, Row
from sim.layouts.full_check import FullCheck
from sim.layouts.grip_height import GripHeight
from sim.layouts.layout import closest, least_margin, set_ups
from sim.layouts.search import SearchResult
from sim.layouts.shelf import ShelvedSet, bored_to
from sim.layouts.window import Side, Window, WindowPoint, border, margin_at, open_pressures
from sim.report.verdicts import check_object, finite, verdict_object


def comparison_object(found: Comparison) -> dict[str, Any]:
    """Return layouts side by side as plain dictionaries and numbers."""
    names = [layout.name for layout in found.layouts]
    made: dict[str, Any] = finite(
        {
            "layouts": [
                {
                    "name": layout.name,
                    "titles": [one.scenario.title for one in layout.sets],
                    "origin": [line for one in layout.sets for line in one.scenario.origin],
                    "status": layout.status,
                    "questions_that_matter_not_asked": layout.unasked,
                    "least_margin": least_margin(layout.verdicts),
                    "closest": verdict_object(closest(layout.verdicts)),
                    "set_ups": set_ups(layout).total,
                }
                for layout in found.layouts
            ],
            "figures": [_row(row, names) for row in found.rows],
            "verdicts": [
                {
                    "key": row.key,
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


def shelf_object(fits: tuple[ShelvedSet, ...]) -> dict[str, Any]:
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
                    "check": _checked(fit.check),
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


def window_object(windows: list[tuple[Window, GripHeight | None]]) -> dict[str, Any]:
    """Return pressure against speed of operations as plain dictionaries and numbers."""
    made: dict[str, Any] = finite(
        {
            "windows": [
                _window(shown) | ({} if height is None else {"grip_height": _grip_height(height)})
                for shown, height in windows
            ],
            "cautions": list(CAUTIONS),
        }
    )
    return made


def _window(shown: Window) -> dict[str, Any]:
    open_ = open_pressures(shown)
    return {
        "operation": shown.operation,
        "stated": _point(shown.stated),
        "recommended": None if shown.recommended is None else _point(shown.recommended),
        "fastest": None if shown.fastest is None else _point(shown.fastest),
        "not_confirmed": list(shown.dropped),
        "speeds_rpm": shown.speeds.tolist(),
        "least_pressure_MPa": open_[:, 0].tolist(),
        "largest_pressure_MPa": open_[:, 1].tolist(),
        "criteria": [
            {
                "name": c.name,
                "warns_only": c.soft,
                "margin_as_stated": margin_at(shown, c, shown.stated.pressure, shown.stated.speed),
                "just_met_at_MPa": border(shown, c.name).tolist(),
            }
            for c in shown.criteria
        ],
    }


def _point(point: WindowPoint) -> dict[str, Any]:
    def side(end: Side | None, unit: str) -> dict[str, Any] | None:
        return None if end is None else {"name": end.name, f"at_{unit}": end.at}

    return {
        "pressure_MPa": point.pressure,
        "speed_rpm": point.speed,
        "margin": point.margin,
        "least": point.least,
        "less_pressure": side(point.low, "MPa"),
        "more_pressure": side(point.high, "MPa"),
        "more_speed": side(point.fast, "rpm"),
        "warns": list(point.warns),
        "check": _checked(point.check),
    }


def _checked(found: FullCheck | None) -> dict[str, Any] | None:
    """Return what the full check says, with what stands against it; None where it was not asked."""
    return None if found is None else {**check_object(found), "against_it": found.reason}


def _grip_height(height: GripHeight) -> dict[str, Any]:
    return {
        "heights_mm": height.heights.tolist(),
        "needed_MPa": height.needed.tolist(),
        "guideway_moment_MPa": height.by_moment.tolist(),
        "largest_grip_MPa": height.by_grip.tolist(),
        "pressure_limit_MPa": height.limit,
        "highest_mm": height.highest,
        "ended_by": height.ended_by,
    }


def search_object(found: SearchResult) -> dict[str, Any]:
    """Return what a search found as plain dictionaries and numbers."""
    made: dict[str, Any] = finite(
        {
            "tried": found.tried,
            "cannot_be_built": found.refused,
            "refusals": [{"reason": reason, "layouts": count} for reason, count in found.refusals],
            "full_checks": found.checked,
            "rejected_by_check": [{"reason": why, "layouts": count} for why, count in found.rejected],
            "front": [_candidate(one, found) for one in found.front],
            "nearest": _candidate(found.nearest, found),
            "blocking": [
                {
                    "key": b.key,
                    "name": b.name,
                    "stage": b.stage,
                    "layouts": b.count,
                    "value": b.value,
                    "limit": b.limit,
                    "unit": b.unit,
                }
                for b in found.blocking
            ],
            "left_out_of_margins": [
                {"key": key, "name": name, "stage": stage} for name, stage, key in _named(found.fixed)
            ],
            "cautions": list(CAUTIONS),
        }
    )
    return made


def _named(fixed: Keys) -> list[tuple[str, str, str]]:
    """Return name, stage and key of verdicts, by their names."""
    return sorted((rule_of(key).name, stage, key) for key, stage in fixed)


def _candidate(one: Candidate, found: SearchResult) -> dict[str, Any]:
    return {
        "changes": dict(one.changes),
        "fits": one.fits,
        "refusal": one.refusal,
        "least_margin": margin(one, found.fixed),
        "warnings": one.warnings,
        "roundness_um": one.roundness,
        "metal_per_jaw_cm3": one.metal,
        "set_ups": one.set_ups,
        "check": _checked(one.check),
        "verdicts": [verdict_object(v) for v in one.verdicts],
    }
