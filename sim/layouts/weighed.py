"""What is to be weighed between layouts of which none stands first: who has more to spare, who takes fewer set-ups."""

from __future__ import annotations

from sim.assessment.verdict import Verdict
from sim.layouts.comparison import Comparison, VerdictRow
from sim.layouts.layout import set_ups

UNLIKE = 1.1  # margins that differ by less are the same to a reader
MOST = 20.0  # margins beyond it are all plenty


def weighed(found: Comparison) -> str:
    """Say which layout has more to spare where they differ, and which takes fewer set-ups; that must be weighed."""
    said = []
    apart = unlike(found)
    sound = [
        k for k, layout in enumerate(found.layouts) if layout.status != "fail"
    ]  # one that fails has no merits
    if apart and sound:
        best = [max(sound, key=lambda k: _spare(line.cells[k])) for line in apart]
        most = max(sound, key=best.count)
        said.append(
            f"{found.layouts[most].name} has most to spare in {best.count(most)} of {len(apart)} verdicts that differ"
        )
    totals = [set_ups(found.layouts[k]).total for k in sound]
    if len(set(totals)) > 1 and totals.count(min(totals)) == 1:
        more = sorted(totals)[1] - min(totals)
        name = found.layouts[sound[totals.index(min(totals))]].name
        said.append(f"{name} takes {more} set-up{'s' if more > 1 else ''} less")
    return "To be weighed: " + "; ".join(said) if said else "No verdict tells them apart"


def unlike(found: Comparison) -> list[VerdictRow]:
    """Return the verdicts that all layouts have and that differ, nearest to a limit first."""
    rows = []
    for line in found.verdicts:
        there = [v for v in line.cells if v is not None]
        spare = [max(_spare(v), 0.01) for v in there]
        differs = len({v.status for v in there}) > 1 or max(spare) > UNLIKE * min(spare)
        if len(there) == len(line.cells) and differs:
            rows.append(line)
    return rows


def _spare(verdict: Verdict | None) -> float:
    return -1.0 if verdict is None else 0.0 if verdict.missed else min(verdict.margin, MOST)
