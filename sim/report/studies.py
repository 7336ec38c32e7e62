"""A study as one JSON object: numbers, no units in values, the unit in each key."""

from __future__ import annotations

from typing import Any

from sim.assessment.results import CAUTIONS
from sim.report.verdicts import check_object, finite
from sim.studies.confirming import Named
from sim.studies.summary import Summary


def summary_object(found: Summary, named: Named) -> dict[str, Any]:
    """Return a study's summary as plain dictionaries and numbers, the best as confirmed, with the cautions."""
    whole = found.as_object()
    rows = {row["variant"]: row for row in whole["best"]}
    whole["best"] = [{**rows[one.best.variant], "check": check_object(one.check)} for one in named.best]
    whole["rejected_by_check"] = [
        {"variant": one.best.variant, "scenario": one.best.scenario, "reason": one.check.reason}
        for one in named.rejected
    ]
    made: dict[str, Any] = finite({"variants": found.count, **whole, "cautions": list(CAUTIONS)})
    return made
