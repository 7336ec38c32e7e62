"""Verdicts on what bears the part beside the jaws, on the jaws where that is gone, and on a part that is slim."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.supports import bearers
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule, over
from sim.base.floats import Number, larger
from sim.base.printable import printable
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


FORCE_OF_THE_CENTRE = Rule(
    key="force_of_the_centre",
    name="force of the centre",
    unit="kN",
    at_least=False,
    basis="tailstock.largest_force of the scenario",
    depends=frozenset(),
    view="",
    asks="do centre and tailstock bear the centre's largest force?",
)
PARTING_UNDER_THE_CENTRE = Rule(
    key="parting_under_the_centre",
    name="parting under the centre",
    unit="",
    at_least=False,
    basis=(
        "common practice, no source: none may be; the centre drives what comes off into the blade, and breaks a neck "
        "that its push loads by more than a third of the yield strength (assumption, no source)"
    ),
    depends=frozenset({"geometry"}),
    view="",
    asks="is anything parted off, or cut to a thin neck, while the centre presses on it?",
)

BEND_OF_THE_PART = Rule(
    key="bend_of_the_part",
    name="bend of the part",
    unit="mm",
    at_least=False,
    basis=(
        "limits.part_bend of the scenario (common practice, no source); a beam on jaws, centre and rollers as springs "
        "(unit load theorem)"
    ),
    depends=frozenset({"speed", "cut", "geometry"}),
    view="cut",
    asks="how far does the part bend away from the cut?",
)
# Thrown out by what is out of balance, a part that turns at 0.7 of that speed bends twice as far as at rest
# (1 / (1 - 0.7^2), any handbook of vibrations); how near it may come is common practice, no source.
BELOW_WHIPPING = 0.7
WHIP_OF_THE_PART = Rule(
    key="whip_of_the_part",
    name="whip of the part",
    unit="rpm",
    at_least=False,
    basis=(
        f"{BELOW_WHIPPING:g} (common practice, no source) of a speed below the lowest at which it whips: a beam on "
        "jaws, centre and rollers as springs (Dunkerley)"
    ),
    depends=frozenset({"speed", "geometry"}),
    view="overhang",
    asks="does the part turn so slowly that its free length is not thrown out?",
)


def weight_held_by_the_jaws_and_limit(factor: Number, wanted: Number) -> tuple[Number, Number]:
    """Return how many times the jaws alone hold the part's weight, and how many times they must."""
    return factor, wanted


def force_of_the_centre_and_limit(force: Number, most: Number) -> tuple[Number, Number]:
    """Return the largest force of a centre and what it may be (N) in kN."""
    return force / 1000.0, most / 1000.0


def bend_of_the_part_and_limit(bends: Iterable[Number], most: Number) -> tuple[Number, Number]:
    """Return how far the part bends under the cut that bends it most and how far it may, mm."""
    return reduce(larger, bends), most


def whip_of_the_part_and_limit(speed: Number, whips_at: float) -> tuple[Number, float]:
    """Return the highest speed of a part and what it may be for a speed at which it does not whip yet, rev/min."""
    return speed, BELOW_WHIPPING * whips_at


def support_verdicts(parts: Parts, figures: OperationFigures, parted: Sequence[str]) -> Iterator[Verdict]:
    """Yield whether the jaws hold the weight of a part alone, and what centre and cuts do to each other.

    `parted` are the names of what parts off the end that a centre presses on, see `sim.assessment.neck`.
    """
    yield from _alone(parts, figures)
    yield from centre_verdicts(figures, parted)
    yield from _bend(parts, figures)
    yield _whip(figures)


def centre_verdicts(figures: OperationFigures, parted: Sequence[str]) -> Iterator[Verdict]:
    """Yield whether a centre bears its force, and whether it presses on what is parted off; nothing without one."""
    stated, stage = figures.operation.tailstock, figures.operation.name
    if stated is None:
        return
    if stated.largest_force is not None:
        force, most = force_of_the_centre_and_limit(stated.force_high, stated.largest_force)
        yield FORCE_OF_THE_CENTRE.verdict(
            stage,
            force,
            most,
            message=f"the centre presses with up to {near(force, most, 2)} kN.",
            advice="Set the tailstock to less force.",
        )
    yield PARTING_UNDER_THE_CENTRE.verdict(
        stage,
        float(len(parted)),
        0.0,
        message=(
            f"{', '.join(parted) or 'no cut'} parts off what the centre presses on, or leaves it on a thin neck."
        ),
        advice="Draw the centre back before, and part off in an operation of its own.",
    )


def _bend(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield how far the part bends; a fail where it gives way by more than is cut, and so climbs on the edge."""
    cuts = figures.operation.cuts
    bends = [gives * demand.side_force for gives, demand in zip(figures.gives, figures.demands, strict=True)]
    bend, most = bend_of_the_part_and_limit(bends, parts.scenario.limits.part_bend)
    cut, demand = cuts[bends.index(bend)], figures.demands[bends.index(bend)]
    climbs = any(over(one, own.depth_of_cut) for one, own in zip(bends, cuts, strict=True))
    yield BEND_OF_THE_PART.verdict(
        figures.operation.name,
        bend,
        most,
        message=f"'{printable(cut.name)}' pushes with {demand.side_force:.0f} N, and the part gives way by "
        f"{near(bend, most, 3)} mm.",
        advice="Take a lighter cut, a larger approach angle, or set a steady rest nearer to it.",
        otherwise="fail" if climbs else "warn",
    )


def _whip(figures: OperationFigures) -> Verdict:
    speed, most = whip_of_the_part_and_limit(figures.operation.gripping.speed_high, figures.whips_at)
    return WHIP_OF_THE_PART.verdict(
        figures.operation.name,
        speed,
        most,
        message=f"at {speed:.0f} rev/min; from {figures.whips_at:.0f} rev/min on its free length may be thrown out "
        "and whip.",
        advice="Turn slower, hold more of it, or bear its free end by a centre or a steady rest.",
    )


def _alone(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    alone = figures.alone
    if alone is None:
        return
    factor, limit = weight_held_by_the_jaws_and_limit(alone.factor, parts.scenario.limits.holding_factor)
    without = bearers(figures.operation)
    gone = f", {without} gone" if without else ""
    yield WEIGHT_HELD_BY_THE_JAWS.verdict(
        figures.operation.name,
        factor,
        limit,
        message=(
            f"{alone.grip / 1000:.1f} kN left at {figures.operation.gripping.speed_high:.0f} rev/min hold the part's "
            f"weight of {alone.weight:.0f} N {near(factor, limit, 2)} times{gone}."
        ),
        advice="Hold more of the part, or take its weight off the jaws (sling, saddle) before nothing else bears it.",
    )
