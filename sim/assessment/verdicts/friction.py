"""Verdict on the friction that holds the part: is it that of these materials, and no more than the table knows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule, over
from sim.base import tables
from sim.base.floats import Number
from sim.base.pairings import SERRATED, family, known_pairings, surface_of
from sim.base.printable import printable
from sim.base.rounding import near
from sim.base.tables import Friction, Material
from sim.setup.pairing import pairing_of
from sim.setup.parts import Parts

# A measured friction may lie above the table's range, since other sources differ from it by more than the range. Beyond
# one and a half times its high value (as far as the printings of a table differ, and half as much again; common
# practice, no source) it is that of no smooth face, whatever a trial has shown: one drop of coolant takes it away.
BEYOND_TABLE = 1.5

FRICTION_OF_THE_PART_IN_THE_JAWS = Rule(
    key="friction_of_the_part_in_the_jaws",
    name="friction of the part in the jaws",
    unit="",
    at_least=False,
    basis="the table of pairings; measured, up to 1.5 times its high value (common practice)",
    background="the table of pairings; common practice: a serrated pairing, a higher one of other materials and a "
    "measured value of more than 1.5 times the table's high one fail",
    depends=frozenset({"friction"}),
    view="pressure",
    asks="is the friction no more than that of these materials and a smooth bored face?",
)


@dataclass(frozen=True, slots=True)
class Known:
    """How much friction a smooth bored face may be counted on for.

    Attributes
    ----------
    limit : float
        More than that is no longer known. No unit.
    most : float
        More than that fails; up to it a friction above the limit warns. No unit.
    basis : str
    """

    limit: float
    most: float
    basis: str


def friction_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdict on an operation's friction."""
    gripping = figures.operation.gripping
    used, measured = figures.grip.friction, bool(gripping.friction)
    scenario = parts.scenario
    pairing, part, jaw = (
        pairing_of(scenario, figures.index),
        scenario.metal(figures.operation.workpiece.material),
        scenario.metal(scenario.soft_jaw.material),
    )
    known = known_friction(pairing, part, jaw, measured=measured)
    wrong = unlike(pairing, part, jaw)
    taken = (
        f"{near(used, known.limit, 2)} is taken for {printable(part.name)} in jaws of {printable(jaw.name)}"
    )
    if measured:
        message = f"{taken}, as measured."
    elif wrong:
        message = f"{near(used, known.limit, 2)} is taken for {' and '.join(wrong)}."
    else:
        follows = "" if gripping.pairing is not None else f", '{printable(pairing.name)}'"
        message = f"{taken}, the low value of its pairing{follows}."
    yield FRICTION_OF_THE_PART_IN_THE_JAWS.verdict(
        figures.operation.name,
        *friction_of_the_part_in_the_jaws_and_limit(used, known.limit),
        basis=known.basis,
        message=message,
        advice=(
            f"State no more than {near(known.limit, used, 2)}, or leave friction out and take the table's."
            if measured
            else "Name the pairing of these materials with a smooth face (chuckscene materials), or measure the "
            "friction and state it."
        ),
        otherwise="fail" if over(used, known.most) else "warn",
    )


def friction_of_the_part_in_the_jaws_and_limit(used: Number, known: Number) -> tuple[Number, Number]:
    """Return the friction that is counted on and the most that is known of these materials."""
    return used, known


def known_friction(pairing: Friction, part: Material, jaw: Material, *, measured: bool) -> Known:
    """Return how much friction counts for a part in soft jaws of two materials.

    A pairing that is not theirs, or whose face is serrated (soft jaws are bored, their faces smooth), counts as the one
    that it should have been: of the same surface of the part if one is known, else the least. Where none is known
    for these materials: the least of all smooth faces on such a surface. A pairing of the scenario's own counts up to
    the most that any smooth face of the table has.

    Parameters
    ----------
    pairing : Friction
        As stated, or as it follows.
    part, jaw : Material
    measured : bool
        A friction is stated as measured; else the pairing's low value is taken.
    """
    surface = surface_of(pairing.name)
    if not unlike(pairing, part, jaw):
        if pairing not in tables.frictions():
            return _own(pairing, surface)
        words = f"table of friction pairings, '{pairing.name}', {pairing.low:g} to {pairing.high:g} ({pairing.source})"
        return Known(pairing.high, BEYOND_TABLE * pairing.high, f"{words}{_beyond() if measured else ''}")
    smooth = [row for row in known_pairings(part, jaw) if SERRATED not in row.name]
    theirs = [row for row in smooth if not unlike(row, part, jaw)]
    alike = (
        [row for row in theirs or smooth if surface and surface_of(row.name) == surface] or theirs or smooth
    )
    row = min(alike, key=lambda one: one.low)
    words = printable(f"table of friction pairings, '{row.name}', {row.low:g} to {row.high:g} ({row.source})")
    if not theirs:
        # A pairing of others is met by chance: it warns even where it is low enough.
        words = f"no pairing of these materials in the table; the least of smooth faces there, {row.low:g}"
        return Known(row.low, BEYOND_TABLE * row.high, words) if measured else Known(0.0, row.low, words)
    if measured:
        return Known(row.high, BEYOND_TABLE * row.high, f"{words}{_beyond()}")
    return Known(row.low, row.low, words)


def _own(pairing: Friction, surface: str) -> Known:
    """Return how much a pairing of the scenario's own counts: no smooth face of a table has more than its most."""
    most = max(
        row.high for row in tables.frictions() if SERRATED not in row.name and surface_of(row.name) == surface
    )
    return Known(
        min(pairing.high, most),
        BEYOND_TABLE * most,
        f"the scenario's own '{printable(pairing.name)}', {pairing.low:g} to {pairing.high:g} "
        f"({printable(pairing.source)}), up to {most:g}, the most that the table has for a smooth face on a {surface} "
        "part",
    )


def _beyond() -> str:
    return f"; measured, up to {BEYOND_TABLE:g} times that (common practice, no source)"


def unlike(pairing: Friction, part: Material, jaw: Material) -> list[str]:
    """Return in words what a pairing 'X on Y, ...' does not fit; empty where it is that of a smooth face of these."""
    on_part, _, rest = pairing.name.partition(" on ")
    on_jaw = rest.partition(",")[0]
    wrong = []
    if family(part) != on_part:
        wrong.append(f"a part of {printable(on_part)}, and it is {printable(part.name)}")
    if family(jaw) != on_jaw:
        wrong.append(f"jaws of {printable(on_jaw)}, and they are {printable(jaw.name)}")
    if SERRATED in pairing.name:
        wrong.append("serrated faces, and a bored face is smooth")
    return wrong
