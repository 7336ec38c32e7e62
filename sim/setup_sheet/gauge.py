"""What a grip gauge should read, within which band to go on, and below what to stop.

The band is a tenth to each side (common practice, no source), and ends sooner where a verdict would fail: what a grip
holds falls with what the speed and the part's weight leave of it, and what it loads rises no faster than in proportion.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdicts.rules import rule_of
from sim.setup_sheet.figures import verdict_of

SHARE = 0.1
HOLDS = (
    "holding_factor",
    "holding_factor_each_move",
    "least_grip_of_a_jaw",
    "jaw_pushed_across",
    "weight_held_by_the_jaws",
)


@dataclass(frozen=True, slots=True)
class GaugeBand:
    """Totals of three jaws at rest, N.

    Attributes
    ----------
    expected : float
    stop : float
        Below it the setup does not hold what is asked of it at rest; nan where that was not judged.
    low, high : float
        Ends of the band in which to go on; nan where there is none.
    """

    expected: float
    stop: float
    low: float
    high: float


def gauge_band(assessment: Assessment, figures: OperationFigures) -> GaugeBand:
    """Return the band of an operation; none where something fails or the grip at rest was not judged."""
    rest, name = figures.grip.rest_total, figures.operation.name
    asked = verdict_of(assessment, "grip_at_rest", name)
    nothing = GaugeBand(rest, math.nan if asked is None else 1000.0 * asked.limit, math.nan, math.nan)
    if asked is None or assessment.status == "fail":
        return nothing
    low, high = max((1.0 - SHARE) * rest, nothing.stop), (1.0 + SHARE) * rest
    # What is lost at speed is lost from any grip: the rest of it is what holds.
    lost = min(max(rest - figures.grip.counted_total, 0.0) + figures.carried, rest)
    for verdict in assessment.verdicts:
        if verdict.stage not in (name, "jaws") or "pressure" not in rule_of(verdict.key).depends:
            continue
        if verdict.missed or not verdict.margin < math.inf:
            continue
        margin = max(verdict.margin, 1.0)
        if verdict.key in HOLDS:
            low = max(low, lost + (rest - lost) / margin)
        elif verdict.key != "grip_at_rest":
            high = min(high, rest * margin)
    if not low <= rest <= high:
        return nothing
    return GaugeBand(rest, nothing.stop, low, high)
