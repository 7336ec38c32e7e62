"""Where in the stroke variants grip and whether they load: `sim.mechanics.stroke` over arrays, mm."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from sim.scenario import Scenario
from sim.setup.loading import face_width
from sim.variants.keys import Values

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """Limits of the gripped diameter and what they give, (n,) arrays, mm.

    Attributes
    ----------
    low, high : gripped diameters.
    out_of_round : peak to peak in radius.
    first, last : least and largest grip travel.
    grip_travel : at which the middle of the tolerance is gripped, within the stroke.
    loading_clearance : least of both limits, less the out-of-round.
    """

    low: Floats
    high: Floats
    out_of_round: Floats
    first: Floats
    last: Floats
    grip_travel: Floats
    loading_clearance: Floats

    @property
    def middle(self) -> Floats:
        """Middle of the tolerance, diameter."""
        return 0.5 * (self.low + self.high)

    def only(self, rows: NDArray[np.intp]) -> Sizes:
        """Return the sizes of some rows."""
        return Sizes(**{field.name: getattr(self, field.name)[rows] for field in fields(self)})


def sizes(scenario: Scenario, index: int, values: Values) -> Sizes:
    """Return where an operation's variants grip."""
    low, high, lobe = (
        values(f"operations.{index}.workpiece.{name}")
        for name in ("gripped_diameter_low", "gripped_diameter_high", "out_of_round")
    )
    travels = [_grip_travel(scenario, index, 0.5 * d) for d in (low, high)]
    clearances = [_loading(scenario, index, 0.5 * d) for d in (low, high)]
    first, last = np.minimum(*travels), np.maximum(*travels)
    return Sizes(
        low=low,
        high=high,
        out_of_round=lobe,
        first=first,
        last=last,
        grip_travel=np.clip(0.5 * (first + last), 0.0, scenario.chuck.stroke),
        loading_clearance=np.minimum(*clearances) - lobe,
    )


def _bore(scenario: Scenario, index: int) -> tuple[float, float, bool]:
    operation = scenario.operations[index]
    outside = operation.gripping.direction == "outside"
    pocket = scenario.pocket_of(operation)
    return 0.5 * pocket.diameter, 0.5 * face_width(scenario, pocket), outside


def _chord(radius: Floats, half: float) -> Floats:
    """Return the distance of the edges' chord from the axis; nan for a radius that is under half the face."""
    with np.errstate(invalid="ignore"):
        return np.asarray(np.sqrt(radius**2 - half**2))


def _grip_travel(scenario: Scenario, index: int, radius: Floats) -> Floats:
    bored, half, outside = _bore(scenario, index)
    difference = radius - bored
    middle = difference <= 0.0 if outside else difference >= 0.0
    e = np.where(middle, difference, _chord(radius, half) - _chord(np.array(bored), half))
    return np.asarray(scenario.boring.travel - e if outside else scenario.boring.travel + e)


def _loading(scenario: Scenario, index: int, radius: Floats) -> Floats:
    bored, half, outside = _bore(scenario, index)
    e = scenario.boring.travel if outside else -scenario.boring.travel
    middle, edges = abs(e + bored), np.hypot(e + _chord(np.array(bored), half), half)
    return np.asarray(np.minimum(middle, edges) - radius if outside else radius - np.maximum(middle, edges))
