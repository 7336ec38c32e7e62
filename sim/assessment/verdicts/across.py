"""Verdict on a jaw that is pushed across: a slim tip bends sideways, a narrow seat tips about its edge."""

from __future__ import annotations

from sim.assessment.across import PushedAcross, pushed_across
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.jaws import own_pulls, screwed_as_stated, top_jaw
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number
from sim.base.rounding import near
from sim.setup.parts import Parts

ACROSS_FACTOR = 1.5  # times what friction holds (assumption, no source)

JAW_PUSHED_ACROSS = Rule(
    key="jaw_pushed_across",
    name="jaw pushed across",
    unit="",
    at_least=True,
    basis=(
        "a beam of the held height from the face to the seat against the jaw's yield strength, and the seat under the "
        f"least preload, {ACROSS_FACTOR:g} times under as much as friction holds across (assumption, no source)"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry"}),
    view="seat",
    asks="does a slim tip bear what the cut pushes across it, and does a narrow seat stay closed along its sides?",
)


def across_verdict(parts: Parts, figures: OperationFigures) -> Verdict:
    """Return the verdict on the jaws of an operation that are pushed across as hard as friction holds."""
    scenario, grip = parts.scenario, figures.grip
    speed = figures.operation.gripping.speed_high
    found = pushed_across(
        parts,
        figures.zone,
        scenario.pocket_of(figures.operation),
        grip.largest_per_jaw,
        max(own_pulls(parts, top_jaw(parts), figures.grip_travel, speed)),
        screwed_as_stated(scenario).preload.least,
        grip.friction,
    )
    factor, least = jaw_pushed_across_and_limit(found)
    across = grip.friction * grip.largest_per_jaw / 1000.0
    return JAW_PUSHED_ACROSS.verdict(
        figures.operation.name,
        factor,
        least,
        message=f"of {across:.1f} kN across a jaw, what friction holds of its grip, the tip bears "
        f"{near(found.tip_factor, least, 1)} times as much, its seat gapes along a side at "
        f"{near(found.seat_factor, least, 1)} times.",
        advice=(
            "Take jaws whose tip is wider or widens sooner, stronger ones, or hold the part over more of its height."
            if found.tip_factor < found.seat_factor
            else "Take wider or lower jaws, larger screws, or tighten them more within their limit."
        ),
    )


def jaw_pushed_across_and_limit(found: PushedAcross[Number]) -> tuple[Number, float]:
    """Return how many times its push across a jaw bears, and how many times it must."""
    return found.factor, ACROSS_FACTOR
