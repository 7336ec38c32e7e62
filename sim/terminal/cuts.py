"""How many times each cut is held, in the terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.table import Table

from sim.assessment.figures.cut import CutDemand, CutHolding
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.base.rounding import against
from sim.terminal.figures import kilonewtons


def held_cuts(assessment: Assessment) -> Table:
    """Return each operation's cuts, those that are held least first, by all that pulls at once."""
    wanted = assessment.scenario.limits.holding_factor
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    table.add_column(f"cuts, to be held {wanted:g} times", overflow="fold")
    for name in ("rev/min", "grip left kN", "held, times"):
        table.add_column(name, justify="right", no_wrap=True)
    for one in assessment.operations:
        for name, demand, holding in _least_first(assessment, one):
            speed = f"{demand.speed:.0f}" if math.isfinite(demand.speed) else "-"
            row = speed, kilonewtons(holding.grip), times(holding.factor, wanted)
            table.add_row(f"{one.operation.name}: {name}", *row)
    return table


def times_held(assessment: Assessment, figures: OperationFigures) -> str:
    """Return how many times the grip holds the cut, or the move of a program, that it holds least; '-' without any."""
    wanted = assessment.scenario.limits.holding_factor
    return next((times(held.factor, wanted) for _, _, held in _least_first(assessment, figures)), "-")


def _least_first(
    assessment: Assessment, figures: OperationFigures
) -> Iterator[tuple[str, CutDemand, CutHolding]]:
    found = [(d.name, d, h) for d, h in zip(figures.demands, figures.holdings, strict=True)]
    path = assessment.machining[figures.index]
    if path is not None and (least := path.least_held) is not None:
        found.append((f"{path.file}, move {least.move + 1}", least.demand, least.holding))
    yield from sorted(found, key=lambda one: -math.inf if math.isnan(one[2].factor) else one[2].factor)


def times(factor: float, wanted: float) -> str:
    """Return how many times a cut is held, as it compares with what is wanted; 'not' where it is not held at all."""
    if math.isnan(factor):
        return "not"
    return against(factor, wanted, (1, 1))[0] if math.isfinite(factor) else "-"
