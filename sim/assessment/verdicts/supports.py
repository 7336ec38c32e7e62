"""Verdicts on what bears the part beside the jaws, and on the jaws where that is gone."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number
from sim.base.rounding import near
from sim.setup.parts import Parts

WEIGHT_HELD_BY_THE_JAWS = Rule(
    key="weight_held_by_the_jaws",
    name="weight held by the jaws alone",
    unit="",
    at_least=True,
    basis=(
        "the part's weight in the jaws alone at the highest speed, without back face, centre and steady (linear "
        "programs); S_z of VDI 3106 (as quoted)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="fast",
    asks=(
        "of a part that hangs in the jaws, or that more than the jaws bear: do they hold its weight by themselves, "
        "nothing being cut?"
    ),
)


def weight_held_by_the_jaws_and_limit(factor: Number, wanted: Number) -> tuple[Number, Number]:
    """Return how many times the jaws alone hold the part's weight, and how many times they must."""
    return factor, wanted


def support_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield whether the jaws hold the weight of a part that hangs in them."""
    yield from _alone(parts, figures)


def _alone(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    alone = figures.alone
    if alone is None:
        return
    factor, limit = weight_held_by_the_jaws_and_limit(alone.factor, parts.scenario.limits.holding_factor)
    yield WEIGHT_HELD_BY_THE_JAWS.verdict(
        figures.operation.name,
        factor,
        limit,
        message=(
            f"{alone.grip / 1000:.1f} kN left at {figures.operation.gripping.speed_high:.0f} rpm hold the part's "
            f"weight of {alone.weight:.0f} N {near(factor, limit, 2)} times."
        ),
        advice="Hold more of the part, or take its weight off the jaws (sling, saddle) before nothing else bears it.",
    )
