"""Two revisions of a setup, as one JSON object; verdicts as in `sim.report.verdicts`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdict import Verdict
from sim.report.verdicts import finite, not_judged_object, verdict_object
from sim.revisions.fields import FieldChange, Side
from sim.revisions.verdicts import Moves


def revisions_object(
    names: tuple[str, str],
    judged: tuple[Assessment, Assessment],
    changes: Sequence[FieldChange],
    moved: Moves,
) -> dict[str, Any]:
    """Return what differs between two revisions as plain dictionaries and numbers."""
    old, new = (
        {
            "file": name,
            "title": one.scenario.title,
            "revision": one.scenario.revision,
            "status": one.status,
        }
        for name, one in zip(names, judged, strict=True)
    )
    found: dict[str, Any] = finite(
        {
            "old": old,
            "new": new,
            "fields": [
                {"key": one.key, "unit": one.unit, "old": _side(one.old), "new": _side(one.new)}
                for one in changes
            ],
            "verdicts": [
                {
                    "key": move.now.key,
                    "name": move.now.name,
                    "stage": move.now.stage,
                    "moved": move.way,
                    "old": _verdict(move.old),
                    "new": _verdict(move.new),
                }
                for move in moved.verdicts
            ],
            "questions_opened": [not_judged_object(one) for one in moved.opened],
            "questions_closed": [not_judged_object(one) for one in moved.closed],
            "cautions": list(CAUTIONS),
        }
    )
    return found


def _side(side: Side) -> dict[str, Any]:
    return {"told": side.told, "value": side.value, "from": side.origin or None, "default": side.default}


def _verdict(verdict: Verdict | None) -> dict[str, Any] | None:
    return None if verdict is None else {**verdict_object(verdict), "margin": verdict.margin}
