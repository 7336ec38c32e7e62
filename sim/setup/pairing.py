"""Which friction pairing holds an operation's part: as it is stated, or as materials and gripped surface give it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.base.errors import ScenarioError, in_field
from sim.base.pairings import SURFACES, following, known_pairings, named, surface_of
from sim.base.tables import Friction
from sim.scenario import Scenario
from sim.scenario.operation import Operation, Workpiece

OUT_OF_ROUND = 0.1  # mm; turned surfaces keep well below it (common practice, no source)
ASKED = "what do the jaws grip: a turned, a ground or a raw surface?"


def surface_stated(work: Workpiece) -> str:
    """Return which surface the jaws grip, as it is stated or as an earlier operation turned it; '' if nothing says."""
    return work.gripped_surface or ("turned" if work.turned_in is not None else "")


def signs_of_raw_stock(operation: Operation) -> Iterator[str]:
    """Yield what of an operation tells of a surface that was never turned, one clause each."""
    work = operation.workpiece
    low, high = work.gripped_diameter_low, work.gripped_diameter_high
    if high - low > it13(high):
        yield f"the gripped diameter may differ by {high - low:.3g} mm, more than tolerance grade IT13 (ISO 286-1)"
    if work.out_of_round > OUT_OF_ROUND:
        yield f"it is {work.out_of_round:.3g} mm out of round"
    if operation.marking_allowed:
        yield "the jaws may mark it"


def it13(diameter: float) -> float:
    """Return the tolerance of grade IT13 (mm) at a diameter (mm): 250 units i of 0.45 D^(1/3) + 0.001 D um (ISO 286-1).

    Raw bars and castings have more; what is turned to fit jaws has much less. The standard takes D as the mean of a
    range of diameters.
    """
    return 250.0 * (0.45 * math.cbrt(diameter) + 0.001 * diameter) / 1000.0


def pairing_of(scenario: Scenario, index: int) -> Friction:
    """Return the pairing of an operation.

    Raises
    ------
    ScenarioError
        If it is neither stated nor follows.
    """
    operation = scenario.operations[index]
    part = scenario.metal(operation.workpiece.material)
    jaw = scenario.metal(scenario.soft_jaw.material)
    if operation.gripping.pairing is not None:
        return named(operation.gripping.pairing, known_pairings(part, jaw))
    return following(part, jaw, surface_stated(operation.workpiece))


def require_pairing(scenario: Scenario, index: int) -> None:
    """Refuse an operation whose friction nobody has stated, and one that says two things of what is gripped.

    Raises
    ------
    ScenarioError
    """
    operation, at = scenario.operations[index], f"operations[{index}]"
    work, pairing = operation.workpiece, operation.gripping.pairing
    surface, field = surface_stated(work), f"{at}.workpiece.gripped_surface"
    if work.turned_in is not None and work.gripped_surface not in (None, "turned"):
        raise ScenarioError(
            f"{field} must be 'turned' or left out where an earlier operation turned it (turned_in), found "
            f"'{work.gripped_surface}'"
        )
    if pairing is None and not surface:
        raise ScenarioError(
            f"{at}.gripping.pairing must be stated, or follow from workpiece.gripped_surface "
            f"({', '.join(SURFACES)}): {ASKED}"
        )
    with in_field(f"{at}.gripping.pairing"):
        of = surface_of(pairing_of(scenario, index).name)
    if surface and of and of != surface:
        raise ScenarioError(
            f"{at}.gripping.pairing must be that of a {surface} part, as workpiece."
            f"{'gripped_surface' if work.gripped_surface else 'turned_in'} has it, found '{pairing}': {ASKED}"
        )
