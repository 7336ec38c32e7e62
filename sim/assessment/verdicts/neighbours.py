"""Verdict on the room between the three jaws: closed as far as they go, they may not meet before they hold the part."""

from __future__ import annotations

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.rounding import near
from sim.setup.neighbours import master_gap, soft_gap
from sim.setup.parts import Parts

STAGE = "jaws"
LEAST_GAP = 1.0  # mm, for burrs, chips and blanks a little too wide (common practice, no source)

JAWS_CLEAR_OF_EACH_OTHER = Rule(
    key="jaws_clear_of_each_other",
    name="jaws clear of each other",
    unit="mm",
    at_least=True,
    basis=(
        f"geometry: {LEAST_GAP:g} mm between the jaws closed as far as they go, each on its own serrations (common "
        "practice, no source); as blanks, since under its pocket a bored jaw still has its inner end"
    ),
    depends=frozenset({"geometry"}),
    view="",
    asks="do the jaws stay off each other to the end of the stroke, so that they close on the part alone?",
)


def clear_verdict(parts: Parts) -> Verdict:
    """Return the verdict on the gap between neighbouring jaws, soft jaws and master jaws."""
    scenario, place = parts.scenario, parts.place
    soft, master = soft_gap(scenario, place), master_gap(scenario, place)
    gap, least = jaws_clear_of_each_other_and_limit(soft, master)
    return JAWS_CLEAR_OF_EACH_OTHER.verdict(
        STAGE,
        gap,
        least,
        message=f"closed as far as they go, {near(soft, least, 1)} mm stay between the soft jaws and "
        f"{near(master, least, 1)} mm between the master jaws.",
        advice=(
            "Bolt the jaws on serrations farther out, or take jaws with a narrower tip."
            if soft < master
            else "See that width and place of the master jaws are those of this chuck."
        ),
    )


def jaws_clear_of_each_other_and_limit(soft: float, master: float) -> tuple[float, float]:
    """Return the gap between neighbouring soft jaws or master jaws, whichever is less, and what it must be, mm."""
    return min(soft, master), LEAST_GAP
