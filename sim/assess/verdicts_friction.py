"""Verdict on the friction that holds the part: is it that of these materials, and no more than the table knows."""

from __future__ import annotations

from collections.abc import Iterator

from sim import tables
from sim.assess.rule import at_most
from sim.assessment import OperationFigures, Verdict
from sim.parts import Parts
from sim.rounding import near

FAMILIES = ("cast iron", "aluminium", "brass", "steel")  # as the pairings name them


def friction_verdicts(parts: Parts, figures: OperationFigures) -> Iterator[Verdict]:
    """Yield the verdict on an operation's friction."""
    gripping = figures.operation.gripping
    row = tables.friction(gripping.pairing)
    used = figures.grip.friction
    part, jaw = figures.operation.workpiece.material, parts.jaw_material.name
    wrong = [] if gripping.friction is not None else _unlike(gripping.pairing, part, jaw)
    # The table's value may stand, but not for other materials than it was found on.
    yield at_most(
        "friction of the part in the jaws",
        figures.operation.name,
        used,
        0.0 if wrong else row.high,
        "",
        basis=f"table of friction pairings, '{gripping.pairing}', {row.low:g} to {row.high:g} ({row.source})",
        message=(
            f"{used:.2f} is taken for {' and '.join(wrong)}."
            if wrong
            else f"{near(used, row.high, 2)} is taken for {part} in jaws of {jaw}"
            + (", as measured." if gripping.friction is not None else ", the low value of its pairing.")
        ),
        advice="Name the pairing of these materials (chuckscene materials), or measure the friction and state it.",
        otherwise="warn",
    )


def _unlike(pairing: str, part: str, jaw: str) -> list[str]:
    """Return in words what a pairing 'X on Y, ...' does not fit."""
    on_part, _, rest = pairing.partition(" on ")
    on_jaw = rest.partition(",")[0]
    wrong = []
    if family(part) != on_part:
        wrong.append(f"a part of {on_part}, and it is {part}")
    if family(jaw) != on_jaw:
        wrong.append(f"jaws of {on_jaw}, and they are {jaw}")
    if "serrated" in pairing:
        wrong.append("serrated faces, and a bored face is smooth")
    return wrong


def family(material: str) -> str:
    """Return the family of a material as the pairings name it; '' where they name none."""
    return next((name for name in FAMILIES if name in material), "")
