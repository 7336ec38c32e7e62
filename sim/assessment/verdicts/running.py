"""Verdicts on whether the part runs true in its jaws: run-out, and faces square to the axis."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.running import RunningFigures, Share
from sim.assessment.running import (
    DATUM,
    JAWS,
    LEANING,
    LEFT_LOBES,
    LOBES,
    MOVED,
    REBOLTED,
    REPEATED,
    RUBBING,
    SPINDLE,
    STATED,
    TRAVELLED,
    UNLIKE,
)
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.floats import Number
from sim.base.rounding import near
from sim.scenario import SoftJaw
from sim.setup.parts import Parts

RUNOUT_IN_THE_JAWS = Rule(
    key="runout_in_the_jaws",
    name="run-out in the jaws",
    unit="um",
    at_least=False,
    basis=(
        "worst sum of the budget (derived): lobes, jaws, forces, travel, clamping, spindle; of each share the larger "
        "of the contact model and of jaws that yield freely along their faces; limit of the scenario"
    ),
    depends=frozenset({"pressure", "speed", "friction", "size", "geometry", "contact"}),
    view="gripped",
    asks="does what is turned run true to the surface that is gripped?",
    background=(
        "derived (Running true); indicator reading twice the distance of the axes, with the out-of-round of what is "
        "turned; usual scatters are common practice without a source"
    ),
)
SQUARENESS_IN_THE_JAWS = Rule(
    key="squareness_in_the_jaws",
    name="squareness in the jaws",
    unit="um",
    at_least=False,
    basis=(
        "worst tilt by back faces and walls of jaws that tilt unlike each other (derived), over the part's largest "
        "diameter; limit of the scenario"
    ),
    depends=frozenset({"pressure", "speed", "friction", "geometry"}),
    view="held",
    asks="are turned faces square to the axis of the surface that is gripped?",
    background="derived (Running true); usual scatters are common practice without a source",
)
LARGE = 0.2  # of the worst sum: a share from here on is named, and advice goes to it
NAMED = 3  # shares named in a message at most
ROUNDER, SEAT = (
    "turn the gripped surface rounder before it is gripped",
    "give the part a wider land to stand on",
)
ALIKE = "bore the jaws with the force that grips"
WAYS = {
    LOBES: ROUNDER,
    STATED: ROUNDER,
    LEFT_LOBES: "turn the earlier side in jaws that are alike, gripped more softly",
    UNLIKE: ALIKE,
    RUBBING: ALIKE,
    REPEATED: "grease the chuck and clean jaws and part at every clamping",
    TRAVELLED: "bore the jaws at the travel at which they grip",
    REBOLTED: "bore the jaws anew as they are bolted now",
    SPINDLE: "have the spindle's bearings looked after",
    MOVED: "bore the jaws on the spindle on which they grip",
    DATUM: "grip the datum itself, or turn both in one clamping",
    LEANING: SEAT,
}


def running_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdicts on run-out and squareness."""
    yield _run_out(parts, figures)
    yield _square(figures)


def runout_in_the_jaws_and_limit(shift: Number, roundness: Number, limit: Number) -> tuple[Number, Number]:
    """Return the run-out of a part whose axis stands off the spindle's (mm), turned out of round (um), and its limit.

    The limit is in mm; both are returned in um.
    """
    return 2e3 * shift + roundness, 1000.0 * limit


def squareness_in_the_jaws_and_limit(tilt: Number, face: float, limit: Number) -> tuple[Number, Number]:
    """Return how far a face of a diameter (mm) is out of square by a tilt (rad), and its limit (mm), in um."""
    return 1e3 * tilt * face, 1000.0 * limit


def _run_out(parts: Parts, figures: OperationFigures) -> Verdict:
    found = figures.running
    runout, limit = runout_in_the_jaws_and_limit(found.worst, found.roundness, figures.operation.runout_limit)
    own = f", {found.roundness:.1f} µm of it by what the turned surface is out of round" * (
        found.roundness > 0.0
    )
    large = [f"{share.name} {2e3 * share.worst:.1f} µm" for share in _large(found)]
    return RUNOUT_IN_THE_JAWS.verdict(
        figures.operation.name,
        runout,
        limit,
        message=(
            f"{found.state} up to {near(runout, limit, 1)} µm where all errors add up, about "
            f"{found.run_out_root:.1f} µm by their root of squares{own}; most of it: {', '.join(large) or 'none'}."
            f"{_chip(found, found.chip_run_out, 'behind the part')}"
        ),
        advice=_ways(found, parts.scenario.soft_jaw),
    )


def _square(figures: OperationFigures) -> Verdict:
    found = figures.running
    value, limit = squareness_in_the_jaws_and_limit(
        found.tilt_worst, found.face, figures.operation.squareness_limit
    )
    return SQUARENESS_IN_THE_JAWS.verdict(
        figures.operation.name,
        value,
        limit,
        message=(
            f"{'the back faces' if found.by_seats else 'the walls'} of the jaws lean the part by up to "
            f"{near(value, limit, 1)} µm over {found.face:.0f} mm of diameter, about {found.out_of_square_root:.1f} µm "
            f"by the root of squares.{_chip(found, found.chip_out_of_square, 'under the part')}"
        ),
        advice=f"{SEAT[:1].upper()}{SEAT[1:]}, further out; {ALIKE}.",
    )


def _chip(found: RunningFigures, adds: float, where: str) -> str:
    """Say what no verdict counts: what a chip would add."""
    return f" A chip of {1e3 * found.chip:.0f} µm {where} in one jaw would add {adds:.1f} µm." * (
        found.chip > 0.0
    )


def _large(found: RunningFigures) -> list[Share]:
    """Return the shares that matter, the largest first."""
    by_size = sorted(found.shares, key=lambda share: -share.worst)
    return [share for share in by_size if share.worst > 0.0 and share.worst >= LARGE * found.worst][:NAMED]


def _ways(found: RunningFigures, jaw: SoftJaw) -> str:
    """Say what brings the part nearer to the axis: only what is behind the large shares."""
    ways: list[str] = []
    if found.roundness >= LARGE * found.run_out:
        ways.append("squeeze the part less out of round (see its roundness after release)")
    for share in _large(found):
        if share.name == JAWS:
            ways += ["put every jaw on the serration it was bored on"] * any(jaw.serrations_off)
            ways += ["bring the jaws to one mass"] * (len(set(jaw.mass_differences)) > 1)
        else:
            ways.append(WAYS[share.name])
    text = "; ".join(dict.fromkeys(ways))
    return f"{text[:1].upper()}{text[1:]}." if ways else "State a limit that this chuck can keep."
